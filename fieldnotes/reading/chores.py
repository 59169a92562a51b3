"""Stage 10c: treatments, feed, supers and chores of one place."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from ..records import Span
from .binding import Candidate
from .dates import resolve
from .drafts import Doubt, Given, VisitDraft
from .items import Item, Row
from .samples import item_span, span_of

_BARE = frozenset({"in", "on", "out", "off", "into"})
_PAST = frozenset({"remembered", "reported", "supposed", "rule"})


class ChoreBuilder:
    """Finds what was given to, put on or planned for the colony of one place."""

    def __init__(
        self,
        row: Row,
        chosen: list[Candidate],
        marks: list[set[str]],
        written: dt.date,
        day_first: bool | None,
        own_words: dict[str, str],
    ) -> None:
        self.row = row
        self.chosen = chosen
        self.marks = marks
        self.written = written
        self.day_first = day_first
        self.own_words = own_words
        self.cells: set[int] = set()
        self.unsure = False

    def standing(self, item: Item) -> set[str]:
        out: set[str] = set()
        for t in range(item.i, item.j):
            out |= self.marks[t]
        return out

    def clause(self, k: int, *, commas: bool = False) -> tuple[int, int]:
        """Items from the last border to the next one around ``k``."""
        items = self.row.items
        a = k
        while (
            a > 0
            and a not in self.cells
            and items[a - 1].kind != "border"
            and not (commas and items[a - 1].word == ",")
        ):
            a -= 1
        b = k + 1
        while (
            b < len(items)
            and b not in self.cells
            and items[b].kind != "border"
            and not (commas and items[b].word == ",")
        ):
            b += 1
        return a, b

    # -- treatments ------------------------------------------------------------------------------

    def treatments(self, draft: VisitDraft, own: list[int], known_active: str | None) -> str | None:
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
                elif "treated" in item.ids and not self.standing(item):
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
        for c in self.chosen:
            if (
                c.slot == "drone_removal"
                and c.first in mine
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
        return item.word in (
            "strips",
            "strip",
            "pads",
            "pad",
            "gel",
            "wafers",
            "wafer",
            "towels",
            "sponges",
            "dribbled",
            "dribble",
            "trickle",
            "trickled",
            "vaped",
            "vaporised",
            "vaporized",
            "gel trays",
            "gel tray",
            "tray of gel",
            "drip",
        )

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
            a, b = self.clause(k)
            words = {w.word for w in self.row.items[a:b]}
            if not words & {"treated", "medicated", "dosed"}:
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
        marks = self.standing(items[k])
        a, b = self.clause(k)
        ahead = any(self._ahead(items[j]) for j in range(a, b))
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
            key=lambda j: (items[j].word in _BARE, abs(j - k) + (0.5 if j < k else 0)),
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
                    items[j + 1].word
                    in ("all", "the", "both", "each", "every", "hive", "my", "this")
                    or items[j + 1].kind in ("n", "code", "name")
                )
                and j > k + 1
            ):
                continue
            elif (
                "act.start" in item.ids and item.word not in ("on", "got", "used", "set", "done")
            ) or (item.word == "on" and j > k):
                found, where = "start", j
        if (
            found in (None, "start")
            and (where is None or where > k)
            and any(items[j].word in ("when", "once") for j in range(k + 1, min(b, k + 8)))
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
            and items[where].word
            in (
                "put",
                "put in",
                "gave",
                "laid",
                "added",
                "applied",
                "placed",
                "hung",
                "inserted",
                "went in",
                "started",
            )
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
        return any(
            w in word
            for w in ("dribble", "trickle", "drip", "vap", "sublim", "spray", "strips", "pads")
        ) or bool(
            around
            & {
                "dribble",
                "dribbled",
                "trickle",
                "trickled",
                "vape",
                "vaped",
                "vapour",
                "vapor",
                "strips",
                "pads",
                "treatment",
            }
        )

    def _first_ahead(self, a: int, b: int, k: int) -> int:
        return next((j for j in range(max(a, k), b) if self._ahead(self.row.items[j])), k)

    def _taken_by_super(self, j: int, k: int) -> bool:
        items = self.row.items
        near = items[max(0, j - 3) : j + 4]
        return any("super" in x.ids for x in near) and abs(j - k) > 2

    def _ahead(self, item: Item) -> bool:
        day = item.day
        if day is None:
            return False
        if day.kind == "offset":
            return day.days > 0
        if day.kind == "weekday":
            return day.which in ("week-on", "fortnight-on", "next", "next-week", "this") or bool(
                self.standing(item) & {"planned"}
            )
        if day.kind in ("date", "numeric"):
            found = resolve(day, self.written, ahead=False, day_first=self.day_first)
            if day.kind == "date" and not day.year:
                try:
                    plain = dt.date(self.written.year, day.month or 1, day.day or 1)
                except ValueError:
                    return False
                return 0 < (plain - self.written).days < 120
            return found is not None and found > self.written
        return bool(self.standing(item) & {"planned"})

    def _amount(self, k: int, mine: set[int]) -> Span | None:
        items = self.row.items
        for j in (k - 1, k + 1, k - 2, k + 2):
            if 0 <= j < len(items) and j in mine and items[j].kind in ("n", "vol", "mass", "spoon"):
                between = items[min(j, k) + 1 : max(j, k)]
                if any(x.kind == "border" or x.word in (",", "|") for x in between) or any(
                    x in self.cells for x in range(min(j, k) + 1, max(j, k) + 1)
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

    # -- feed and supers -------------------------------------------------------------------------

    def feed(self, draft: VisitDraft, own: list[int]) -> None:
        """Add the feed given in ``own``."""
        items = self.row.items
        amounts = {c.k: c for c in self.chosen if c.slot == "fed_amount"}
        mine = set(own)
        seen: set[str] = {f["what"].value for f in draft.fed}
        for k in own:
            item = items[k]
            kinds = [i.split(".", 1)[1] for i in item.ids if i.startswith("feed.")]
            if not kinds:
                continue
            marks = self.standing(item)
            if marks & (_PAST | {"planned", "denied"}):
                continue
            a, b = self.clause(k)
            near = items[max(a, k - 7) : min(b, k + 6)]
            words = {x.word for x in near}
            given = any("fed" in x.ids or "add" in x.ids or "act.start" in x.ids for x in near)
            amount = next(
                (
                    items[j]
                    for j in range(max(a, k - 5), min(b, k + 5))
                    if j in mine and j in amounts
                ),
                None,
            )
            if kinds[0] == "pollen" and not (given or amount):
                continue
            if not (given or amount or b - a <= 4):
                continue
            if words & {
                "took",
                "taken",
                "emptied",
                "ignored",
                "untouched",
                "left",
                "finished",
            } and not words & {"gave", "fed", "topped", "added", "more"}:
                continue
            if any(self._ahead(x) for x in near):
                continue
            if kinds[0] in seen:
                continue
            seen.add(kinds[0])
            row: dict[str, Given] = {"what": Given(kinds[0], [item_span(item)])}
            if amount is None:
                j = next(
                    (
                        j
                        for j in range(max(a, k - 3), k)
                        if j in mine and items[j].kind in ("vol", "mass", "n")
                    ),
                    None,
                )
                amount = items[j] if j is not None else None
            if amount is not None:
                row["amount"] = Given(self.row.text[amount.start : amount.end], [item_span(amount)])
            draft.fed.append(row)

    def supers(self, draft: VisitDraft, own: set[int]) -> None:
        """Supers added, removed, on."""
        for c in self.chosen:
            if not c.slot.startswith("supers_"):
                continue
            where = c.k if c.k >= 0 else c.first
            if where not in own or c.standing & (_PAST | {"planned", "denied"}):
                continue
            a, b = self.clause(where)
            if any(self._ahead(x) for x in self.row.items[max(a, where - 6) : min(b, where + 8)]):
                continue
            name = c.slot.removeprefix("supers_")
            value = int(float(c.value)) if isinstance(c.value, (int, float)) else 1
            old = draft.supers.get(name)
            if old is not None and old.weight >= c.weight:
                continue
            span = (
                item_span(self.row.items[c.k]) if c.k >= 0 else span_of(self.row, c.first, c.last)
            )
            draft.supers[name] = Given(value, [span], weight=c.weight)
        if "on" in draft.supers and draft.supers["on"].weight <= 3.0 and len(draft.supers) > 1:
            del draft.supers["on"]

    # -- chores ----------------------------------------------------------------------------------

    def todos(self, draft: VisitDraft, own: list[int], base: dt.date) -> None:
        """Plans as chores, with the day they are due where one is said."""
        items = self.row.items
        done: set[tuple[int, int]] = set()
        for k in own:
            item = items[k]
            marks = self.standing(item)
            planned = "planned" in marks
            ahead = item.kind == "day" and self._ahead(item)
            chore = "todo" in item.ids and not marks & {"denied", "remembered"}
            if not (planned or ahead or chore) or marks & {"remembered", "reported", "rule"}:
                continue
            if "denied" in marks and not ahead:
                continue
            a, b = self._chore_span(k, planned)
            if (a, b) in done or any(x <= k < y for x, y in done):
                continue
            due: dt.date | None = None
            proof: Item | None = None
            asked = False
            for j in range(a, b):
                day = items[j].day
                if day is None or "remembered" in self.standing(items[j]):
                    continue
                back = day.kind == "offset" and day.days <= 0 and day.which != "months-ahead"
                if back and not (day.days == 0 and planned):
                    continue
                start = (
                    base
                    if day.kind == "offset" and day.which in ("ahead", "months-ahead")
                    else self.written
                )
                found = resolve(day, start, ahead=True, day_first=self.day_first)
                if found is None:
                    if day.kind in ("weekday", "numeric"):
                        asked = True
                        draft.doubts.append(
                            Doubt("todo", "ambiguous", [item_span(items[j])], need="sharpens")
                        )
                    continue
                if found < base:
                    continue
                due, proof = found, items[j]
                break
            if not planned and not chore and (due is None or due == base) and not asked:
                continue
            done.add((a, b))
            words = " ".join(x.word for x in items[a:b] if x.kind != "border").strip(" ,-")
            span = span_of(self.row, a, b)
            what = self.row.text[span[0] : span[1]].strip(" ,-\n") or words
            row: dict[str, Any] = {"what": Given(" ".join(what.split()), [span])}
            if due is not None and proof is not None:
                row["due"] = Given(due, [item_span(proof)])
            draft.todo.append(row)

    def _chore_span(self, k: int, planned: bool) -> tuple[int, int]:
        items = self.row.items
        a, b = self.clause(k)
        if b - a > 24:
            # run-on speech: from the cue, or a few words before the day
            lo = k
            while planned and lo > a and "planned" in self.standing(items[lo - 1]):
                lo -= 1
            hi = k + 1
            while (
                hi < b
                and hi - k < 18
                and ("planned" in self.standing(items[hi]) or (not planned and hi - k < 3))
            ):
                hi += 1
            while hi < b and hi - lo < 26 and items[hi].kind == "day":
                hi += 1
            if not planned:
                lo = max(a, k - 7)
            return lo, hi
        return a, b


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
