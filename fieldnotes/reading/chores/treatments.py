"""Stage 10c: treatments: the active or the form that is named, and what was done with it."""

from __future__ import annotations

from ...records import Span
from ..binding import Bound
from ..drafts import Doubt, Given, VisitDraft
from ..items import item_span, span_of
from .clauses import Clauses


class Treatments:
    """Finds the treatments of one place."""

    def __init__(self, clauses: Clauses, bound: Bound, own_words: dict[str, str]) -> None:
        self.clauses = clauses
        self.row = clauses.row
        self.bound = bound
        self.own_words = own_words
        self.words = self.row.grammar.chores.treatments
        self.unsure = False

    def add(self, draft: VisitDraft, own: list[int], known_active: str | None) -> str | None:
        """Add the treatments told in ``own``; returns the last active named."""
        items = self.row.items
        mine = set(own)
        last = known_active
        done: dict[tuple[str, str], dict[str, Given]] = {}
        unnamed: list[tuple[int, str]] = []
        for k in own:
            item = items[k]
            if item.kind != "term":
                continue
            active = next(
                (i.split(".", 1)[1] for i in sorted(item.ids) if i.startswith("active.")), None
            )
            if active is None and item.word in self.own_words:
                active = self.own_words[item.word]
            if active is None:
                if "form" in item.ids and self._is_strip(k):
                    action, _ = self._action(k, mine)
                    if action:
                        unnamed.append((k, action))
                elif "treated" in item.ids and not self.clauses.standing(item):
                    unnamed.append((k, "treated"))
                continue
            self.unsure = False
            action, where = self._action(k, mine)
            if action is None:
                continue
            last = active
            spans = [item_span(item)]
            if where is not None and where != k:
                spans.append(item_span(items[where]))
            row = {"active": Given(active, [spans[0]]), "action": Given(action, spans)}
            amount = self._amount(k, mine)
            if amount:
                row["amount"] = Given(self.row.text[amount[0] : amount[1]], [amount])
            if action == "earlier":
                row["action"] = Given(
                    "end" if where is not None and "act.end" in items[where].ids else "start", spans
                )
                row["remembered"] = Given(True, spans)
                draft.earlier.append(row)
                continue
            key = (active, action)
            if key in done:
                for name, given in row.items():
                    done[key].setdefault(name, given)
                continue
            if self.unsure and amount is None:
                draft.doubts.append(Doubt("treatment", "ambiguous", [spans[0]]))
            done[key] = row
            draft.treatment.append(row)
        for c in self.bound.of(own):
            if (
                c.slot == "drone_removal"
                and not c.standing
                and ("drone_removal", "start") not in done
            ):
                span = span_of(self.row, c.first, c.last)
                row = {"active": Given("drone_removal", [span]), "action": Given("start", [span])}
                done["drone_removal", "start"] = row
                draft.treatment.append(row)
        for k, action in unnamed:
            self._unnamed(draft, k, action, last, done)
        return last

    def _is_strip(self, k: int) -> bool:
        item = self.row.items[k]
        before = self.row.items[k - 1] if k else None
        if before is not None and any(i.startswith(("active.", "feed.")) for i in before.ids):
            return False
        return item.word in self.words.forms

    def _unnamed(
        self,
        draft: VisitDraft,
        k: int,
        action: str,
        last: str | None,
        done: dict[tuple[str, str], dict[str, Given]],
    ) -> None:
        item = self.row.items[k]
        span = item_span(item)
        if last is not None:
            if action in ("treated",):
                return
            key = (last, action)
            if key in done or action in ("earlier",):
                return
            if action == "start" and any(a == last for a, _ in done):
                return
            row = {"active": Given(last, [span]), "action": Given(action, [span])}
            done[key] = row
            draft.treatment.append(row)
            return
        if action in ("planned", "earlier"):
            return
        if any(d.field == "treatment" for d in draft.doubts):
            return
        if action == "treated":
            a, b = self.clauses.around(k)
            around = {w.word for w in self.row.items[a:b]}
            if not around & self.words.treated:
                return
            action = "start"
        draft.treatment.append(
            {
                "active": Given("unknown", [span]),
                "action": Given(action, [span]),
                **({"form": Given(item.word, [span])} if "form" in item.ids else {}),
            }
        )
        draft.doubts.append(Doubt("treatment", "missing", [span]))

    def _action(self, k: int, mine: set[int]) -> tuple[str | None, int | None]:
        """The action said of the treatment at ``k`` and the item that says it."""
        items = self.row.items
        marks = self.clauses.standing(items[k])
        a, b = self.clauses.around(k)
        ahead = any(self.clauses.ahead(items[j]) for j in range(a, b))
        if marks & {"reported", "rule", "supposed"}:
            if "supposed" in marks and "planned" in marks:
                return "planned", k
            return None, None
        if "denied" in marks:
            return None, None
        if "planned" in marks:
            return "planned", k
        ago = any(
            day is not None and day.kind == "offset" and day.days < -6
            for day in (items[j].day for j in range(max(a, k - 6), min(b, k + 8)))
        )
        where: int | None = None
        found: str | None = None
        lo, hi = max(a, k - 4), min(b, k + 6)
        order = sorted(
            range(lo, hi),
            key=lambda j: (items[j].word in self.words.bare, abs(j - k) + (0.5 if j < k else 0)),
        )
        own = items[k].ids
        if "active.drone_removal" in own:
            found = "start"
        for j in order:
            if found or j == k:
                continue
            item = items[j]
            if j not in mine and j > k:
                continue
            between = items[min(j, k) + 1 : max(j, k)]
            if (
                any(x.kind == "mark" and x.word in (",", "/", "+", "&") for x in between)
                and abs(j - k) > 2
            ):
                continue
            if any(
                any(i.startswith(("active.", "super", "feed.")) for i in x.ids) for x in between
            ):
                continue
            if "act.ongoing" in item.ids:
                found, where = "ongoing", j
            elif "act.end" in item.ids and not self._taken_by_super(j, k):
                found, where = "end", j
            elif (
                item.word == "in"
                and j + 1 < len(items)
                and (
                    items[j + 1].word in self.words.in_hives
                    or items[j + 1].kind in ("n", "code", "name")
                )
                and j > k + 1
            ):
                continue
            elif ("act.start" in item.ids and item.word not in self.words.not_starts) or (
                item.word == "on" and j > k
            ):
                found, where = "start", j
        if (
            found in (None, "start")
            and (where is None or where > k)
            and any(items[j].word in self.words.conditions for j in range(k + 1, min(b, k + 8)))
        ):
            return "planned", where
        if "remembered" in marks or ago:
            return "earlier", where
        if (
            ahead
            and any("act.end" in items[j].ids for j in range(k + 1, self._first_ahead(a, b, k)))
            and found != "ongoing"
        ):
            # "in today, out in eight weeks": the plan is about the end
            return "start", where if found == "start" else k
        if (
            ahead
            and found == "start"
            and where is not None
            and where < k
            and items[where].word in self.words.put
        ):
            return "start", where
        if ahead and found in (None, "start", "end"):
            return "planned", where
        if found is None:
            self.unsure = "active.drone_removal" not in own and not self._given_by_name(k)
            found = "start"
        return found, where

    def _given_by_name(self, k: int) -> bool:
        """Names of ways of giving say that it was given: "oxalic dribble", "vaped"."""
        word = self.row.items[k].word
        around = {x.word for x in self.row.items[max(0, k - 1) : k + 2]}
        return any(w in word for w in self.words.given_within) or bool(
            around & self.words.given_beside
        )

    def _first_ahead(self, a: int, b: int, k: int) -> int:
        return next((j for j in range(max(a, k), b) if self.clauses.ahead(self.row.items[j])), k)

    def _taken_by_super(self, j: int, k: int) -> bool:
        items = self.row.items
        near = items[max(0, j - 3) : j + 4]
        return any("super" in x.ids for x in near) and abs(j - k) > 2

    def _amount(self, k: int, mine: set[int]) -> Span | None:
        items = self.row.items
        for j in (k - 1, k + 1, k - 2, k + 2):
            if 0 <= j < len(items) and j in mine and items[j].kind in ("n", "vol", "mass", "spoon"):
                between = items[min(j, k) + 1 : max(j, k)]
                if any(x.kind == "border" or x.word in (",", "|") for x in between) or any(
                    x in self.clauses.cells for x in range(min(j, k) + 1, max(j, k) + 1)
                ):
                    continue
                nxt = items[j + 1] if j + 1 < len(items) else None
                if (
                    items[j].kind == "n"
                    and j > k
                    and nxt is not None
                    and nxt.ids & {"mite", "bee", "frame", "super"}
                ):
                    continue
                if items[j].kind == "n" and j < k and j > 0 and ("hive" in items[j - 1].ids):
                    continue
                return item_span(items[j])
        return None
