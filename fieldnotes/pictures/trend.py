"""What a picture of one colony over time shows: counts, the line, levels, treatments, marks.

All figures are of one basis, by type: counts of a jar and of a board never share a scale.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from ..errors import DateError, NumbersError
from ..estimate.basis import Figure
from ..estimate.dated import on
from .shown import shown


@dataclass(frozen=True)
class Point:
    """A count: its day, its figure with the limits of the likely range, how it was counted.

    A limit is None where the sample cannot give it. ``label`` stands beside the point, if any.
    """

    day: dt.date
    figure: Figure
    method: str = ""
    label: str = ""

    def __post_init__(self) -> None:
        in_order(self.figure, "a count")


@dataclass(frozen=True)
class LineDay:
    """The line of growth on one day: its middle as the value, and the limits of its range."""

    day: dt.date
    figure: Figure

    def __post_init__(self) -> None:
        in_order(self.figure, "a day of the line")
        if self.figure.low is None or self.figure.high is None:
            raise NumbersError("a day of the line has a low and a high end")


@dataclass(frozen=True)
class Level:
    """A watch or act level and the guideline that names it."""

    kind: str
    figure: Figure
    guideline: str

    def __post_init__(self) -> None:
        if self.kind not in ("watch", "act"):
            raise NumbersError(f"a level is for watching or for acting, not {self.kind!r}")
        if not self.figure.value:
            raise NumbersError("a level is a number above zero")


@dataclass(frozen=True)
class Treated:
    """A treatment by its active ingredient, in words; a day that is not known is None."""

    active: str
    first: dt.date | None = None
    last: dt.date | None = None

    def __post_init__(self) -> None:
        if self.first and self.last and self.last < self.first:
            raise DateError(
                f"{shown(self.active)} ends on {on(self.last)}, before it begins on "
                f"{on(self.first)}"
            )
        if self.first is None and self.last is None:
            raise DateError(f"{shown(self.active)}: neither its first nor its last day is known")


@dataclass(frozen=True)
class Mark:
    """Something that happened on a day, in a word or two: "swarmed"."""

    words: str
    day: dt.date


@dataclass(frozen=True)
class Trend:
    """The picture of one colony over time.

    Counts stand in order of their days, at least one of them; the line has its days in order.
    Raises TypeError where figures count different things, DateError for days out of order.
    """

    title: str
    points: tuple[Point, ...]
    line: tuple[LineDay, ...] = ()
    range_percent: int = 80
    levels: tuple[Level, ...] = ()
    treated: tuple[Treated, ...] = ()
    marks: tuple[Mark, ...] = ()

    def __post_init__(self) -> None:
        if not self.points:
            raise NumbersError("a picture over time needs at least one count")
        for earlier, later in pairwise(self.points):
            if later.day < earlier.day:
                raise DateError(
                    f"the counts are out of order: {on(later.day)} stands after {on(earlier.day)}"
                )
        if any(b.day <= a.day for a, b in pairwise(self.line)):
            raise DateError("the days of the line are out of order")
        one_basis(each.figure for group in (self.points, self.line, self.levels) for each in group)
        levels_in_order(self.levels)

    @property
    def unit(self) -> str:
        """What all figures count, in words."""
        return self.points[0].figure.words

    @property
    def first(self) -> dt.date:
        """The first day of the picture."""
        return min(self._days())

    @property
    def last(self) -> dt.date:
        """The last day of the picture."""
        return max(self._days())

    @property
    def treated_in_order(self) -> tuple[Treated, ...]:
        """The treatments by the first day that is known of each."""
        return tuple(sorted(self.treated, key=lambda each: each.first or each.last or self.first))

    def _days(self) -> list[dt.date]:
        days = [point.day for point in self.points]
        days += [each.day for each in self.line] + [mark.day for mark in self.marks]
        return days + [day for t in self.treated for day in (t.first, t.last) if day is not None]


def one_basis(figures: Iterable[Figure]) -> None:
    """Raise TypeError unless all ``figures`` count the same thing."""
    kinds = list(dict.fromkeys(type(figure) for figure in figures))
    if len(kinds) > 1:
        one, other = kinds[0].words, kinds[1].words
        raise TypeError(f"one picture shows one kind of figure, not {one} beside {other}")


def in_order(figure: Figure, what: str) -> None:
    """Raise NumbersError unless ``figure`` has a value between its limits."""
    if figure.value is None:
        raise NumbersError(f"{what} in a picture needs one value")
    low = figure.value if figure.low is None else figure.low
    high = figure.value if figure.high is None else figure.high
    if not low <= figure.value <= high:
        raise NumbersError(
            f"{what} in a picture lies between its limits, not {figure.value:g} in {low:g} to "
            f"{high:g}"
        )


def levels_in_order(levels: tuple[Level, ...]) -> None:
    """Raise NumbersError where a level stands twice, or to watch is not below to act."""
    by_kind = {level.kind: level.figure.value or 0 for level in levels}
    if len(by_kind) < len(levels):
        raise NumbersError("a picture has one level to watch and one to act")
    if by_kind.get("watch", 0) >= by_kind.get("act", float("inf")):
        raise NumbersError("the level to watch lies below the level to act")
