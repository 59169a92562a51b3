"""Stage 10c: supers put on, taken off and standing on the hive."""

from __future__ import annotations

from ..binding import Bound, Candidate
from ..drafts import Given, VisitDraft
from ..items import item_span, span_of
from ..standing import BLOCKING
from .clauses import Clauses

_ON_IN_PASSING = 3.0
"""Weight up to which "her super is half full" yields to any word of a super moved."""


def add_supers(clauses: Clauses, bound: Bound, draft: VisitDraft, own: set[int]) -> None:
    """Add how many supers were added, were removed and are on."""
    told: dict[str, Given] = {}
    for c in bound.of(own):
        if not c.slot.startswith("supers_") or not _of_this_visit(clauses, c):
            continue
        if _uncounted(clauses, c):
            continue
        name = c.slot.removeprefix("supers_")
        old = told.get(name)
        if old is not None and old.weight >= c.weight:
            continue
        value = int(float(c.value)) if isinstance(c.value, (int, float)) else 1
        told[name] = Given(value, [_span(clauses, c)], weight=c.weight)
    back = told.pop("back", None)
    if back is not None:
        # lifted to look below: it was never gone
        told.pop("removed", None)
        told.pop("added", None)
        told.setdefault("on", back)
    elif "on" in told and told["on"].weight <= _ON_IN_PASSING and len(told) > 1:
        del told["on"]
    for name, given in told.items():
        draft.supers.setdefault(name, given)


def _of_this_visit(clauses: Clauses, c: Candidate) -> bool:
    if c.standing & (BLOCKING | {"denied"}):
        return False
    where = c.k if c.k >= 0 else c.first
    a, b = clauses.around(where)
    near = clauses.row.items[max(a, where - 6) : min(b, where + 8)]
    return not any(clauses.ahead(x) for x in near)


def _uncounted(clauses: Clauses, c: Candidate) -> bool:
    """ "Took her supers off": more than one, and nobody says how many."""
    many = clauses.row.grammar.chores.supers.many
    return (
        c.k < 0
        and c.value == 1
        and any(x.word in many for x in clauses.row.items[c.first : c.last])
    )


def _span(clauses: Clauses, c: Candidate) -> tuple[int, int]:
    if c.k >= 0:
        return item_span(clauses.row.items[c.k])
    return span_of(clauses.row, c.first, c.last)
