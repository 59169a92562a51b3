"""Stage 9: a candidate, one possible binding, and its standing."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..items import Row


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
    rivals: list[tuple[str, float]] = field(default_factory=list)
    column: bool = False


def stand(candidates: list[Candidate], row: Row, marks: list[set[str]]) -> None:
    """Give each candidate the standings of the words it rests on."""
    for c in candidates:
        if c.k >= 0:
            item = row.items[c.k]
            tokens = range(item.i, item.j)
        else:
            a = row.items[c.first]
            b = row.items[max(c.first, min(c.last, len(row.items)) - 1)]
            tokens = range(a.i, b.j)
        found: set[str] = set()
        for t in tokens:
            if marks[t]:
                found |= marks[t]
        if found:
            c.standing = frozenset(found)
