"""The units in which guidelines print their limits, and the plain arithmetic out of them."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

LimitBasis = Literal[
    "mites_per_100_adult_bees",
    "mites_per_100_bees_doubled",
    "mites_per_day_natural",
    "mites_per_night",
    "percent_drone_cells",
    "mites_per_colony",
]
"""What a limit counts. A night's fall is no day's, and no sample gives the mites of a colony:
limits on these two bases are shown and never drive a verdict."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Printed(_Strict):
    """The unit of a limit as its source prints it: in how many bees, hours, cells or grams.

    ``grams`` stands beside the ``bees`` that the source takes them for.
    """

    bees: int | None = Field(default=None, gt=0)
    grams: float | None = Field(default=None, gt=0)
    hours: float | None = Field(default=None, gt=0)
    cells: int | None = Field(default=None, gt=0)
    night: bool = False
    colony: bool = False

    @model_validator(mode="after")
    def _one_unit(self) -> Printed:
        given = [self.bees, self.hours, self.cells, self.night or None, self.colony or None]
        if sum(unit is not None for unit in given) != 1:
            raise ValueError("printed: one of bees, hours, cells, night and colony")
        if self.grams is not None and self.bees is None:
            raise ValueError(
                "printed: grams need the number of bees that the source takes them for"
            )
        return self

    def normal(self, figure: float) -> float:
        """``figure`` per 100 bees, per day or in percent; per night and colony it stays.

        >>> Printed(bees=300).normal(15), Printed(hours=48).normal(24)
        (5.0, 12.0)
        """
        whole = self.bees or self.cells
        if whole is not None:
            return figure * 100 / whole
        return figure if self.hours is None else figure * 24 / self.hours

    @property
    def words(self) -> str:
        """The unit in words: "per 300 bees"."""
        if self.grams is not None:
            return f"per {self.grams:g} g, about {self.bees} bees"
        if self.hours is not None:
            return "a day" if self.hours == 24 else f"in {self.hours:g} hours"
        if self.cells is not None:
            return "percent of cells" if self.cells == 100 else f"of {self.cells} cells"
        return "a night" if self.night else "in the colony" if self.colony else (
            f"per {self.bees} bees"
        )  # fmt: skip

    def fits(self, basis: LimitBasis) -> bool:
        """Whether figures in this unit can be on ``basis``."""
        return {
            "mites_per_100_adult_bees": self.bees,
            "mites_per_100_bees_doubled": self.bees,
            "mites_per_day_natural": self.hours,
            "percent_drone_cells": self.cells,
            "mites_per_night": self.night,
            "mites_per_colony": self.colony,
        }[basis] not in (None, False)
