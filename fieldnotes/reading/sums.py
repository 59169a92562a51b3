"""Stage 9d: a number that sums up the counts of several colonies is the count of none."""

from __future__ import annotations

from collections import Counter
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
    parts = [k for k in counts if scopes.of[k] != (SHARED,)]
    places = Counter(scopes.of[k] for k in parts)
    whole = sum(row.items[k].value for k in parts)
    sums = set()
    for k in counts:
        own = scopes.of[k]
        among = own != (SHARED,)
        others = len(places) - (among and places[own] == 1)
        value = row.items[k].value
        if others > 1 and whole - among * value == value and _is_called_a_sum(row, k):
            sums.add(k)
    return [replace(c, slot="not_fact") if c.slot == "mites" and c.k in sums else c for c in chosen]


def _is_called_a_sum(row: Row, k: int) -> bool:
    item = row.items[k]
    return any("total" in names for names, _, _ in row.ops_near(item.i - NEAR, item.j + NEAR))
