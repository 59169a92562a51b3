"""Stage 9d: what the later stages ask of: the row, the standing of its words, the bindings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from ..items import Item, Row
from ..items.row import Hit
from ..standing import standing_of
from .candidates import Candidate


@dataclass(slots=True)
class Bound:
    """A row with the standings of each token, the chosen candidates, and the items inside names."""

    row: Row
    marks: list[set[str]]
    chosen: list[Candidate]
    named: set[int]
    by_item: dict[int, Candidate] = field(init=False)
    """The candidate that each value was given to."""

    _where: dict[int, list[int]] = field(init=False)
    _steps: dict[int, list[int]] = field(init=False)

    def __post_init__(self) -> None:
        self.by_item = {c.k: c for c in self.chosen if c.k >= 0}
        self._where = {}
        for n, c in enumerate(self.chosen):
            self._where.setdefault(c.k if c.k >= 0 else c.first, []).append(n)
        self._steps = {}
        for n, (_, i, _) in enumerate(self.row.steps):
            self._steps.setdefault(i, []).append(n)

    def of(self, places: Iterable[int]) -> list[Candidate]:
        """The chosen candidates told at these items, in the order of choice."""
        return [self.chosen[n] for n in sorted(n for k in places for n in self._where.get(k, ()))]

    def steps_near(self, places: Iterable[int]) -> list[Hit]:
        """The steps of a protocol that begin with these items or at the token after their first."""
        starts = {t for k in places for t in (self.row.items[k].i, self.row.items[k].i + 1)}
        return [
            self.row.steps[n] for n in sorted(n for t in starts for n in self._steps.get(t, ()))
        ]

    def standing(self, item: Item) -> set[str]:
        """All standings of the tokens of an item."""
        return standing_of(self.marks, item.i, item.j)

    def repaired(self, before: int, after: int) -> bool:
        """Whether a word of correction stands between two items, in the sentence of the second."""
        items, words = self.row.items, self.row.words
        if not 0 <= before < after < len(items):
            return False
        low, high = items[before].j, items[after].i + 1
        return any(
            "repair" in names and low <= i < high and "." not in words[j:high]
            for names, i, j in self.row.ops
        )
