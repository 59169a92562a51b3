"""Stage 9d: a number that sums up the counts of several colonies is the count of none."""

from __future__ import annotations

from dataclasses import replace

from .binding import Candidate
from .items import Row
from .scopes import SHARED, Scopes
from .standing import BLOCKING

NEAR = 4
"""Words around a number among which it is called a sum."""


def without_sums(chosen: list[Candidate], row: Row, scopes: Scopes) -> list[Candidate]:
    """``chosen`` with the sums over colonies understood as no counts.

    "Hive 3 had 7, hive 4 had 3, so 10 mites all in": the numbers prove it. A sum that does not
    come out stays a count, so that it is asked about.
    """
    told = [c for c in chosen if c.slot == "mites" and c.k >= 0 and c.value]
    counts = {c.k for c in told if not c.standing & BLOCKING}
    if len({scopes.of[k] for k in counts}) < 2:
        return chosen
    bare = _bare_sums(row, {c.k for c in chosen if c.k >= 0})
    parts = {k: row.items[k].value for k in counts if scopes.of[k] != (SHARED,)}
    sums: set[int] = set()
    for k in sorted(counts | bare):
        value = row.items[k].value
        again = {j for j in parts if j >= k and row.items[j].value == value}
        if any(first <= k and row.items[first].value == value for first in sums):
            sums.add(k)  # "so nine in all, yes, nine": told twice
        elif _is_called_a_sum(row, k) and any(
            _is_sum_of(value, {j: v for j, v in parts.items() if j not in rest}, scopes)
            for rest in ({k}, again)
        ):
            sums.add(k)
    out = [replace(c, slot="not_fact") if c.slot == "mites" and c.k in sums else c for c in chosen]
    for k in sorted(sums & bare):
        out.append(Candidate("not_fact", row.items[k].value, k, k, k + 1, 4.5))
    return out


def _is_sum_of(value: float, parts: dict[int, float], scopes: Scopes) -> bool:
    """Whether the counts of two places or more come to ``value``."""
    return sum(parts.values()) == value and len({scopes.of[k] for k in parts}) > 1


def _bare_sums(row: Row, bound: set[int]) -> set[int]:
    """Numbers that nothing claims and that are called a sum: "four all up over the three"."""
    return {
        k
        for k, item in enumerate(row.items)
        if item.kind == "n" and item.value and k not in bound and _is_called_a_sum(row, k)
    }


def _is_called_a_sum(row: Row, k: int) -> bool:
    item = row.items[k]
    return any("total" in names for names, _, _ in row.ops_near(item.i - NEAR, item.j + NEAR))
