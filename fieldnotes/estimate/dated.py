"""A count with its day, and a happening with its day: what lines and efficacy are made of."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from itertools import pairwise

from ..errors import DateError, NumbersError
from ..records import Method, Source
from .basis import FallPerDay, Figure, PercentDroneCells, PerHundredAdults
from .growth.rows import HappeningKind

UNITS: dict[type[Figure], float] = {PerHundredAdults: 100, FallPerDay: 1, PercentDroneCells: 100}
"""Bases that a count can have, and the bees, days or cells that its figure is out of."""
WIDEST = 0.9
"""Beyond this relative spread nothing is known of what a count is out of."""


@dataclass(frozen=True)
class DatedCount:
    """``mites`` (or cells with mites) out of ``of`` bees, days or opened cells, on a day.

    ``spread`` is the coefficient of variation of what the count is out of: the doubt about the
    number of bees and the recovery, and clumping. ``comb`` is None where it is not said. Raises
    NumbersError for numbers that no count can have, and TypeError for a basis that no count has:
    a doubled figure is to be halved first, and fall under a treatment makes no line.
    """

    day: dt.date
    mites: int
    of: float
    basis: type[Figure] = PerHundredAdults
    method: Method | None = None
    comb: Source | None = None
    spread: float = 0.0

    def __post_init__(self) -> None:
        if self.basis not in UNITS:
            raise TypeError(f"no count is on the basis of {self.basis.words}")
        if isinstance(self.mites, bool) or not isinstance(self.mites, int) or self.mites < 0:
            raise NumbersError(f"{self.mites} mites: a count is a whole number from 0 on")
        if not 0 < self.of < math.inf:
            raise NumbersError(f"a count out of {self.of:g} says nothing")
        if self.basis is not FallPerDay and self.mites > self.of:
            raise NumbersError(f"{self.mites} out of {self.of:g}: one of the two numbers is wrong")
        if not 0 <= self.spread <= WIDEST:
            raise NumbersError(f"a spread lies between 0 and {WIDEST:g}, not {self.spread:g}")

    @property
    def exposure(self) -> float:
        """What the count is out of, in units of its basis: hundreds of bees or cells, or days."""
        return self.of / UNITS[self.basis]

    @property
    def rate(self) -> float:
        """The plain figure on its basis."""
        return self.mites / self.exposure

    def counted_like(self, other: DatedCount) -> bool:
        """Whether method, basis and comb are the same; a comb not said counts as the same."""
        same_comb = self.comb is None or other.comb is None or self.comb == other.comb
        return (self.basis, self.method) == (other.basis, other.method) and same_comb


@dataclass(frozen=True)
class Happening:
    """Something that happened to the colony, on one day or from ``day`` to ``until``."""

    kind: HappeningKind
    day: dt.date
    until: dt.date | None = None

    def __post_init__(self) -> None:
        if self.until is not None and self.until < self.day:
            raise DateError(f"it ends on {on(self.until)}, before it begins on {on(self.day)}")

    @property
    def end(self) -> dt.date:
        """The last day of it."""
        return self.until or self.day


def on(day: dt.date) -> str:
    """A day in words.

    >>> on(dt.date(2026, 7, 4))
    '4 July 2026'
    """
    return f"{day.day} {day:%B %Y}"


def not_in_order(days: list[dt.date]) -> str | None:
    """Which two days stand in the wrong order, in plain words; None if all are in order."""
    for earlier, later in pairwise(days):
        if later < earlier:
            return f"The counts are out of order: {on(later)} stands after {on(earlier)}."
    return None
