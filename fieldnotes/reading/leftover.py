"""Stage 12: the numbers that no fact uses and that the reader could not explain."""

from __future__ import annotations

from collections.abc import Iterator

from ..grammar.load import Grammar
from ..records import Unread
from .binding import Candidate
from .clean import Clean
from .items import Item, Row
from .scenes import Mention
from .standing import standing_of

_SHORTEST_PLURAL = 3
_OF_OTHERS = frozenset({"remembered", "reported", "supposed", "rule"})
_COUNTED = ("n", "vol", "spoon", "mass", "dur", "hours", "days", "temp", "pct", "frac")


def unread(
    row: Row,
    chosen: list[Candidate],
    mentions: list[Mention],
    used: set[int],
    cleaned: Clean,
    text: str,
    marks: list[set[str]],
) -> Iterator[Unread]:
    """Every number that is neither in a fact, nor understood as something else, nor in a name.

    What is remembered, reported, supposed or a rule is understood to be no fact of the visit.
    """
    known = {c.k for c in chosen if c.k >= 0} | used
    for m in mentions:
        known.update(range(m.first, m.last))
    for k, item in enumerate(row.items):
        if (
            item.kind not in _COUNTED
            or k in known
            or standing_of(marks, item.i, item.j) & _OF_OTHERS
        ):
            continue
        if not _explained(row.items, k, row.grammar):
            start, end = cleaned.span(item.start, item.end)
            yield Unread(text=text[start:end], span=(start, end))


def _is_plain(item: Item | None) -> bool:
    return item is not None and item.kind == "word" and item.word.isalpha() and len(item.word) > 2


def _explained(items: list[Item], k: int, grammar: Grammar) -> bool:
    """Whether a number stands for a thing or counts things that are none of the trade's.

    "The one by the gate", "a cold one"; "the other two", "four of them"; "mended eight floors": a
    plural that the grammar does not know follows within the sentence. At its start the number may
    be a hive's: "3 feels light".
    """
    before = items[k - 1] if k else None
    after = items[k + 1] if k + 1 < len(items) else None
    pronouns = grammar.items.pronouns
    if items[k].word in pronouns.words:
        led = k > 1 and items[k - 2].word in pronouns.leads and items[k - 1].kind == "word"
        # "one leaf": an article, but at the start of a sentence it may name a hive
        article = before is not None and before.kind != "border" and _is_plain(after)
        return (
            led
            or article
            or (
                (before is not None and before.word in pronouns.before)
                or (after is not None and after.word in pronouns.after)
            )
        )
    if before is not None and items[k].kind == "n" and before.word in pronouns.groups:
        return True
    if after is not None and items[k].kind == "n" and after.word.partition(" ")[0] in pronouns.of:
        following = " ".join(item.word for item in items[k + 1 : k + 3]).split()[1:2]
        if following and following[0] in pronouns.them:
            return True
    return (
        items[k].kind == "n"
        and (before is not None and before.kind != "border")
        and (after is not None and after.kind == "word" and after.word not in grammar.known_words)
        and len(after.word) > _SHORTEST_PLURAL
        and after.word.endswith("s")
    )
