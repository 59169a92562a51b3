"""Bases: what a figure counts, as types that cannot be mixed.

Three mites per 100 adult bees, the same already doubled for the mites under cappings, three mites
a day on a board and three percent of drone cells are four different things. Each has a class here.
Comparing two figures of different bases raises :class:`TypeError`, and a type checker refuses it
before the program runs. The only ways across are the named conversions at the end, each of which
says what it did and who published it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar, Generic, Literal, Self, TypeVar

BasisName = Literal[
    "mites_per_100_adult_bees",
    "mites_per_100_bees_doubled",
    "mites_per_100_bees_with_brood",
    "mites_seen_per_100_bees",
    "mites_per_day_natural",
    "mites_per_day_treated",
    "percent_drone_cells",
]


@dataclass(frozen=True, eq=False)
class Figure:
    """Numbers on one basis; use the subclasses, which name it.

    ``value`` is the point figure. ``at_least`` and ``at_most`` stand in its place where the count
    itself is only known as a range. ``low`` and ``high`` are the limits of an interval for chance.
    """

    basis: ClassVar[BasisName]
    words: ClassVar[str]

    value: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        if type(self) is Figure:
            raise TypeError("a figure needs a basis: use one of the classes that name it")
        given = [x for x in (self.value, self.at_least, self.at_most, self.low, self.high)
                 if x is not None]  # fmt: skip
        if any(not math.isfinite(x) or x < 0 for x in given):
            raise ValueError("a figure is finite and not negative")

    def _value_beside(self, other: Figure) -> tuple[float, float]:
        if type(self) is not type(other):
            raise TypeError(
                f"{self.words} and {other.words} count different things and cannot be compared"
            )
        if self.value is None or other.value is None:
            raise ValueError("a range of counts has no single value to compare")
        return self.value, other.value

    def __lt__(self, other: Self) -> bool:
        mine, theirs = self._value_beside(_figure(other))
        return mine < theirs

    def __le__(self, other: Self) -> bool:
        mine, theirs = self._value_beside(_figure(other))
        return mine <= theirs

    def __gt__(self, other: Self) -> bool:
        mine, theirs = self._value_beside(_figure(other))
        return mine > theirs

    def __ge__(self, other: Self) -> bool:
        mine, theirs = self._value_beside(_figure(other))
        return mine >= theirs

    def __eq__(self, other: object) -> bool:
        """Equal in all numbers; a figure of another basis is an error, not merely unequal."""
        if not isinstance(other, Figure):
            return NotImplemented
        if type(self) is not type(other):
            self._value_beside(other)
        return self._numbers() == other._numbers()

    def __hash__(self) -> int:
        return hash((self.basis, self._numbers()))

    def _numbers(self) -> tuple[float | None, ...]:
        return self.value, self.at_least, self.at_most, self.low, self.high


def _figure(other: object) -> Figure:
    """``other`` itself; a bare number has no basis and so cannot be compared with a figure."""
    if not isinstance(other, Figure):
        raise TypeError("a figure can only be compared with a figure of the same basis")
    return other


class PerHundredAdults(Figure):
    """Mites per 100 adult bees, as a jar of bees gives them."""

    basis = "mites_per_100_adult_bees"
    words = "mites per 100 adult bees"


class PerHundredDoubled(Figure):
    """Mites per 100 bees, already doubled for the mites under cappings."""

    basis = "mites_per_100_bees_doubled"
    words = "mites per 100 bees, doubled for the mites under cappings"


class PerHundredWithBrood(Figure):
    """All mites of the colony, on bees and under cappings, per 100 adult bees.

    From the share of mites in brood, so no doubled figure: Lee's two is for decisions only.
    """

    basis = "mites_per_100_bees_with_brood"
    words = "mites per 100 adult bees, those under cappings counted in"


class SeenPerHundred(Figure):
    """Mites seen per 100 bees looked over on the comb: no measure, so a basis of its own."""

    basis = "mites_seen_per_100_bees"
    words = "mites seen per 100 bees looked over"


class FallPerDay(Figure):
    """Mites a day of natural fall."""

    basis = "mites_per_day_natural"
    words = "mites a day of natural fall"


class TreatedFallPerDay(Figure):
    """Mites a day that fell during or after a treatment; never to be held against fall limits."""

    basis = "mites_per_day_treated"
    words = "mites a day during or after a treatment"


class PercentDroneCells(Figure):
    """Percent of opened drone cells that held mites. Cells are counted, not mites."""

    basis = "percent_drone_cells"
    words = "percent of drone cells with mites"


BASES: dict[BasisName, type[Figure]] = {
    kind.basis: kind
    for kind in (
        PerHundredAdults,
        PerHundredDoubled,
        PerHundredWithBrood,
        SeenPerHundred,
        FallPerDay,
        TreatedFallPerDay,
        PercentDroneCells,
    )
}

F = TypeVar("F", bound=Figure)


@dataclass(frozen=True)
class Converted(Generic[F]):
    """A figure on another basis, with what was done in words and who published it."""

    figure: F
    words: str
    source: str


LEE_2010 = (
    "Lee KV, Moon RD, Burkness EC, Hutchison WD, Spivak M (2010) Practical sampling plans for "
    "Varroa destructor in Apis mellifera colonies and apiaries. "
    "Journal of Economic Entomology 103(4):1039-1050"
)
BROOD_FACTOR = 2.0
"""From mites on adult bees to mites on adults and pupae together, for decisions (Lee 2010)."""


def double_for_brood(adults: PerHundredAdults) -> Converted[PerHundredDoubled]:
    """The same figure doubled for the mites under cappings; only sound where there is brood.

    Doubles the limits too: doubling adds no information. The factor holds for beekeepers'
    decisions and not for the number of mites in a colony (Lee 2010).
    """
    return Converted(
        figure=_scaled(adults, PerHundredDoubled, lambda x: x * BROOD_FACTOR),
        words="doubled to stand for the mites under cappings as well, since brood is on record",
        source=LEE_2010,
    )


def halve_to_adults(doubled: PerHundredDoubled) -> Converted[PerHundredAdults]:
    """The figure on adult bees alone behind one that was already doubled for brood (Lee 2010)."""
    return Converted(
        figure=_scaled(doubled, PerHundredAdults, lambda x: x / BROOD_FACTOR),
        words="halved, since it was already doubled for the mites under cappings",
        source=LEE_2010,
    )


def _scaled(figure: Figure, kind: type[F], change: Callable[[float], float]) -> F:
    return kind(*(None if x is None else change(x) for x in figure._numbers()))
