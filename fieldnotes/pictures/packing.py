"""Words side by side without touching: in rows above a picture, and one above another beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Words:
    """Words that belong to ``anchor`` and reach from ``start`` to ``end``, all in centimetres."""

    anchor: float
    start: float
    end: float


def placed(anchor: float, length: float, low: float, high: float) -> Words:
    """Words of a ``length`` that begin at ``anchor``, moved in where they would pass an end."""
    start = max(low, min(anchor, high - length))
    return Words(anchor, start, start + length)


def rows_of(words: Sequence[Words], gap: float) -> list[int]:
    """The row of each, counted from the picture outwards, so that none touches another.

    Words of later anchors lie nearer, so that the line from words to their anchor meets few others.
    """
    order = sorted(range(len(words)), key=lambda turn: -words[turn].anchor)
    rows: dict[int, int] = {}
    for turn in order:
        one = words[turn]
        taken = {row for other, row in rows.items() if _touch(one, words[other], gap)}
        row = 0
        while row in taken:
            row += 1
        rows[turn] = row
    return [rows[turn] for turn in range(len(words))]


def _touch(one: Words, other: Words, gap: float) -> bool:
    return one.start < other.end + gap and other.start < one.end + gap


def pushed_apart(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Places as near to the ``wanted`` ones as ``gap`` between them allows, within two ends.

    Keeps the order of ``wanted``, whatever order they come in.

    >>> pushed_apart([2.0, 2.1], 0.5, 0, 10)
    [2.0, 2.5]
    """
    order = sorted(range(len(wanted)), key=lambda turn: wanted[turn])
    found = [0.0] * len(wanted)
    floor = low
    for turn in order:
        found[turn] = max(wanted[turn], floor)
        floor = found[turn] + gap
    ceiling = high
    for turn in reversed(order):
        found[turn] = min(found[turn], ceiling)
        ceiling = found[turn] - gap
    return found
