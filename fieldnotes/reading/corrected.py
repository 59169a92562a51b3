"""Stage 9e: a number of frames or cells that a bare number takes back right after it."""

from __future__ import annotations

from dataclasses import replace

from .binding import Candidate
from .items import Row

REACH = 5
"""Items after a number and its noun within which it is taken back."""

OWN = 3.6
"""Weight from which a number has a word of mites, and is no other count's correction."""

_COUNTED = frozenset({"queen_cells", "frames_bees", "frames_brood", "frames_stores", "supers_on"})


def with_corrections(chosen: list[Candidate], row: Row) -> list[Candidate]:
    """``chosen`` with "six frames of brood, no wait, five" read as five.

    Only a number that no noun follows and nothing else claims takes one back.
    """
    claimed = {c.k for c in chosen if c.k >= 0 and (c.slot != "mites" or c.weight >= OWN)}
    out: list[Candidate] = []
    taken: set[int] = set()
    for c in chosen:
        k = _corrects(c, row, claimed) if c.slot in _COUNTED and c.k >= 0 else None
        if k is None:
            out.append(c)
        else:
            taken.add(k)
            out.append(replace(c, slot="not_fact"))
            out.append(replace(c, value=row.items[k].value, k=k, first=k, last=k + 1))
    return [c for c in out if c.slot != "mites" or c.k not in taken]


def _corrects(c: Candidate, row: Row, claimed: set[int]) -> int | None:
    """The item of the number that takes back that of ``c``, or None."""
    end = max(c.last, c.k + 1)
    told = row.items[end - 1].j
    for k in range(end, min(len(row.items), end + REACH)):
        item = row.items[k]
        repairs = [
            (i, j) for names, i, j in row.ops_near(told, item.j) if "repair" in names and told <= i
        ]
        if item.kind != "n":
            of_repair = any(i <= item.i < j for i, j in repairs)
            if item.kind in ("border", "vol", "day") or (item.kind == "term" and not of_repair):
                return None
            continue
        taken_back = any(j <= item.i for _, j in repairs)
        after = row.items[k + 1] if k + 1 < len(row.items) else None
        bare = after is None or after.ids.isdisjoint(row.grammar.mentions.common.countable)
        whole = item.low is None and item.high is None
        return k if taken_back and bare and whole and k not in claimed else None
    return None
