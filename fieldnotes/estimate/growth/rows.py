"""Rows of ``growth.toml``: how fast mites grow, what breaks a line, how far ahead a date holds."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ...grammar.files import grammars_folder
from ...grammar.protocols import Cited, checked, load_sources

HappeningKind = Literal[
    "treatment", "brood_break", "queen_caged", "split", "swarmed", "caught", "requeened",
    "united", "died", "robbing", "collapse_nearby",
]  # fmt: skip
"""What can happen to a colony that a line through its counts must know of."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Prior(_Strict):
    """The rate of growth believed before the counts: mean and sigma of a normal, a day."""

    daily: float = Field(gt=0)
    sigma: float = Field(gt=0)
    cited: Cited
    sigma_cited: Cited

    @model_validator(mode="after")
    def _read(self) -> Prior:
        if self.cited.status != "read":
            raise ValueError("the prior rate drives dates, so its source must have been read")
        return self


class Rate(_Strict):
    """A published growth, as shares a day; ``working`` tells how it was turned into them."""

    low: float
    high: float | None = None
    of: Literal["all mites", "mites per bee"]
    working: str
    cited: Cited


class Ahead(_Strict):
    """How many days after a count the next is due, and how far ahead a date is told at all.

    ``risk`` is the chance of having passed the act level at which the next count is due sooner,
    but not within ``alarm_days`` of the last.
    """

    season_days: int = Field(gt=0)
    late_days: int = Field(gt=0)
    alarm_days: int = Field(gt=0)
    horizon_days: int = Field(gt=0)
    risk: float = Field(gt=0, lt=1)
    cited: Cited
    late_cited: Cited
    alarm_cited: Cited
    horizon_cited: Cited
    risk_cited: Cited

    @model_validator(mode="after")
    def _in_order(self) -> Ahead:
        if not self.alarm_days <= self.late_days <= self.season_days <= self.horizon_days:
            raise ValueError("alarm, late, season and horizon go from the fewest days to the most")
        return self


class HappeningRow(_Strict):
    """What one kind of happening does to the line; counts within ``settles_days`` are left out."""

    kind: HappeningKind
    words: str
    does: Literal["breaks", "voids"]
    settles_days: int = Field(ge=0)
    cited: Cited


class GrowthRows(_Strict):
    """All rows of ``growth.toml``."""

    prior: Prior
    rate: tuple[Rate, ...]
    ahead: Ahead
    happening: tuple[HappeningRow, ...]

    @model_validator(mode="after")
    def _each_once(self) -> GrowthRows:
        if sorted(row.kind for row in self.happening) != sorted(get_args(HappeningKind)):
            raise ValueError(f"happening: one row each for {', '.join(get_args(HappeningKind))}")
        return self

    def happening_row(self, kind: HappeningKind) -> HappeningRow:
        """The row of one kind; every kind has one."""
        return next(row for row in self.happening if row.kind == kind)


def load_growth(path: Path, sources: dict[str, str]) -> GrowthRows:
    """Read ``growth.toml``; raise GrammarError with file and key."""
    return checked(path, GrowthRows, context={"sources": sources})


@cache
def known_growth() -> GrowthRows:
    """The rows that come with the program, read once."""
    folder = grammars_folder()
    return load_growth(folder / "growth.toml", load_sources(folder / "protocols"))
