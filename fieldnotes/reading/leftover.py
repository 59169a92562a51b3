"""Stage 12: the numbers that no fact uses and that the reader could not explain."""

from __future__ import annotations

from collections.abc import Iterator

from ..records import Unread
from .binding import Candidate
from .clean import Clean
from .items import Row
from .scenes import Mention

_COUNTED = ("n", "vol", "spoon", "mass", "dur", "hours", "days", "temp", "pct", "frac")


def unread(
    row: Row,
    chosen: list[Candidate],
    mentions: list[Mention],
    used: set[int],
    cleaned: Clean,
    text: str,
) -> Iterator[Unread]:
    """Every number that is neither in a fact, nor understood as something else, nor in a name."""
    known = {c.k for c in chosen if c.k >= 0} | used
    for m in mentions:
        known.update(range(m.first, m.last))
    for k, item in enumerate(row.items):
        if item.kind in _COUNTED and k not in known:
            start, end = cleaned.span(item.start, item.end)
            yield Unread(text=text[start:end], span=(start, end))
