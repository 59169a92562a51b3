"""Stage 10c: feed given and supers moved."""

from __future__ import annotations

from ..binding import Bound
from ..drafts import Given, VisitDraft
from ..items import item_span, span_of
from ..standing import BLOCKING
from .clauses import Clauses


def add_feed(clauses: Clauses, bound: Bound, draft: VisitDraft, own: list[int]) -> None:
    """Add the feed given in ``own``."""
    items = clauses.row.items
    said = clauses.row.grammar.chores.feed
    mine = set(own)
    amounts = {c.k for c in bound.of(own) if c.slot == "fed_amount"}
    seen: set[str] = {f["what"].value for f in draft.fed}
    for k in own:
        item = items[k]
        kinds = [i.split(".", 1)[1] for i in item.ids if i.startswith("feed.")]
        if not kinds:
            continue
        marks = clauses.standing(item)
        if marks & (BLOCKING | {"denied"}):
            continue
        a, b = clauses.around(k)
        near = items[max(a, k - 7) : min(b, k + 6)]
        words = {x.word for x in near}
        given = any("fed" in x.ids or "add" in x.ids or "act.start" in x.ids for x in near)
        amount = next(
            (items[j] for j in range(max(a, k - 5), min(b, k + 5)) if j in amounts),
            None,
        )
        if kinds[0] == "pollen" and not (given or amount):
            continue
        if not (given or amount or b - a <= 4):
            continue
        if words & said.taken and not words & said.given:
            continue
        if any(clauses.ahead(x) for x in near):
            continue
        if kinds[0] in seen:
            continue
        seen.add(kinds[0])
        row: dict[str, Given] = {"what": Given(kinds[0], [item_span(item)])}
        if amount is None:
            before = (items[j] for j in range(max(a, k - 3), k) if j in mine)
            amount = next((x for x in before if x.kind in ("vol", "mass")), None)
        if amount is not None:
            row["amount"] = Given(clauses.row.text[amount.start : amount.end], [item_span(amount)])
        draft.fed.append(row)


def add_supers(clauses: Clauses, bound: Bound, draft: VisitDraft, own: set[int]) -> None:
    """Supers added, removed, on."""
    for c in bound.of(own):
        if not c.slot.startswith("supers_"):
            continue
        where = c.k if c.k >= 0 else c.first
        if c.standing & (BLOCKING | {"denied"}):
            continue
        a, b = clauses.around(where)
        if any(clauses.ahead(x) for x in clauses.row.items[max(a, where - 6) : min(b, where + 8)]):
            continue
        name = c.slot.removeprefix("supers_")
        value = int(float(c.value)) if isinstance(c.value, (int, float)) else 1
        old = draft.supers.get(name)
        if old is not None and old.weight >= c.weight:
            continue
        span = (
            item_span(clauses.row.items[c.k]) if c.k >= 0 else span_of(clauses.row, c.first, c.last)
        )
        draft.supers[name] = Given(value, [span], weight=c.weight)
    if "on" in draft.supers and draft.supers["on"].weight <= 3.0 and len(draft.supers) > 1:
        del draft.supers["on"]
