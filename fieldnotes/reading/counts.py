"""Stage 10a: from the counts told of one sample to its number of mites.

Keepers count aloud: "two, then one more, so three", "five, no, six", "one in the first pour, two in
the second". Each count has a role: the first, a part that is added, a total that sums up, a repair
that replaces. Folding them in order gives the count, or a doubt.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal["count", "add", "total", "repair"]


@dataclass(frozen=True, slots=True)
class Told:
    """One count as told: its role, and whether the keeper was sure of it."""

    value: int
    role: Role
    open: bool = False
    low: int | None = None
    high: int | None = None
    strong: bool = True


@dataclass(frozen=True, slots=True)
class Folded:
    """``value`` is None where nothing settles the count; ``doubt`` is the kind of question."""

    value: int | None
    doubt: Literal["ambiguous", "conflict"] | None = None
    low: int | None = None
    high: int | None = None
    options: tuple[int, ...] = ()
    used: tuple[int, ...] = ()
    """Indices of the counts that make up ``value``: their words are the evidence."""


def fold(told: list[Told]) -> Folded:
    """Fold counts in the order they were told."""
    if not told:
        return Folded(None)
    parts: list[tuple[int, int]] = []
    doubt: Literal["ambiguous", "conflict"] | None = None
    total: tuple[int, int] | None = None
    open_count = False
    options: list[int] = []
    mended = False
    for index, t in enumerate(told):
        if t.low is not None or t.high is not None:
            if len(told) == 1 or index == len(told) - 1:
                return Folded(None, "ambiguous", t.low, t.high, used=(index,))
            continue
        if t.role == "repair" and (parts or total):
            if total is not None:
                total = None
            if parts:
                parts[-1] = (t.value, index)
            else:
                parts = [(t.value, index)]
            doubt = None
            mended = True
            open_count = t.open
            continue
        if t.role == "add" and parts:
            parts.append((t.value, index))
            total = None
            open_count = open_count or t.open
            continue
        if t.role == "total" and (parts or total):
            whole = sum(v for v, _ in parts)
            if mended and t.value != whole:
                # after a correction the sum that is said holds
                total, parts, open_count = (t.value, index), [(t.value, index)], t.open
                continue
            if len(parts) > 1 and whole != t.value:
                # a restated last part is no total: "two, then one more, that one dead"
                if t.value == parts[-1][0]:
                    continue
                doubt = "conflict"
                options = [whole, t.value]
            if len(parts) == 1 and t.value != parts[0][0]:
                doubt = "conflict"
                options = [parts[0][0], t.value]
                continue
            total = (t.value, index)
            open_count = t.open
            continue
        if parts:
            known = total[0] if total else sum(v for v, _ in parts)
            if t.value == known or any(t.value == v for v, _ in parts):
                if not t.open:
                    open_count = open_count and len(parts) > 1
                continue
            if not t.strong:
                continue
            doubt = "conflict"
            options = [known, t.value]
            continue
        parts = [(t.value, index)]
        open_count = t.open
    if not parts:
        return Folded(None)
    if doubt == "conflict":
        return Folded(
            None, "conflict", options=tuple(dict.fromkeys(options)), used=tuple(range(len(told)))
        )
    if total is not None:
        return Folded(total[0], "ambiguous" if open_count else None, used=(total[1],))
    return Folded(
        sum(v for v, _ in parts),
        "ambiguous" if open_count else None,
        used=tuple(i for _, i in parts),
    )
