"""Stage 10c: plans as chores, with the day they are due where one is said."""

from __future__ import annotations

import datetime as dt
from typing import Any

from ..dates import resolve
from ..drafts import Doubt, Given, VisitDraft
from ..items import Item, item_span, span_of
from .clauses import Clauses


def add_todos(clauses: Clauses, draft: VisitDraft, own: list[int], base: dt.date) -> None:
    """Plans as chores, with the day they are due where one is said."""
    items = clauses.row.items
    done: set[tuple[int, int]] = set()
    for k in own:
        item = items[k]
        marks = clauses.standing(item)
        planned = "planned" in marks
        ahead = item.kind == "day" and clauses.ahead(item)
        chore = "todo" in item.ids and not marks & {"denied", "remembered"}
        if not (planned or ahead or chore) or marks & {"remembered", "reported", "rule"}:
            continue
        if "denied" in marks and not ahead:
            continue
        a, b = _chore_span(clauses, k, planned)
        if (a, b) in done or any(x <= k < y for x, y in done):
            continue
        due: dt.date | None = None
        proof: Item | None = None
        asked = False
        for j in range(a, b):
            day = items[j].day
            if day is None or "remembered" in clauses.standing(items[j]):
                continue
            back = day.kind == "offset" and day.days <= 0 and day.which != "months-ahead"
            if back and not (day.days == 0 and planned):
                continue
            start = (
                base
                if day.kind == "offset" and day.which in ("ahead", "months-ahead")
                else clauses.written
            )
            found = resolve(day, start, ahead=True, day_first=clauses.day_first)
            if found is None:
                if day.kind in ("weekday", "numeric"):
                    asked = True
                    draft.doubts.append(
                        Doubt("todo", "ambiguous", [item_span(items[j])], need="sharpens")
                    )
                continue
            if found < base:
                continue
            due, proof = found, items[j]
            break
        if not planned and not chore and (due is None or due == base) and not asked:
            continue
        done.add((a, b))
        words = " ".join(x.word for x in items[a:b] if x.kind != "border").strip(" ,-")
        span = span_of(clauses.row, a, b)
        what = clauses.row.text[span[0] : span[1]].strip(" ,-\n") or words
        row: dict[str, Any] = {"what": Given(" ".join(what.split()), [span])}
        if due is not None and proof is not None:
            row["due"] = Given(due, [item_span(proof)])
        draft.todo.append(row)


def _chore_span(clauses: Clauses, k: int, planned: bool) -> tuple[int, int]:
    items = clauses.row.items
    a, b = clauses.around(k)
    if b - a > 24:
        # run-on speech: from the cue, or a few words before the day
        lo = k
        while planned and lo > a and "planned" in clauses.standing(items[lo - 1]):
            lo -= 1
        hi = k + 1
        while (
            hi < b
            and hi - k < 18
            and ("planned" in clauses.standing(items[hi]) or (not planned and hi - k < 3))
        ):
            hi += 1
        while hi < b and hi - lo < 26 and items[hi].kind == "day":
            hi += 1
        if not planned:
            lo = max(a, k - 7)
        return lo, hi
    return a, b
