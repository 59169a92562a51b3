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
    counts = [c for c in told if not c.standing & BLOCKING]
    sums = {c.k for c in counts if _is_sum(c, counts, row, scopes)}
    return [replace(c, slot="not_fact") if c.slot == "mites" and c.k in sums else c for c in chosen]


def _is_sum(c: Candidate, counts: list[Candidate], row: Row, scopes: Scopes) -> bool:
    item = row.items[c.k]
    if not any("total" in names for names, _, _ in row.ops_near(item.i - NEAR, item.j + NEAR)):
        return False
    parts = [o for o in counts if o.k != c.k and scopes.of[o.k] != (SHARED,)]
    places = {scopes.of[o.k] for o in parts}
    return len(places) > 1 and sum(row.items[o.k].value for o in parts) == item.value
