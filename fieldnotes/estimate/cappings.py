"""The share of a colony's mites under worker cappings, from its frames of brood and of bees.

Mites on bees enter worker cells at a rate k C / B a day: C cells capped a day, B grams of bees, k
in grams a cell. In a steady colony with W capped cells the share under cappings is k W / (k W + B):
the days under the cappings cancel. k follows from two published numbers, the drone cells that trap
a given part of the mites of a kilogram of bees, and how much oftener mites enter a drone cell.

Source: Boot WJ, Schoenmaker J, Calis JNM, Beetsma J (1995) Invasion of Varroa jacobsoni into drone
brood cells of the honey bee, Apis mellifera. Apidologie 26. Not sound just after a brood break, a
swarm or a treatment, nor with much drone brood: then the colony is not steady.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ..errors import NumbersError
from ..grammar.protocols import Cited


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Trap(_Strict):
    """So many drone cells trap the share ``trapped`` of the mites on a kilogram of bees."""

    drone_cells: float = Field(gt=0)
    trapped: float = Field(gt=0, lt=1)
    cited: Cited


class Ranged(_Strict):
    """A usual number with its range."""

    usual: float = Field(gt=0)
    low: float = Field(gt=0)
    high: float = Field(gt=0)
    cited: Cited

    @model_validator(mode="after")
    def _in_order(self) -> Ranged:
        if not self.low <= self.usual <= self.high:
            raise ValueError("usual lies between low and high")
        return self


class Capped(_Strict):
    """Worker brood is capped for ``days`` ``of`` its days."""

    days: float = Field(gt=0)
    of: float = Field(gt=0)
    cited: Cited

    @property
    def share(self) -> float:
        """The part of all worker brood that is capped in a colony that lays evenly."""
        return self.days / self.of


class UnderCappingsRows(_Strict):
    """What turns frames of brood and of bees into the share of mites in brood.

    ``preference`` is drone over worker cells; ``bees`` are bees to a frame of bees, ``cells``
    worker brood of all ages to a frame of brood.
    """

    trap: Trap
    preference: Ranged
    capped: Capped
    bees: Ranged
    cells: Ranged

    @property
    def cited(self) -> tuple[Cited, ...]:
        """All that is cited, in order."""
        rows = (self.trap, self.preference, self.capped, self.bees, self.cells)
        return tuple(row.cited for row in rows)


class Share(NamedTuple):
    """A share from 0 to 1: the usual one and its range."""

    usual: float
    low: float
    high: float


def share_in_cells(
    capped_cells: float, grams_of_bees: float, trap: Trap, preference: float
) -> float:
    """The share of mites, from 0 to 1, under ``capped_cells`` worker cells.

    Raises NumbersError for negative cells or no bees.
    """
    if not 0 <= capped_cells < math.inf or not 0 < grams_of_bees < math.inf:
        raise NumbersError(f"{capped_cells:g} cells and {grams_of_bees:g} g of bees are no colony")
    per_cell = -math.log1p(-trap.trapped) * 1000 / trap.drone_cells / preference
    return per_cell * capped_cells / (per_cell * capped_cells + grams_of_bees)


def share_in_brood(
    frames_brood: float, frames_bees: float, rows: UnderCappingsRows, bees_per_gram: float
) -> Share:
    """The share of mites under cappings for frames of worker brood and frames of bees.

    The range takes each of its parts at the end that lowers, or that raises, the share. Raises
    NumbersError for no frames or more frames of brood than of bees.
    """
    if not 0 < frames_brood <= frames_bees < math.inf:
        raise NumbersError(f"{frames_brood:g} frames of brood under {frames_bees:g} of bees")

    def share(cells: float, bees: float, preference: float) -> float:
        capped = frames_brood * cells * rows.capped.share
        return share_in_cells(capped, frames_bees * bees / bees_per_gram, rows.trap, preference)

    cells, bees, preference = rows.cells, rows.bees, rows.preference
    return Share(
        usual=share(cells.usual, bees.usual, preference.usual),
        low=share(cells.low, bees.high, preference.high),
        high=share(cells.high, bees.low, preference.low),
    )
