"""Stage 10: the days a board lay, worked out from two dates told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from ...records import Span
from ..chores import Clauses
from ..dates import resolve
from ..drafts import Doubt, Given, SampleDraft, VisitDraft
from ..items import Item, Row, item_span
from ..standing import BLOCKING
from .days import NoteDays, day_of_putting_in


@dataclass(frozen=True, slots=True)
class DayTold:
    """A full date told as done; ``went_in`` if it is the day that a board was put in."""

    date: dt.date
    item: Item
    went_in: bool


def board_days(
    clauses: Clauses, draft: VisitDraft, own: list[int], shared: list[int], days: NoteDays
) -> None:
    """Days each board of this place lay, from two dates told of it or of all boards."""
    boards = [s for s in draft.samples if s.method == "sticky_board"]
    for sample in draft.samples:
        if sample.method is None:
            sample.facts.pop("days", None)
    if not boards:
        return
    told = _dates_told(clauses, sorted({*own, *shared}))
    if len({t.date for t in told}) > 2:
        # the days of all boards, beside days of other things
        told = _dates_told(clauses, shared)
    distinct = sorted({t.date for t in told})
    spans = [item_span(t.item) for t in told]
    if len(distinct) == 1 and told[0].went_in and "date" in draft.facts:
        visit = draft.facts["date"]
        lay = (visit.value - distinct[0]).days
        if lay > 0:
            for sample in boards:
                sample.facts.setdefault("days", Given(float(lay), [*visit.spans, *spans]))
    if len(distinct) != 2:
        return
    went_in, came_out = _in_and_out(told, distinct)
    for sample in boards:
        if "days" in sample.facts and not any(t.went_in for t in told):
            continue  # two days, of which none says that it is the board's
        if _lay(sample, (came_out - went_in).days, spans):
            proof = next(item_span(t.item) for t in told if not t.went_in or t.date == came_out)
            draft.facts["date"] = Given(came_out, [proof])
            days.doubts = [d for d in days.doubts if d.field != "date"]


def _dates_told(clauses: Clauses, own: Iterable[int]) -> list[DayTold]:
    """The full dates told as done in ``own``."""
    out: list[DayTold] = []
    for k in own:
        item = clauses.row.items[k]
        if item.day is None or clauses.standing(item) & BLOCKING or clauses.ahead(item):
            continue
        found = resolve(item.day, clauses.written, ahead=False, day_first=clauses.day_first)
        if found is not None and found <= clauses.written:
            went_in = day_of_putting_in(clauses.row, k) or _lay_from(clauses.row, k)
            out.append(DayTold(found, item, went_in))
    full = [t for t in out if t.item.day is not None and t.item.day.kind in ("date", "numeric")]
    # beside two full dates a weekday is of something else
    return full if len({t.date for t in full}) > 1 else out


def _lay_from(row: Row, k: int) -> bool:
    """ "It lay from Monday to Friday": whether the day at item ``k`` is the first of the two."""
    return k > 0 and row.items[k - 1].word in row.grammar.samples.boards.lay_from


def _in_and_out(told: list[DayTold], distinct: list[dt.date]) -> tuple[dt.date, dt.date]:
    """The day the board went in and the day it came out.

    "In on Sunday, out on Wednesday", written on a Tuesday: the Sunday is the one before that
    Wednesday, not the last one before the note.
    """
    first = next((t for t in told if t.went_in), None)
    if first is not None and first.date == distinct[1] and first.item.kind == "day":
        day = first.item.day
        if day is not None and day.kind == "weekday":
            return first.date - dt.timedelta(days=7), distinct[0]
    return distinct[0], distinct[1]


def _lay(sample: SampleDraft, days: int, spans: list[Span]) -> bool:
    """Note the days that the dates give, or ask if others are said. Whether the dates hold."""
    told = sample.facts.get("days")
    if told is None:
        sample.facts["days"] = Given(float(days), spans)
        return True
    if abs(float(told.value) - days) > 0.6:
        options = (f"{told.value:g}", str(days))
        sample.doubts.append(Doubt("days", "conflict", [*told.spans, *spans], options))
        del sample.facts["days"]
        return False
    return True
