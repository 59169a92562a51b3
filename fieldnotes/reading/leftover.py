"""Stage 12: the numbers that no fact uses and that the reader could not explain."""

from __future__ import annotations

from collections.abc import Iterator

from ..grammar.load import Grammar
from ..records import Unread
from .binding import Candidate
from .clean import Clean
from .items import Item, Row
from .scenes import Mention

_SHORTEST_PLURAL = 3
_COUNTED = ("n", "vol", "spoon", "mass", "dur", "hours", "days", "temp", "pct", "frac")


def unread(
    row: Row,
    chosen: list[Candidate],
    mentions: list[Mention],
    used: set[int],
    cleaned: Clean,
    text: str,
    grammar: Grammar,
) -> Iterator[Unread]:
    """Every number that is neither in a fact, nor understood as something else, nor in a name."""
    known = {c.k for c in chosen if c.k >= 0} | used
    for m in mentions:
        known.update(range(m.first, m.last))
    for k, item in enumerate(row.items):
        if item.kind in _COUNTED and k not in known and not _explained(row.items, k, grammar):
            start, end = cleaned.span(item.start, item.end)
            yield Unread(text=text[start:end], span=(start, end))


def _explained(items: list[Item], k: int, grammar: Grammar) -> bool:
    """Whether a number stands for a thing or counts things that are none of the trade's.

    "The one by the gate"; "mended eight floors": a plural that the grammar does not know follows
    within the sentence. At its start the number may be a hive's: "3 feels light".
    """
    before = items[k - 1] if k else None
    after = items[k + 1] if k + 1 < len(items) else None
    pronouns = grammar.items.pronouns
    if items[k].word in pronouns.words:
        return (before is not None and before.word in pronouns.before) or (
            after is not None and after.word in pronouns.after
        )
    return (
        items[k].kind == "n"
        and (before is not None and before.kind != "border")
        and (after is not None and after.kind == "word" and after.word not in grammar.known_words)
        and len(after.word) > _SHORTEST_PLURAL
        and after.word.endswith("s")
    )
