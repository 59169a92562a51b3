"""Stage 10: the days a board lay, worked out from two dates told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from ..dates import resolve
from ..drafts import Doubt, Given, VisitDraft
from ..items import Row, item_span
from ..scopes import SHARED, Scopes
from .days import NoteDays


def days_between(
    row: Row, own: Iterable[int], marks: list[set[str]], written: dt.date, day_first: bool | None
) -> list[tuple[dt.date, int]]:
    """Full dates told as done in ``own``, for boards whose days are two dates."""
    out: list[tuple[dt.date, int]] = []
    for k in own:
        day = row.items[k].day
        if day is None:
            continue
        if any("planned" in marks[t] for t in range(row.items[k].i, row.items[k].j)):
            continue
        found = resolve(day, written, ahead=False, day_first=day_first)
        if found is not None and found <= written:
            out.append((found, k))
    return out


def board_days(
    row: Row,
    marks: list[set[str]],
    written: dt.date,
    day_first: bool | None,
    draft: VisitDraft,
    own: list[int],
    scopes: Scopes,
    days: NoteDays,
) -> None:
    """Days a board lay, worked out from two dates told."""
    for sample in draft.samples:
        method = sample.facts.get("method")
        if method is None or method.value != "sticky_board":
            continue
        shared = [k for k in range(len(row.items)) if scopes.of[k] == (SHARED,)]
        dates = days_between(row, sorted({*own, *shared}), marks, written, day_first)
        distinct = sorted({d for d, _ in dates})
        if (
            len(distinct) == 1
            and distinct[0] < written
            and any(w in row.words for w in row.grammar.samples.boards.since)
            and "date" not in draft.facts
        ):
            continue
        if len(distinct) == 2:
            spans = [item_span(row.items[k]) for _, k in dates]
            told = sample.facts.get("days")
            if told is not None:
                if abs(float(told.value) - (distinct[1] - distinct[0]).days) > 0.6:
                    sample.doubts.append(
                        Doubt(
                            "days",
                            "conflict",
                            [*told.spans, *spans],
                            (f"{told.value:g}", str((distinct[1] - distinct[0]).days)),
                        )
                    )
                    del sample.facts["days"]
                continue
            sample.facts["days"] = Given(float((distinct[1] - distinct[0]).days), spans)
            proof = next(item_span(row.items[k]) for d, k in dates if d == distinct[1])
            draft.facts["date"] = Given(distinct[1], [proof])
            days.doubts = [d for d in days.doubts if d.field != "date"]
