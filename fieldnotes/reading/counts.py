"""Stage 10a: from the counts told of one sample to its number of mites.

Keepers count aloud: "two, then one more, so three", "five, no, six", "one in the first pour, two in
the second". Each count has a role: the first, a part that is added, a total that sums up, a repair
that replaces, the one that is said to hold. A bare number on the way ("there was one hiding, so
five") is spare: by itself it is no count, but it may explain one; so may "another" without one.
Folding them in order gives the count, or a doubt.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Role = Literal["count", "add", "total", "repair", "settled", "spare", "another"]
Trouble = Literal["ambiguous", "conflict"]


FEWEST_IN_PARTS = 4
"""Mites from which numbers that come to as many are the parts of a count, and no more mites."""


@dataclass(frozen=True, slots=True)
class Told:
    """One count as told: its role, and whether the keeper was sure of it."""

    value: int
    role: Role
    open: bool = False
    low: int | None = None
    high: int | None = None
    strong: bool = True


@dataclass(frozen=True, slots=True)
class Folded:
    """``value`` is None where nothing settles the count; ``doubt`` is the kind of question."""

    value: int | None
    doubt: Trouble | None = None
    low: int | None = None
    high: int | None = None
    options: tuple[int, ...] = ()
    used: tuple[int, ...] = ()
    """Indices of the counts that make up ``value``: their words are the evidence."""
    confirmed: bool = False
    """Whether a correction, a part or a sum shows that mites were being counted."""


def fold(told: list[Told]) -> Folded:
    """Fold counts in the order they were told."""
    tally = _Tally()
    unsettled: tuple[Told, int] | None = None
    parts = _parts_of_first(told)
    for index, t in enumerate(told):
        if index in parts:
            continue
        if t.low is not None or t.high is not None:
            unsettled = (t, index)
            continue
        if unsettled is not None and _settles(t, unsettled[0]):
            unsettled = None
        tally.take(t, index)
    if unsettled is None:
        return tally.folded(len(told))
    bounds, index = unsettled
    return Folded(None, "ambiguous", bounds.low, bounds.high, used=(index,))


def _parts_of_first(told: list[Told]) -> range:
    """Of "five mites in two rinses, 4 plus 1", the parts that the first count was made of."""
    if not told or told[0].role != "count" or told[0].value < FEWEST_IN_PARTS:
        return range(0)
    for first in range(1, min(len(told), 3)):
        if told[first].role not in ("spare", "count", "add"):
            continue
        whole = told[first].value
        for last in range(first + 1, len(told)):
            if told[last].role not in ("add", "another"):
                break
            whole += told[last].value
            if whole == told[0].value:
                return range(first, last + 1)
    return range(0)


def _settles(t: Told, bounds: Told) -> bool:
    """Whether a count tells which number of a range holds: "three or four, no, four"."""
    if t.role in ("repair", "total", "settled"):
        return True
    low = bounds.low if bounds.low is not None else 0
    high = bounds.high if bounds.high is not None else t.value
    return t.role == "count" and low <= t.value <= high


def doubtful(told: list[Told], folded: Folded) -> Folded:
    """What is left of a count when it is said that nobody knows which of several holds."""
    values = tuple(dict.fromkeys(t.value for t in told if t.low is None and t.high is None))
    if len(values) > 1:
        return Folded(None, "conflict", options=values, used=tuple(range(len(told))))
    return replace(folded, doubt="ambiguous")


class _Tally:
    """The count so far."""

    def __init__(self) -> None:
        self.parts: list[tuple[int, int]] = []
        self.spare: list[int] = []
        self.others: list[int] = []
        self.uncounted = False
        """Whether another mite was told of without a number."""
        self.pending: list[tuple[int, int]] = []
        """Of the others, "one more" and the like: parts, unless a count follows that holds them."""
        self.total: tuple[int, int] | None = None
        self.rivals: tuple[int, ...] = ()
        """Counts of which nothing has settled yet which holds."""
        self.weak: list[int] = []
        """Counts told without a word of mites since: one that is said again as the sum holds."""
        self.maybe: tuple[int, ...] = ()
        """The count and what it may be as well: "three, possibly four"."""
        self.torn = False
        """Whether a total disagrees with its own parts."""
        self.open = False
        self.mended = False
        self.confirmed = False

    def take(self, t: Told, index: int) -> None:
        """Take in the next count."""
        if not self.parts:
            # the first is a count, whatever words stand before it
            if t.role == "spare":
                self.spare.append(t.value)
            elif t.role != "another":
                self._begin(t, index)
        elif t.role == "another":
            self.others.append(t.value)
            if t.strong:
                self.pending.append((t.value, index))
            else:
                self.uncounted = True
        elif t.role == "repair":
            self._repair(t, index)
        elif t.role == "add":
            self.parts.append((t.value, index))
            self.total = None
            self.open = self.open or t.open
            self.confirmed = True
        elif t.role == "settled" or self._explained(t):
            self._settle(t, index)
        elif t.role == "spare":
            self.spare.append(t.value)
            if t.open and t.value != self._sum():
                self.maybe = (self._sum(), t.value)
        elif t.role == "total":
            self._sum_up(t, index)
        else:
            self._count_again(t, index)

    def folded(self, told: int) -> Folded:
        """What all of it comes to."""
        if not self.parts:
            return Folded(None)
        if self.rivals or self.torn:
            return Folded(None, "conflict", options=self.rivals, used=tuple(range(told)))
        if self.maybe:
            return Folded(None, "ambiguous", options=self.maybe, used=tuple(range(told)))
        doubt: Trouble | None = "ambiguous" if self.open else None
        if self.pending:
            self.parts += self.pending
            self.total, self.confirmed = None, True
        made_of = self.parts if self.total is None else [self.total]
        value, used = sum(v for v, _ in made_of), tuple(i for _, i in made_of)
        return Folded(value, doubt, used=used, confirmed=self.confirmed)

    def _sum(self) -> int:
        return sum(v for v, _ in self.parts)

    def _begin(self, t: Told, index: int) -> None:
        self.parts = [(t.value, index)]
        self.total = None
        self.open = t.open

    def _explained(self, t: Told) -> bool:
        """Whether the parts and what was said since come to this count: "four, one more, five".

        A number that is no count by itself must be explained by "another".
        """
        rest = self.others if t.role == "spare" else self.others + self.spare
        missing = t.value - self._sum()
        if missing <= 0 or self.torn:
            return False
        # "one, then another, then a third, so three": not all of the others are numbered
        more = t.role == "total" and self.uncounted
        return more or missing == sum(rest) or missing in rest

    def _settle(self, t: Told, index: int) -> None:
        """This is the count."""
        self.parts = [(t.value, index)]
        self.total = (t.value, index)
        self.spare.clear()
        self.others.clear()
        self.pending.clear()
        self.uncounted = False
        self.rivals = self.maybe = ()
        self.open = t.open
        self.confirmed = True

    def _repair(self, t: Told, index: int) -> None:
        self.total = None
        self.parts[-1] = (t.value, index)
        self.pending.clear()
        self.rivals, self.maybe, self.torn = (), (), False
        self.mended = self.confirmed = True
        self.open = t.open

    def _sum_up(self, t: Told, index: int) -> None:
        whole = self._sum()
        if t.value == whole or t.value in (*self.rivals, *self.weak) or self.mended:
            # after a correction, or two that count, the sum that is said holds
            self._settle(t, index)
        elif len(self.parts) > 1 and t.value == self.parts[-1][0]:
            return  # a restated last part is no total: "two, then one more, that one dead"
        else:
            self.torn = True
            self.rivals = (whole, t.value)

    def _count_again(self, t: Told, index: int) -> None:
        """A count with no word of what it does to the one before."""
        known = self.total[0] if self.total else self._sum()
        if t.value == known or any(t.value == v for v, _ in self.parts):
            if not t.open:
                self.open = self.open and len(self.parts) > 1
        elif t.strong:
            self.rivals = tuple(dict.fromkeys((known, t.value)))
        else:
            self.weak.append(t.value)
