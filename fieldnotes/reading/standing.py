"""Stage 6: how each word stands: done, denied, planned, remembered, supposed, reported, rule.

Cues reach forward or backward over a few words and end at a sentence border or at words that turn
the tide, as in the ConText algorithm (Harkema et al. 2009, J. Biomed. Inform. 42:839-851).
"""

from __future__ import annotations

from ..grammar.schema import Cue, Cues
from .items import Item, Row

_BORDER_WORDS = frozenset({".", ";", "!", "\n", "\n\n"})
# terms that a denial passes over on its way to what is denied
_TRANSPARENT = frozenset(
    {"seen", "counted", "act", "add", "remove", "shook", "rested", "fed", "weather", "container",
     "centre", "edge", "test", "count", "her", "todo", "fell", "treated", "virgin", "hive", "sample"}
)  # fmt: skip

Standing = frozenset[str]
DONE: Standing = frozenset()


def standings(row: Row, cues: Cues) -> list[set[str]]:
    """For every word of the row, the standings that cues give it; none means done."""
    words = row.words
    n = len(words)
    out: list[set[str]] = [set() for _ in range(n)]
    if not row.cues:
        return out
    item_at: dict[int, Item] = {}
    for item in row.items:
        for t in range(item.i, item.j):
            item_at[t] = item
    ends = cues.ends_at
    for hit in row.cues:
        cue = hit.cue
        if not isinstance(cue, Cue):
            continue
        if cue.direction == "backward":
            _backward(cue, hit.i, words, out, ends, row.gaps)
        else:
            _forward(cue, hit.i, hit.j, words, out, item_at, ends, row.gaps)
    return out


def _forward(
    cue: Cue,
    start: int,
    after: int,
    words: list[str],
    out: list[set[str]],
    item_at: dict[int, Item],
    ends: tuple[str, ...],
    gaps: frozenset[int],
) -> None:
    denial = cue.standing == "denied"
    for t in range(start, after):
        out[t].add(cue.standing)
    t, stop = after, min(len(words), after + cue.reach)
    met = False
    while t < stop:
        word = words[t]
        if (
            word in _BORDER_WORDS
            or word[0] == "\n"
            or word in ends
            or word in cue.ends_at
            or t in gaps
            or word == "|"
        ):
            return
        if word == ":" and words[after - 1] != ":":
            return
        if not denial and t > after + 4 and t in item_at and "hive" in item_at[t].ids:
            # speech without full stops: another colony is another sentence
            return
        if cue.ends_at and t + 1 < len(words) and f"{word} {words[t + 1]}" in cue.ends_at:
            return
        if denial:
            item = item_at.get(t)
            if word in (",", "(", "|") or word == "-":
                return
            if met and word not in (
                "or",
                "nor",
                "of",
                "any",
                "yet",
                "seen",
                "found",
                "spotted",
                "cells",
                "cell",
                "brood",
            ):
                return
            if word in ("or", "nor"):
                met = False
            elif (
                item is not None
                and t == item.j - 1
                and item.kind == "term"
                and not {i.split(".")[0] for i in item.ids} & _TRANSPARENT
            ):
                met = True
        out[t].add(cue.standing)
        t += 1


def _backward(
    cue: Cue,
    start: int,
    words: list[str],
    out: list[set[str]],
    ends: tuple[str, ...],
    gaps: frozenset[int],
) -> None:
    t, stop = start - 1, max(-1, start - 1 - cue.reach)
    while t > stop:
        word = words[t]
        if (
            word in _BORDER_WORDS
            or word[0] == "\n"
            or word in ends
            or word in (",", "|")
            or t + 1 in gaps
        ):
            return
        if word in cue.ends_at or (
            cue.standing == "denied" and (word in ("then", "and") or word[0].isdigit())
        ):
            return
        out[t].add(cue.standing)
        t -= 1
