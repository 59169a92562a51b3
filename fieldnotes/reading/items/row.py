"""Stage 3: the shape of a row, on which all later stages work.

An item is the unit of those stages. Each has a character, so that the row is also a string on which
the patterns of the grammar run (see :mod:`fieldnotes.grammar.pattern`).
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from ...grammar.load import Grammar
from ...grammar.schema import Cue, Pseudo, Unit
from ...records import Span
from ..dates import Day

_NONE: frozenset[str] = frozenset()

QUANTITIES = frozenset({"n", "dur", "vol", "spoon", "days", "hours", "mass", "pct", "temp"})
"""Kinds of items that hold an amount of something."""


@dataclass(slots=True)
class Item:
    """One term, value, word or mark of the note.

    ``kind`` is a value kind (see ``VALUE_KINDS``), or "term", "word", "name", "mark", "border".
    ``i``, ``j`` are token indices, ``start``, ``end`` offsets into the clean text.
    ``value`` is in the canonical unit; ``low`` and ``high`` are set for ranges and bounds.
    """

    kind: str
    sym: str
    word: str
    i: int
    j: int
    start: int
    end: int
    ids: frozenset[str] = _NONE
    value: float = 0.0
    low: float | None = None
    high: float | None = None
    hedged: bool = False
    open: bool = False
    unit: Unit | None = None
    day: Day | None = None
    form: str = ""
    over: float = 0.0
    raw: str = ""


@dataclass(slots=True)
class CueHit:
    """A standing cue found at tokens ``i`` to ``j``."""

    cue: Cue | Pseudo
    i: int
    j: int


Hit = tuple[frozenset[str], int, int]
"""Ids found at tokens ``i`` to ``j`` of an overlay."""


@dataclass(slots=True)
class Row:
    """A whole note as items; ``symbols[k]`` is the character of ``items[k]``."""

    grammar: Grammar
    text: str
    words: list[str]
    items: list[Item]
    symbols: str
    cues: list[CueHit]
    ops: list[Hit]
    steps: list[Hit]
    gaps: frozenset[int] = frozenset()
    """Tokens that begin a new column: after a tab or a run of spaces."""

    def ops_near(self, a: int, b: int) -> list[Hit]:
        """The corrections, sums and additions that begin at tokens ``a`` to ``b``, exclusive."""
        low = bisect_left(self.ops, a, key=_begin)
        return self.ops[low : bisect_left(self.ops, b, lo=low, key=_begin)]


def _begin(hit: Hit) -> int:
    return hit[1]


def span_of(row: Row, first: int, last: int) -> Span:
    """Character span of items ``first`` to ``last`` (exclusive) in the clean text."""
    last = max(first + 1, min(last, len(row.items)))
    return (row.items[first].start, row.items[last - 1].end)


def item_span(item: Item) -> Span:
    """Character span of one item in the clean text."""
    return (item.start, item.end)
