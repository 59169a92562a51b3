"""Stage 10c: feed given."""

from __future__ import annotations

from ..binding import Bound
from ..drafts import Given, VisitDraft
from ..items import item_span
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
        told = [items[j] for j in range(max(a, k - 5), min(b, k + 5)) if j in amounts]
        # "all four syrup, 1 gal each": a measure before a bare number
        amount = min(told, key=lambda x: x.kind == "n", default=None)
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
