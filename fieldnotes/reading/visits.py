"""Stage 10: the visits of a note: each place's facts, gathered from what speaks of it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from ..grammar.load import Grammar
from .binding import Candidate
from .chores import ChoreBuilder, days_between
from .dates import Day, resolve
from .drafts import Doubt, Given, SampleDraft, VisitDraft
from .items import Item, Row
from .samples import JARS, SampleBuilder, item_span, span_of
from .scenes import Mention
from .scopes import HEADER, REACH, SHARED, Place, Scopes
from .tables import Table

_BLOCKING = frozenset({"planned", "remembered", "supposed", "reported", "rule"})
_FLAGS = {
    "eggs": "eggs",
    "larvae": "larvae",
    "capped_brood": "capped_brood",
    "broodless": "broodless",
    "excluder": "excluder",
    "queen_clipped": "queen_clipped",
}
_FRAMES = ("frames_bees", "frames_brood", "frames_stores")
_CARRIED = (
    "method",
    "volume_ml",
    "volume_said",
    "bees",
    "source",
    "position",
    "bees_weight_g",
    "sugar_ml",
    "rest_s",
    "shake_s",
)


@dataclass(slots=True)
class NoteDays:
    """The visit days of a note: by item, the item that states the day and the date it means."""

    breaks: dict[int, int] = field(default_factory=dict)
    dates: dict[int, tuple[dt.date | None, Item]] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)


class VisitBuilder:
    """Builds the visit drafts of one note."""

    def __init__(
        self,
        grammar: Grammar,
        row: Row,
        marks: list[set[str]],
        written: dt.date,
        day_first: bool | None,
        own_words: dict[str, str],
    ) -> None:
        self.grammar = grammar
        self.row = row
        self.marks = marks
        self.written = written
        self.day_first = day_first
        self.own_words = own_words
        self.used: set[int] = set()
        self.named_items: set[int] = set()
        self.same = frozenset(tuple(p.split()) for p in grammar.scenes.same.phrases)

    def standing(self, item: Item) -> set[str]:
        out: set[str] = set()
        for t in range(item.i, item.j):
            out |= self.marks[t]
        return out

    # -- days ------------------------------------------------------------------------------------

    def find_days(self, mentions: list[Mention], chores: ChoreBuilder, skip: set[int]) -> NoteDays:
        """Which day expressions date a visit, and where a new day begins."""
        items = self.row.items
        days = NoteDays()
        found: list[tuple[int, dt.date | None, Item, bool]] = []
        heads = {m.first for m in mentions}
        for k, item in enumerate(items):
            day = item.day
            if k in skip:
                continue
            if day is None or self.standing(item) & {
                "planned",
                "remembered",
                "supposed",
                "reported",
                "rule",
            }:
                continue
            if chores._ahead(item) or (k and items[k - 1].word == "(" and k > 2):
                continue
            if (
                any(
                    "planned" in self.standing(x)
                    for x in items[k + 1 : k + 4]
                    if x.kind != "border"
                )
                and day.kind != "numeric"
                and k > 3
                and not any(x.kind == "border" for x in items[k + 1 : k + 3])
            ):
                continue
            if day.kind == "offset" and (day.days < -6 or day.which.startswith("months")):
                continue
            if not self._dates_visit(k, day, heads) or self._put_in(k):
                continue
            date = resolve(day, self.written, ahead=False, day_first=self.day_first)
            if date is not None and date > self.written:
                continue
            found.append((k, date, item, self._line_head(k)))
        if not found:
            return days
        distinct = {d for _, d, _, _ in found if d is not None}
        heading = [f for f in found if f[3]]
        if len(distinct) > 1 and len(heading) >= 2 and len({d for _, d, _, _ in heading}) > 1:
            for number, (k, date, item, _) in enumerate(heading, start=1):
                start = self._line_start(k)
                days.breaks[start] = number
                days.dates[number] = (date, item)
            return days
        # one day for the whole note: a heading wins, else the first
        today = next(
            (
                f
                for f in found
                if f[2].day is not None and f[2].day.kind == "offset" and f[2].day.days == 0
            ),
            None,
        )
        best = (
            (
                today
                if not any(
                    f[3] and f[2].day is not None and f[2].day.kind in ("date", "numeric")
                    for f in found
                )
                else None
            )
            or next((f for f in found if f[3] and f[1] is not None), None)
            or next((f for f in found if f[1] is not None), None)
        )
        if today is None and not heading and len(distinct) > 1:
            # several days and none at the head of a line: nothing says which one is the visit's
            days.doubts.append(
                Doubt(
                    "date",
                    "ambiguous",
                    [item_span(item) for _, _, item, _ in found],
                    tuple(sorted(d.isoformat() for d in distinct)),
                )
            )
            return days
        if best is None:
            k, _, item, _ = found[0]
            days.doubts.append(
                Doubt("date", "ambiguous", [item_span(item)], self._day_options(item.day))
            )
            return days
        days.dates[0] = (best[1], best[2])
        return days

    def _put_in(self, k: int) -> bool:
        """Whether the day is when a board went in: not the day of the visit."""
        items = self.row.items
        boards = any(i in ("method.board", "board.weak") for x in items for i in x.ids)
        before = items[max(0, k - 3) : k]
        return (
            boards
            and any(
                x.word
                in (
                    "in",
                    "since",
                    "under",
                    "went in",
                    "went under",
                    "put in",
                    "slid in",
                    "fitted",
                    "set",
                )
                for x in before
            )
            and not any(
                x.word in ("out", "took out", "taken out", "pulled", "came out") for x in before
            )
        )

    def _day_options(self, day: Day | None) -> tuple[str, ...]:
        from .dates import numeric_readings

        if day is None or day.kind != "numeric":
            return ()
        return tuple(d.isoformat() for d in numeric_readings(day, self.written).values())

    def _line_start(self, k: int) -> int:
        items = self.row.items
        while k > 0 and not (items[k - 1].kind == "border" and items[k - 1].word[0] == "\n"):
            k -= 1
        return k

    def _line_head(self, k: int) -> bool:
        """Whether the day stands at the head of a line, within its first few items."""
        start = self._line_start(k)
        items = self.row.items
        return k - start <= 4 and all(
            i.kind in ("name", "mark", "day", "word", "letter", "clock", "code")
            or i.ids & {"stand_place", "yard_noun", "hive"}
            or i.word in self.grammar.dates.weekdays
            or i.kind == "n"
            for i in items[start:k]
        )

    def _dates_visit(self, k: int, day: Day, heads: set[int]) -> bool:
        items = self.row.items
        if day.kind in ("date", "numeric"):
            return True
        if day.kind == "offset":
            return day.days > -7
        if self._line_head(k):
            return True
        if day.kind == "day":
            return k <= 12 and day.length >= 2
        if day.kind == "weekday":
            if day.which == "last":
                return False
            before = items[k - 1].word if k else "\n"
            near = items[max(0, k - 6) : k + 5]
            sampling = any(
                any(i.startswith(("method.", "mite", "test", "sample", "seen")) for i in x.ids)
                for x in near
            )
            return before != "until" and (k <= 8 or sampling)
        return False

    # -- visits ----------------------------------------------------------------------------------

    def build(
        self,
        scopes: Scopes,
        chosen: list[Candidate],
        days: NoteDays,
        chores: ChoreBuilder,
        tables: list[Table],
        mentions: list[Mention],
    ) -> list[VisitDraft]:
        """One draft a place; a note with no named colony gives one draft without a name."""
        items = self.row.items
        places = scopes.places or [Place("")]
        named = bool(scopes.places)
        several = len(places) > 1
        self.named_items = named_items = {
            k for m in mentions if m.kind in ("colony", "yard") for k in range(m.first, m.last)
        }
        samples = SampleBuilder(self.row, chosen, self.marks, named_items)
        shared = [k for k in range(len(items)) if scopes.of[k] == (SHARED,)]
        shared_set = set(shared)
        all_spans = [m for m in mentions if m.kind == "all"]
        everyone = {k for m in all_spans for k in self._all_reach(m)} & shared_set
        drafts: list[VisitDraft] = []
        owned: list[list[int]] = []
        active: str | None = None
        # what a preamble says of all samples
        common: SampleDraft | None = None
        self.row_days = self._row_days(tables, scopes)
        if several:
            heads = [k for k in range(len(items)) if scopes.of[k] == (HEADER,)]
            got, _ = samples.build(shared)
            loose = self._loose(samples, sorted([*shared, *heads]))
            common = got[0] if len(got) == 1 else loose
        for p, place in enumerate(places):
            own = [
                k
                for k in range(len(items))
                if (not named) or p in scopes.of[k] or (not several and scopes.of[k] == (SHARED,))
            ]
            draft = VisitDraft(place.name or None)
            open_name = next((m for m in place.mentions if m.alternatives), None)
            if open_name is not None:
                draft.name = None
            draft.weak = several and len(place.mentions) == 1 and place.mentions[0].strength < 0.72
            if named and place.mentions and open_name is None:
                draft.facts["colony"] = Given(
                    place.name, [self._mention_span(m) for m in place.mentions[:1]]
                )
            own_all = sorted({*own, *everyone}) if several else own
            counted = any(c.slot in ("mites", "infested") and c.k in everyone for c in chosen)
            got, used = samples.build(own_all if counted else own)
            self.used |= used
            draft.samples = got
            if drafts and several:
                if not draft.samples and drafts[-1].samples and self._same_words(own):
                    lone = samples.lone(own, drafts[-1].samples[-1], self.used)
                    draft.samples = [lone] if lone else []
                self._same_again(draft, drafts[-1], own)
            general = sorted({*own, *shared}) if several else own
            self._observe(draft, chosen, set(own_all), set(general), several)
            last = chores.treatments(
                draft,
                sorted({*own, *(k for k in shared if self._general_ok(k, everyone))})
                if several
                else own,
                active,
            )
            active = last or active
            chores.feed(draft, own_all)
            chores.supers(draft, set(own_all))
            base = self._date(draft, place, days, scopes, own, several)
            chores.todos(draft, own_all if several else own, base or self.written)
            self._yard(draft, place, scopes, mentions)
            if place.twin and draft.samples:
                draft.doubts.append(
                    Doubt("colony", "conflict", [self._mention_span(m) for m in place.mentions[:1]])
                )
            self._pooled(draft, own, chosen, scopes, mentions)
            drafts.append(draft)
            owned.append(own)
        if several:
            self._unsampled(drafts, owned, common, chosen)
            self._share(drafts, common, scopes)
            self._share_todos(drafts, shared, everyone, chores)
        for draft, own in zip(drafts, owned, strict=True):
            self._board_days(draft, own, scopes, days)
        for doubt in days.doubts:
            drafts[0].doubts.append(doubt)
        return drafts

    def _same_again(self, draft: VisitDraft, before: VisitDraft, own: list[int]) -> None:
        """ "Hive 8 the same": what this colony leaves out is as for the one before."""
        if not draft.samples or not before.samples:
            return
        sample, model = draft.samples[0], before.samples[-1]
        same = self._same_words(own)
        said = sample.facts.keys() & {
            "method",
            "volume_ml",
            "bees",
            "source",
            "bees_weight_g",
            "days",
            "cells",
        }
        if same is None and (said or sample.wash):
            return
        mine, theirs = sample.facts.get("method"), model.facts.get("method")
        if mine and theirs and mine.value != theirs.value:
            return
        for name in _CARRIED:
            if (
                name in model.facts
                and name not in sample.facts
                and not (name == "source" and any(d.field == "frame" for d in sample.doubts))
            ):
                if name in ("sugar_ml", "rest_s", "shake_s", "position") and same is None:
                    continue
                given = model.facts[name]
                spans = list(given.spans) + ([same] if same else [])
                sample.facts[name] = Given(
                    given.value, spans, declared=given.declared, on=given.on, weight=given.weight
                )
        if "method" in sample.facts:
            sample.doubts = [d for d in sample.doubts if d.field != "method"]
        elif model.wash and not sample.wash:
            sample.wash = model.wash
            sample.doubts.append(Doubt("method", "ambiguous", [model.wash], ("alcohol", "soap")))

    def _same_words(self, own: list[int]) -> tuple[int, int] | None:
        items = self.row.items
        mine = set(own)
        for k in own:
            words: list[str] = []
            j = k
            while j < len(items) and j in mine and len(words) < 4:
                words.extend(items[j].word.split())
                j += 1
                if tuple(words) in self.same:
                    return span_of(self.row, k, j)
        return None

    def _general_ok(self, k: int, everyone: set[int]) -> bool:
        return True

    def _loose(self, samples: SampleBuilder, rest: list[int]) -> SampleDraft | None:
        """Attributes of a preamble that make no sample by themselves."""
        events = [
            e
            for e in samples.events(rest)
            if e[1] not in ("mites", "mites_zero", "infested", "mites_vague")
        ]
        segments = samples._segments(events, False)
        whole = segments[0]
        for s in segments[1:]:
            if s.facts.get("method") and whole.facts.get("method"):
                return whole
            for name, given in s.facts.items():
                whole.facts.setdefault(name, given)
        samples._settle_method(whole)
        for k in rest:
            if "sugar" in self.row.items[k].ids and whole.sugar_words is None:
                whole.sugar_words = item_span(self.row.items[k])
        return whole if whole.facts or whole.wash or whole.sugar_words else None

    def _all_reach(self, m: Mention) -> range:
        items = self.row.items
        b = m.last
        while (
            b < len(items)
            and items[b].kind != "border"
            and items[b].word != ")"
            and b < m.last + 2 * REACH
            and b not in self.named_items
        ):
            b += 1
        a = m.first
        while (
            a > 0
            and items[a - 1].kind != "border"
            and items[a - 1].word != "("
            and a > m.first - 2 * REACH
            and a - 1 not in self.named_items
        ):
            a -= 1
        return range(a, b)

    def _mention_span(self, m: Mention) -> tuple[int, int]:
        return span_of(self.row, m.first, m.last)

    def _date(
        self,
        draft: VisitDraft,
        place: Place,
        days: NoteDays,
        scopes: Scopes,
        own: list[int],
        several: bool,
    ) -> dt.date | None:
        own_day = self.row_days.get(self._index(scopes, place))
        if own_day is not None:
            date, item = own_day
            draft.facts["date"] = Given(date, [item_span(item)])
            return date
        when = place.day - 5000 if place.day is not None and place.day >= 5000 else place.day
        number = when if when in days.dates else (0 if 0 in days.dates else None)
        if number is None and days.dates and when == 0:
            return None
        if number is None:
            return None
        found, item = days.dates[number]
        if found is None:
            draft.doubts.append(
                Doubt("date", "ambiguous", [item_span(item)], self._day_options(item.day))
            )
            return None
        draft.facts["date"] = Given(found, [item_span(item)])
        return found

    @staticmethod
    def _index(scopes: Scopes, place: Place) -> int:
        return next((i for i, p in enumerate(scopes.places) if p is place), -1)

    def _pooled(
        self,
        draft: VisitDraft,
        own: list[int],
        chosen: list[Candidate],
        scopes: Scopes,
        mentions: list[Mention],
    ) -> None:
        """One count told of several colonies at once, without "each": nobody knows whose mites."""
        for sample in draft.samples:
            mites = sample.facts.get("mites")
            if mites is None or mites.value == 0:
                continue
            shared = [
                c
                for c in chosen
                if c.slot == "mites"
                and c.k in own
                and len(scopes.of[c.k]) > 1
                and item_span(self.row.items[c.k]) in mites.spans
            ]
            if not shared:
                continue
            reach = {k for m in mentions if m.kind == "all" for k in self._all_reach(m)}
            if any(c.k in reach for c in shared):
                continue
            sample.doubts.append(Doubt("mites", "missing", list(mites.spans)))
            del sample.facts["mites"]

    def _row_days(self, tables: list[Table], scopes: Scopes) -> dict[int, tuple[dt.date, Item]]:
        """The date of each row of a table that has a column for it."""
        out: dict[int, tuple[dt.date, Item]] = {}
        for table in tables:
            for cell in table.cells:
                if cell.slot not in ("date", "out"):
                    continue
                for k in range(cell.first, cell.last):
                    day = self.row.items[k].day
                    if day is None:
                        continue
                    found = resolve(day, self.written, ahead=False, day_first=self.day_first)
                    if found is not None and found <= self.written:
                        for p in scopes.of[k]:
                            out[p] = (found, self.row.items[k])
        return out

    def _yard(
        self, draft: VisitDraft, place: Place, scopes: Scopes, mentions: list[Mention]
    ) -> None:
        if place.yard is not None and place.yard_proof is not None:
            a, b = place.yard_proof
            draft.facts["yard"] = Given(place.yard, [span_of(self.row, a, b)])
            return
        yards = [m for m in mentions if m.kind == "yard"]
        if yards:
            m = yards[0]
            draft.facts["yard"] = Given(m.name, [span_of(self.row, m.first, m.last)])

    # -- observations ----------------------------------------------------------------------------

    def _observe(
        self,
        draft: VisitDraft,
        chosen: list[Candidate],
        own: set[int],
        general: set[int],
        several: bool,
    ) -> None:
        items = self.row.items
        cells_said: list[Candidate] = []
        seen: list[tuple[int, bool, Candidate]] = []
        tempers: list[tuple[int, str, Candidate]] = []
        for c in chosen:
            where = c.k if c.k >= 0 else c.first
            if c.standing & _BLOCKING:
                continue
            if c.slot in ("weather", "time") and where in general:
                self._weather(draft, c)
                continue
            if where not in own:
                continue
            denied = "denied" in c.standing
            if c.slot in _FLAGS:
                if denied and not c.weight:
                    continue
                value = not denied
                if c.slot in ("eggs", "larvae", "capped_brood") and self._of_sample_only(c):
                    pass
                old = draft.facts.get(c.slot)
                span = span_of(self.row, c.first, c.last)
                if (
                    old is None
                    or (old.value is False and value and old.weight <= c.weight)
                    or (old.value != value and not value and self._repaired(old.at, where))
                ):
                    draft.facts[c.slot] = Given(value, [span], weight=c.weight)
            elif c.slot == "bias":
                for name in ("eggs", "larvae", "capped_brood"):
                    draft.facts.setdefault(
                        name, Given(not denied, [span_of(self.row, c.first, c.last)])
                    )
            elif c.slot in _FRAMES:
                self._frames(draft, c)
            elif c.slot == "queen_seen":
                value = bool(c.value) and not denied
                seen.append((where, value, c))
            elif c.slot == "queen_status" and not denied:
                draft.facts["queen_status"] = Given(c.value, [span_of(self.row, c.first, c.last)])
            elif c.slot in ("queen_cells", "queen_cups"):
                if c.slot == "queen_cells":
                    cells_said.append(c)
                else:
                    value2: object = (
                        0
                        if denied
                        else (
                            int(float(c.value))
                            if c.k >= 0 and isinstance(c.value, (int, float))
                            else True
                        )
                    )
                    draft.facts[c.slot] = Given(value2, [span_of(self.row, c.first, c.last)])
            elif c.slot.startswith("temper_"):
                if denied:
                    continue
                tempers.append((where, str(c.value), c))
            elif c.slot == "hive_weight" and c.k >= 0:
                draft.facts["hive_weight_kg"] = Given(
                    round(items[c.k].value / 1000, 2), [item_span(items[c.k])]
                )
        self._queen(draft, seen)
        self._queen_cells(draft, cells_said)
        if tempers:
            kinds = {t for _, t, _ in tempers}
            if len(kinds) == 1 or tempers[-1][1] == "defensive":
                pick = tempers[-1] if len(kinds) > 1 else tempers[0]
            else:
                pick = tempers[0]
            draft.facts["temper"] = Given(pick[1], [span_of(self.row, pick[2].first, pick[2].last)])
        for k in sorted(own):
            item = items[k]
            for name in item.ids:
                if not name.startswith("sign."):
                    continue
                marks = self.standing(item)
                if marks & _BLOCKING:
                    continue
                if name == "sign.mites_on_bees" and k and "count" in item.word:
                    continue
                present = "denied" not in marks
                sign = name.split(".", 1)[1]
                if sign in draft.signs and draft.signs[sign][0]:
                    continue
                draft.signs[sign] = (present, item_span(item))

    def _of_sample_only(self, c: Candidate) -> bool:
        return False

    def _repaired(self, a: int, b: int) -> bool:
        if not 0 <= a < b < len(self.row.items):
            return False
        lo, hi = self.row.items[a].j, self.row.items[b].i + 1
        return any("repair" in names and lo <= i < hi for names, i, _ in self.row.ops)

    def _weather(self, draft: VisitDraft, c: Candidate) -> None:
        if c.k < 0:
            return
        item = self.row.items[c.k]
        if c.slot == "time":
            draft.facts.setdefault("time", Given(item.form, [item_span(item)]))
        elif item.low is None and "weather_c" not in draft.facts:
            value = item.value
            if item.kind == "n":
                value = (value - 32) * 5 / 9 if value > 45 else value
            if -40 <= value <= 55:
                draft.facts["weather_c"] = Given(round(value, 1), [item_span(item)])

    def _frames(self, draft: VisitDraft, c: Candidate) -> None:
        item = self.row.items[c.k]
        value = float(item.value)
        if item.low is not None or value > 60:
            return
        from .samples import role_of

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
            later = max((s[0], s[1]) for s in (*yes, *no))
            pick = max((*yes, *no), key=lambda s: s[0])
            del later
            value = pick[1]
        else:
            pick = (yes or no)[0]
            value = pick[1]
        draft.facts["queen_seen"] = Given(value, [span_of(self.row, pick[2].first, pick[2].last)])

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

    # -- boards, sharing -------------------------------------------------------------------------

    def _board_days(
        self, draft: VisitDraft, own: list[int], scopes: Scopes, days: NoteDays
    ) -> None:
        """Days a board lay, worked out from two dates told."""
        for sample in draft.samples:
            method = sample.facts.get("method")
            if method is None or method.value != "sticky_board":
                continue
            shared = [k for k in range(len(self.row.items)) if scopes.of[k] == (SHARED,)]
            dates = days_between(
                self.row, sorted({*own, *shared}), self.marks, self.written, self.day_first
            )
            distinct = sorted({d for d, _ in dates})
            if (
                len(distinct) == 1
                and distinct[0] < self.written
                and any(w in self.row.words for w in ("since", "went", "in"))
                and "date" not in draft.facts
            ):
                continue
            if len(distinct) == 2:
                spans = [item_span(self.row.items[k]) for _, k in dates]
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
                proof = next(item_span(self.row.items[k]) for d, k in dates if d == distinct[1])
                draft.facts["date"] = Given(distinct[1], [proof])
                days.doubts = [d for d in days.doubts if d.field != "date"]

    def _unsampled(
        self,
        drafts: list[VisitDraft],
        owned: list[list[int]],
        common: SampleDraft | None,
        chosen: list[Candidate],
    ) -> None:
        """All were sampled, and of one no count could be read though a number is told: ask."""
        if (
            common is None
            or "method" not in common.facts
            or common.facts["method"].value == "sticky_board"
        ):
            return
        if 2 * sum(bool(d.samples) for d in drafts) < len(drafts):
            return
        named = {c.k for c in chosen if c.k >= 0 and c.slot != "mites"} | self.named_items
        for draft, own in zip(drafts, owned, strict=True):
            if draft.samples:
                continue
            items = [self.row.items[k] for k in own]
            refused = any(
                "denied" in self.standing(i)
                and any(n.startswith(("method", "test", "sample")) for n in i.ids)
                for i in items
            )
            counts = [k for k in own if self.row.items[k].kind == "n" and k not in named]
            if counts and not refused:
                method = common.facts["method"]
                draft.samples = [
                    SampleDraft(facts={"method": Given(method.value, list(method.spans))})
                ]

    def _share(self, drafts: list[VisitDraft], common: SampleDraft | None, scopes: Scopes) -> None:
        """What a preamble says of all samples goes to each that lacks it."""
        if common is None:
            return
        if common.sugar_words and "method" not in common.facts and not common.wash:
            common.facts["method"] = Given("sugar", [common.sugar_words])
        for draft in drafts:
            for sample in draft.samples:
                mine = sample.facts.get("method")
                theirs = common.facts.get("method")
                if mine and theirs and mine.value != theirs.value:
                    continue
                for name, given in common.facts.items():
                    if name in (
                        "mites",
                        "mites_low",
                        "mites_high",
                        "rate_per_100",
                        "mites_per_day",
                    ):
                        continue
                    if name == "bees" and "bees" in sample.facts:
                        continue
                    if name not in sample.facts:
                        sample.facts[name] = Given(
                            given.value, list(given.spans), weight=given.weight
                        )
                        if name == "method":
                            sample.doubts = [d for d in sample.doubts if d.field != "method"]
                if "method" in sample.facts and sample.facts["method"].value in JARS:
                    for name in ("cells", "days"):
                        sample.facts.pop(name, None)
                if common.wash and "method" not in sample.facts and not sample.wash:
                    sample.wash = common.wash
                    sample.doubts.append(
                        Doubt("method", "ambiguous", [common.wash], ("alcohol", "soap"))
                    )

    def _share_todos(
        self, drafts: list[VisitDraft], shared: list[int], everyone: set[int], chores: ChoreBuilder
    ) -> None:
        rest = [k for k in shared if k not in everyone]
        if not rest:
            return
        base = next((d.facts["date"].value for d in drafts if "date" in d.facts), None)
        extra = VisitDraft(None)
        chores.todos(extra, rest, base or self.written)
        chores.feed(extra, rest)
        chores.supers(extra, set(rest))
        for draft in drafts:
            draft.todo.extend(extra.todo)
            have = {f["what"].value for f in draft.fed}
            draft.fed.extend(f for f in extra.fed if f["what"].value not in have)
            for name, given in extra.supers.items():
                draft.supers.setdefault(name, given)
        if extra.doubts:
            drafts[0].doubts.extend(extra.doubts)
