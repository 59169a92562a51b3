"""Stage 9d: what the later stages ask of: the row, the standing of its words, the bindings."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..items import Item, Row
from .candidates import Candidate

BLOCKING = frozenset({"planned", "remembered", "supposed", "reported", "rule"})
"""Standings of words that tell nothing of the visit itself."""


@dataclass(slots=True)
class Bound:
    """A row with the standings of each token, the chosen candidates, and the items inside names."""

    row: Row
    marks: list[set[str]]
    chosen: list[Candidate]
    named: set[int]
    by_item: dict[int, Candidate] = field(init=False)
    """The candidate that each value was given to."""

    def __post_init__(self) -> None:
        self.by_item = {c.k: c for c in self.chosen if c.k >= 0}

    def standing(self, item: Item) -> set[str]:
        """All standings of the tokens of an item."""
        out: set[str] = set()
        for t in range(item.i, item.j):
            out |= self.marks[t]
        return out

    def repaired(self, before: int, after: int) -> bool:
        """Whether a word of correction stands between two items."""
        items = self.row.items
        if not 0 <= before < after < len(items):
            return False
        low, high = items[before].j, items[after].i + 1
        return any("repair" in names and low <= i < high for names, i, _ in self.row.ops)
