"""Stage 10c: plans as chores, with the day they are due where one is said."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from ..dates import Day, resolve
from ..drafts import Doubt, Given, VisitDraft
from ..items import Item, item_span, span_of
from .clauses import Clauses

_NOT_TO_DO = frozenset({"remembered", "reported", "rule"})

_LONG = 24
"""Items from which a clause is run-on speech, of which a chore is only a part."""


@dataclass(slots=True)
class _Due:
    """The day a chore is due and the item that says it; ``open`` if it could be either of two."""

    date: dt.date | None = None
    proof: Item | None = None
    open: Item | None = None


def add_todos(clauses: Clauses, draft: VisitDraft, own: list[int], base: dt.date) -> None:
    """Plans as chores, with the day they are due where one is said."""
    done: list[tuple[int, int]] = []
    days: set[int] = set()
    for k in own:
        planned = _plans(clauses, k)
        if planned is None or any(a <= k < b for a, b in done):
            continue
        a, b = _chore_span(clauses, k, planned=planned == "planned")
        if (a, b) in done:
            continue
        due = _due(clauses, range(a, b), base, any_day=planned == "chore")
        if due.open is not None:
            doubt = Doubt("todo", "ambiguous", [item_span(due.open)], need="sharpens")
            draft.doubts.append(doubt)
        if planned == "ahead" and due.open is None and (due.date is None or due.date == base):
            continue
        done.append((a, b))
        if due.proof is not None and due.proof.i in days:
            # one day, one chore: its clause was cut in two
            continue
        if due.proof is not None:
            days.add(due.proof.i)
        draft.todo.append(_chore(clauses, a, b, due))


def _plans(clauses: Clauses, k: int) -> str | None:
    """What makes the item at ``k`` one of a chore: a "planned" word, a "chore", a day "ahead"."""
    item = clauses.row.items[k]
    marks = clauses.standing(item)
    if marks & _NOT_TO_DO:
        return None
    ahead = item.kind == "day" and clauses.ahead(item)
    if "denied" in marks and not ahead:
        return None
    if "planned" in marks:
        return "planned"
    if "todo" in item.ids:
        return "chore"
    return "ahead" if ahead else None


def _due(clauses: Clauses, chore: range, base: dt.date, *, any_day: bool) -> _Due:
    """The first day of a chore that is planned, or ``any_day``, from the visit's ``base`` on."""
    due = _Due()
    for k in chore:
        item = clauses.row.items[k]
        day = item.day
        if day is None or "remembered" in clauses.standing(item) or _is_over(clauses, item, day):
            continue
        if not any_day and not clauses.ahead(item) and "planned" not in clauses.standing(item):
            continue
        counted = day.kind == "offset" and day.which in ("ahead", "months-ahead")
        found = resolve(
            day, base if counted else clauses.written, ahead=True, day_first=clauses.day_first
        )
        if found is None:
            if day.kind in ("weekday", "numeric"):
                due.open = item
            continue
        if found >= base:
            due.date, due.proof = found, item
            break
    return due


def _is_over(clauses: Clauses, item: Item, day: Day) -> bool:
    """Whether a day counted from today is no day to come; "tonight" is one in a plan."""
    if day.kind != "offset" or day.days > 0 or day.which == "months-ahead":
        return False
    later = item.word in clauses.row.grammar.dates.day.later_today
    return not (later and "planned" in clauses.standing(item))


def _chore(clauses: Clauses, a: int, b: int, due: _Due) -> dict[str, Any]:
    span = span_of(clauses.row, a, b)
    words = " ".join(x.word for x in clauses.row.items[a:b] if x.kind != "border").strip(" ,-")
    what = clauses.row.text[span[0] : span[1]].strip(" ,-\n") or words
    row: dict[str, Any] = {"what": Given(" ".join(what.split()), [span])}
    if due.date is not None and due.proof is not None:
        row["due"] = Given(due.date, [item_span(due.proof)])
    return row


def _chore_span(clauses: Clauses, k: int, *, planned: bool) -> tuple[int, int]:
    """The items of the chore around ``k``; of run-on speech only those that the plan reaches."""
    items = clauses.row.items
    a, b = clauses.around(k)
    if b - a <= _LONG:
        return a, b
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
    return (lo if planned else max(a, k - 7)), hi
