"""Stage 10: the days a board lay, worked out from two dates told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from ..chores import Clauses
from ..dates import resolve
from ..drafts import Doubt, Given, VisitDraft
from ..items import item_span
from .days import NoteDays


def dates_told(clauses: Clauses, own: Iterable[int]) -> list[tuple[dt.date, int]]:
    """Full dates told as done in ``own``, each with its item."""
    out: list[tuple[dt.date, int]] = []
    for k in own:
        item = clauses.row.items[k]
        if item.day is None or "planned" in clauses.standing(item):
            continue
        found = resolve(item.day, clauses.written, ahead=False, day_first=clauses.day_first)
        if found is not None and found <= clauses.written:
            out.append((found, k))
    return out


def board_days(
    clauses: Clauses, draft: VisitDraft, own: list[int], shared: list[int], days: NoteDays
) -> None:
    """Days a board lay, worked out from two dates told of this place or of all."""
    row = clauses.row
    for sample in draft.samples:
        if sample.method != "sticky_board":
            continue
        dates = dates_told(clauses, sorted({*own, *shared}))
        distinct = sorted({d for d, _ in dates})
        if len(distinct) != 2:
            continue
        lay = (distinct[1] - distinct[0]).days
        spans = [item_span(row.items[k]) for _, k in dates]
        told = sample.facts.get("days")
        if told is not None:
            if abs(float(told.value) - lay) > 0.6:
                sample.doubts.append(
                    Doubt("days", "conflict", [*told.spans, *spans], (f"{told.value:g}", str(lay)))
                )
                del sample.facts["days"]
                continue
        else:
            sample.facts["days"] = Given(float(lay), spans)
        proof = next(item_span(row.items[k]) for d, k in dates if d == distinct[1])
        draft.facts["date"] = Given(distinct[1], [proof])
        days.doubts = [d for d in days.doubts if d.field != "date"]
