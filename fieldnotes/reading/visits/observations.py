"""Stage 10: what was seen at one colony: brood, queen, frames, temper, signs."""

from __future__ import annotations

from ..binding import Bound, Candidate
from ..drafts import Doubt, Given, VisitDraft
from ..items import item_span, span_of
from ..samples import role_of
from ..standing import BLOCKING

FLAGS = ("eggs", "larvae", "capped_brood", "broodless", "excluder", "queen_clipped")
"""Slots that are true or false."""

_FRAMES = ("frames_bees", "frames_brood", "frames_stores")

BROUGHT_REACH = 8
"""Items before eggs or brood among which it may stand that they were given to the colony."""


def _cups(c: Candidate, *, denied: bool) -> object:
    """How many queen cups a candidate tells: 0, a number, or True where none is said."""
    if denied:
        return 0
    counted = c.k >= 0 and isinstance(c.value, (int, float))
    return int(float(str(c.value))) if counted else True


class Observer:
    """Adds to drafts what was seen."""

    def __init__(self, bound: Bound) -> None:
        self.bound = bound
        self.row = bound.row

    def observe(self, draft: VisitDraft, own: set[int]) -> None:
        """Add what the items ``own`` tell of the colony of ``draft``."""
        cells: list[Candidate] = []
        seen: list[tuple[int, bool, Candidate]] = []
        tempers: list[Candidate] = []
        for c in self.bound.of(own):
            if c.standing & BLOCKING:
                continue
            denied = "denied" in c.standing
            if c.slot in FLAGS:
                self._flag(draft, c, denied=denied)
            elif c.slot == "bias":
                for name in ("eggs", "larvae", "capped_brood"):
                    draft.facts.setdefault(name, Given(not denied, [self._span(c)]))
            elif c.slot in _FRAMES:
                self._frames(draft, c)
            elif c.slot == "queen_seen":
                where = c.k if c.k >= 0 else c.first
                seen.append((where, bool(c.value) and not denied, c))
            elif c.slot == "queen_status" and not denied:
                draft.facts["queen_status"] = Given(c.value, [self._span(c)])
            elif c.slot == "queen_cells":
                cells.append(c)
            elif c.slot == "queen_cups":
                draft.facts[c.slot] = Given(_cups(c, denied=denied), [self._span(c)])
            elif c.slot.startswith("temper_") and not denied:
                tempers.append(c)
            elif c.slot == "hive_weight" and c.k >= 0:
                item = self.row.items[c.k]
                draft.facts["hive_weight_kg"] = Given(
                    round(item.value / 1000, 2), [item_span(item)]
                )
        self._queen(draft, seen)
        self._queen_cells(draft, cells)
        self._temper(draft, tempers)
        self._unclear_frames(draft, own)
        self._signs(draft, own)

    def _span(self, c: Candidate) -> tuple[int, int]:
        return span_of(self.row, c.first, c.last)

    def _flag(self, draft: VisitDraft, c: Candidate, *, denied: bool) -> None:
        """Add a fact that is true or false; what was seen outweighs what was not."""
        if (denied and not c.weight) or self._brought(c.first):
            return
        where = c.k if c.k >= 0 else c.first
        value = not denied
        old = draft.facts.get(c.slot)
        if (
            old is None
            or (old.value is False and value and old.weight <= c.weight)
            or (old.value != value and not value and self.bound.repaired(old.at, where))
        ):
            draft.facts[c.slot] = Given(value, [self._span(c)], weight=c.weight)

    def _brought(self, k: int) -> bool:
        """ "gave three a frame of eggs": whether what is told at item ``k`` came from elsewhere."""
        words = self.row.grammar.mentions
        frame = self.row.items[k].word.split()[0] in words.told.brought
        for item in reversed(self.row.items[max(0, k - BROUGHT_REACH) : k]):
            if item.kind == "border":
                return False
            frame = frame or item.word in words.told.brought
            if item.word.split(" ", 1)[0] in words.again.gave:
                return frame
        return False

    def _temper(self, draft: VisitDraft, tempers: list[Candidate]) -> None:
        """The first temper told; of several kinds the last, if it is the warning one."""
        if not tempers:
            return
        several = len({c.value for c in tempers}) > 1
        pick = tempers[-1] if several and tempers[-1].value == "defensive" else tempers[0]
        draft.facts["temper"] = Given(str(pick.value), [self._span(pick)])

    def _signs(self, draft: VisitDraft, own: set[int]) -> None:
        for k in sorted(own):
            item = self.row.items[k]
            marks = self.bound.standing(item)
            for name in item.ids:
                if not name.startswith("sign.") or marks & BLOCKING:
                    continue
                if name == "sign.mites_on_bees" and k and "count" in item.word:
                    continue
                sign = name.split(".", 1)[1]
                if not (sign in draft.signs and draft.signs[sign][0]):
                    draft.signs[sign] = ("denied" not in marks, item_span(item))

    def _unclear_frames(self, draft: VisitDraft, own: set[int]) -> None:
        """ "8 FoB" may be frames of bees or of brood: it is asked, not taken."""
        items = self.row.items
        for k in sorted(own):
            if "fob" not in items[k].ids:
                continue
            number = next((j for j in (k - 1, k + 1) if j in own and items[j].kind == "n"), None)
            if number is not None:
                span = span_of(self.row, min(k, number), max(k, number) + 1)
                draft.doubts.append(Doubt("other", "ambiguous", [span], need="sharpens"))

    def _frames(self, draft: VisitDraft, c: Candidate) -> None:
        item = self.row.items[c.k]
        value = float(item.value)
        if item.low is not None or value > 60:
            return

        old = draft.facts.get(c.slot)
        if (
            old is not None
            and old.value != value
            and role_of(self.row, item) != "repair"
            and c.weight <= old.weight
        ):
            return
        draft.facts[c.slot] = Given(value, [item_span(item)], weight=c.weight)

    def _queen(self, draft: VisitDraft, seen: list[tuple[int, bool, Candidate]]) -> None:
        if not seen:
            return
        yes = [s for s in seen if s[1]]
        no = [s for s in seen if not s[1]]
        if yes and no:
            # a false form often lies over a true one: "didn't see the queen"
            yes = [
                y
                for y in yes
                if not any(n[2].first <= y[2].last and y[2].first <= n[2].last for n in no)
            ]
            pick = max((*yes, *no), key=lambda s: s[0])
        else:
            pick = (yes or no)[0]
        draft.facts["queen_seen"] = Given(pick[1], [span_of(self.row, pick[2].first, pick[2].last)])

    def _queen_cells(self, draft: VisitDraft, said: list[Candidate]) -> None:
        if not said:
            return
        numbered = [c for c in said if c.k >= 0]
        if numbered:
            c = numbered[-1]
            if self.row.items[c.k].low is None:
                value = 0 if "denied" in c.standing and c.value else int(float(c.value))  # type: ignore[arg-type]
                draft.facts["queen_cells"] = Given(value, [item_span(self.row.items[c.k])])
                return
        yes = [c for c in said if "denied" not in c.standing and c.k < 0]
        pick = yes[0] if yes else said[0]
        flag: object = True if yes else 0
        draft.facts["queen_cells"] = Given(flag, [span_of(self.row, pick.first, pick.last)])
