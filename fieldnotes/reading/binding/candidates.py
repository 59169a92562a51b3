"""Stage 9: a candidate, one possible binding, and its standing."""

from __future__ import annotations

from dataclasses import dataclass

from ..items import Row
from ..standing import standing_of


@dataclass(slots=True)
class Candidate:
    """A possible binding: ``slot`` gets ``value``; ``k`` is the value's item, or -1 if fixed.

    ``first`` to ``last`` are the items of the words that say so; ``denied`` tells whether they
    are denied.
    """

    slot: str
    value: object
    k: int
    first: int
    last: int
    weight: float
    standing: frozenset[str] = frozenset()
    column: bool = False


def stand(candidates: list[Candidate], row: Row, marks: list[set[str]]) -> None:
    """Give each candidate the standings of the words it rests on."""
    for c in candidates:
        if c.k >= 0:
            item = row.items[c.k]
            found = standing_of(marks, item.i, item.j)
        else:
            a = row.items[c.first]
            b = row.items[max(c.first, min(c.last, len(row.items)) - 1)]
            found = standing_of(marks, a.i, b.j)
        if found:
            c.standing = frozenset(found)
