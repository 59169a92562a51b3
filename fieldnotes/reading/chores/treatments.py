"""Stage 10c: treatments: the active or the form that is named, and what was done with it."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..binding import Bound
from ..drafts import Doubt, Given, VisitDraft
from ..items import item_span, span_of
from .actions import Action, Actions, amount_of
from .clauses import Clauses

_DRONES = "drone_removal"


@dataclass(frozen=True, slots=True)
class _Unnamed:
    """A treatment told without its active: "the strips", "treated".

    ``known`` is the active that was named before, or later in the same clause.
    """

    k: int
    action: str
    known: str | None


@dataclass(slots=True)
class _Told:
    """What one place tells: its treatments by active and action, and those without a name."""

    rows: dict[tuple[str, str], dict[str, Given]] = field(default_factory=dict)
    unnamed: list[_Unnamed] = field(default_factory=list)


class Treatments:
    """Finds the treatments of one place."""

    def __init__(self, clauses: Clauses, bound: Bound, own_words: dict[str, str]) -> None:
        self.clauses = clauses
        self.row = clauses.row
        self.bound = bound
        self.own_words = own_words
        self.words = self.row.grammar.chores.treatments

    def add(self, draft: VisitDraft, own: list[int], known_active: str | None) -> str | None:
        """Add the treatments told in ``own``; returns the last active named."""
        mine = set(own)
        actions = Actions(self.clauses, mine)
        told = _Told()
        last = known_active
        for k in own:
            if self.row.items[k].kind != "term":
                continue
            active = self._active(k)
            if active is None:
                self._without_name(k, actions, last, told)
                continue
            action = actions.of(k)
            if action is not None:
                last = active
                self._named(draft, k, active, action, mine, told)
        self._drone_brood_cut(draft, own, told)
        for each in told.unnamed:
            self._unnamed(draft, each, told)
        return last

    def _active(self, k: int) -> str | None:
        """The active that the item names, also by the keeper's own word for it."""
        item = self.row.items[k]
        named = (i.split(".", 1)[1] for i in sorted(item.ids) if i.startswith("active."))
        return next(named, None) or self.own_words.get(item.word)

    def _without_name(self, k: int, actions: Actions, last: str | None, told: _Told) -> None:
        item = self.row.items[k]
        if "form" in item.ids and self._is_strip(k):
            action = actions.of(k)
            if action is not None:
                known = last or self._named_after(k)
                told.unnamed.append(_Unnamed(k, action.kind, known))
        elif "treated" in item.ids and not self.clauses.standing(item):
            told.unnamed.append(_Unnamed(k, "treated", last or self._named_after(k)))

    def _named_after(self, k: int) -> str | None:
        """ "Vaporised with oxalic acid": the active that the clause names after the item ``k``."""
        _, b = self.clauses.around(k)
        return next(filter(None, map(self._active, range(k + 1, b))), None)

    def _named(
        self,
        draft: VisitDraft,
        k: int,
        active: str,
        action: Action,
        mine: set[int],
        told: _Told,
    ) -> None:
        items = self.row.items
        spans = [item_span(items[k])]
        if action.by is not None and action.by != k:
            spans.append(item_span(items[action.by]))
        row = {"active": Given(active, [spans[0]]), "action": Given(action.kind, spans)}
        amount = amount_of(self.clauses, k, mine - self.bound.named)
        if amount is not None:
            row["amount"] = Given(self.row.text[amount.start : amount.end], [item_span(amount)])
        if action.kind == "earlier":
            ended = action.by is not None and "act.end" in items[action.by].ids
            row["action"] = Given("end" if ended else "start", spans)
            row["remembered"] = Given(True, spans)
            draft.earlier.append(row)
            return
        known = told.rows.get((active, action.kind))
        if known is not None:
            for name, given in row.items():
                known.setdefault(name, given)
            return
        if not action.sure and amount is None:
            draft.doubts.append(Doubt("treatment", "ambiguous", [spans[0]]))
        told.rows[active, action.kind] = row
        draft.treatment.append(row)

    def _drone_brood_cut(self, draft: VisitDraft, own: list[int], told: _Told) -> None:
        """Drone comb cut out, said in words that stand apart: "cut the green drone comb out"."""
        for c in self.bound.of(own):
            if c.slot != _DRONES or c.standing or (_DRONES, "start") in told.rows:
                continue
            span = span_of(self.row, c.first, c.last)
            row = {"active": Given(_DRONES, [span]), "action": Given("start", [span])}
            told.rows[_DRONES, "start"] = row
            draft.treatment.append(row)

    def _is_strip(self, k: int) -> bool:
        item = self.row.items[k]
        before = self.row.items[k - 1] if k else None
        if before is not None and any(i.startswith(("active.", "feed.")) for i in before.ids):
            return False
        return item.word in self.words.forms

    def _unnamed(self, draft: VisitDraft, each: _Unnamed, told: _Told) -> None:
        """A form without its active is that of the active named; else the active is asked for."""
        item = self.row.items[each.k]
        span = item_span(item)
        action = each.action
        if action in ("planned", "earlier") and each.known is None:
            return
        if each.known is not None:
            begun = action == "start" and any(a == each.known for a, _ in told.rows)
            if action in ("treated", "earlier") or begun or (each.known, action) in told.rows:
                return
            row = {"active": Given(each.known, [span]), "action": Given(action, [span])}
            told.rows[each.known, action] = row
            draft.treatment.append(row)
            return
        if any(d.field == "treatment" for d in draft.doubts):
            return
        if action == "treated":
            a, b = self.clauses.around(each.k)
            if self.words.treated.isdisjoint(w.word for w in self.row.items[a:b]):
                return
            action = "start"
        unknown = {"active": Given("unknown", [span]), "action": Given(action, [span])}
        if "form" in item.ids:
            unknown["form"] = Given(item.word, [span])
        draft.treatment.append(unknown)
        draft.doubts.append(Doubt("treatment", "missing", [span]))
