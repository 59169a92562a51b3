"""Stage 10: each place's facts gathered from the candidates that speak of it."""

from __future__ import annotations

import datetime as dt

from ..binding import Bound, Candidate
from ..chores import ChoreBuilder, Clauses
from ..dates import resolve
from ..drafts import Doubt, Given, SampleDraft, VisitDraft
from ..items import Item, item_span, span_of
from ..samples import SampleBuilder, find_events, of_drones, settle_method
from ..scenes import Mention
from ..scopes import HEADER, REACH, SHARED, TWIN, Place, Scopes, norm
from ..standing import standing_of
from ..tables import Table
from .boards import board_days
from .conditions import Conditions
from .days import NoteDays, day_options
from .observations import Observer
from .sharing import Sharer
from .twins import settle_twins

NOT_OF_TODAY = frozenset({"remembered", "reported", "rule", "supposed"})
"""Standings of a name of which only something else than today's visit is told."""
CERTAIN = 0.8
"""Strength from which a name alone shows that its colony was visited."""


def _twins(drafts: list[VisitDraft], places: list[Place]) -> list[tuple[VisitDraft, VisitDraft]]:
    """Each draft of a second entry with that of the first, of the same colony and day."""
    by_place = {
        (norm(place.name), place.day): draft for draft, place in zip(drafts, places, strict=True)
    }
    return [
        (by_place[norm(place.name), place.day - TWIN], draft)
        for draft, place in zip(drafts, places, strict=True)
        if place.twin and place.day is not None
    ]


class VisitBuilder:
    """Builds the visit drafts of one note."""

    def __init__(
        self,
        clauses: Clauses,
        mentions: list[Mention],
        own_words: dict[str, str],
    ) -> None:
        self.clauses = clauses
        self.row = clauses.row
        self.written = clauses.written
        self.own_words = own_words
        self.named_items = {
            k for m in mentions if m.kind in ("colony", "yard") for k in range(m.first, m.last)
        }
        self.to_all = {k for m in mentions if m.kind == "all" for k in self._all_reach(m)}
        self.yards = [m for m in mentions if m.kind == "yard"]
        self.used: set[int] = set()

    def build(
        self,
        scopes: Scopes,
        chosen: list[Candidate],
        days: NoteDays,
        tables: list[Table],
    ) -> list[VisitDraft]:
        """One draft a place; a note with no named colony gives one draft without a name."""
        items = self.row.items
        places = scopes.places or [Place("")]
        named = bool(scopes.places)
        several = len(places) > 1
        bound = Bound(self.row, self.clauses.marks, chosen, self.named_items)
        chores = ChoreBuilder(self.clauses, bound, self.own_words)
        samples = SampleBuilder(bound)
        observer = Observer(bound)
        sharer = Sharer(bound)
        conditions = Conditions(bound, scopes, days)
        shared = [k for k in range(len(items)) if scopes.of[k] == (SHARED,)]
        everyone = self.to_all.intersection(shared)
        counted = any(c.slot in ("mites", "infested") and c.k in everyone for c in chosen)
        in_tables = {k for t in tables for c in t.cells for k in range(c.first, c.last)}
        drafts: list[VisitDraft] = []
        owned: list[list[int]] = []
        active: str | None = None
        # what a preamble says of all samples
        common: SampleDraft | None = None
        self.row_days = self._row_days(tables, scopes)
        heads = [k for k in range(len(items)) if scopes.of[k] == (HEADER,)]
        if several:
            got, _ = samples.build(shared)
            loose = self._loose(samples, sorted([*shared, *heads]))
            common = got[0] if len(got) == 1 else loose
        of_place: list[list[int]] = [[] for _ in places]
        for k, spoken_of in enumerate(scopes.of):
            for p in dict.fromkeys(spoken_of):
                if p >= 0:
                    of_place[p].append(k)
        for p, place in enumerate(places):
            own = of_place[p] if named else list(range(len(items)))
            if named and not several:
                own = sorted({*own, *shared})
            draft = VisitDraft(place.name or None)
            open_name = next((m for m in place.mentions if m.alternatives), None)
            if open_name is not None:
                draft.name = None
            draft.weak = several and len(place.mentions) == 1 and place.mentions[0].strength < 0.72
            draft.told = several and any(
                m.first not in in_tables and self._is_told(m) for m in place.mentions
            )
            draft.told = draft.told and not sharer.only_named(own)
            if named and place.mentions and open_name is None:
                draft.facts["colony"] = Given(
                    place.name, [self._mention_span(m) for m in place.mentions[:1]]
                )
            own_all = sorted({*own, *everyone}) if several else own
            got, used = samples.build(own_all if counted else own)
            self.used |= used
            draft.samples = got
            if drafts and several:
                if not draft.samples and drafts[-1].samples and sharer.same_words(own):
                    lone = samples.lone(own, drafts[-1].samples[-1], self.used)
                    draft.samples = [lone] if lone else []
                sampled = next((d for d in reversed(drafts) if d.samples), drafts[-1])
                sharer.same_again(draft, sampled, own)
            if several:
                sharer.drop_refused(draft, own)
            general = sorted({*own, *shared}) if several else own
            observer.observe(draft, set(own_all))
            conditions.give(draft, p, place)
            active = chores.treatments(draft, general, active) or active
            chores.feed(draft, own_all)
            chores.supers(draft, set(own_all))
            base = self._date(draft, p, place, days, scopes)
            chores.todos(draft, own_all if several else own, base or self.written)
            self._yard(draft, place)
            self._pooled(draft, own, bound, scopes)
            drafts.append(draft)
            owned.append(own)
        if several:
            sharer.ask_unsampled(drafts, owned, common, chosen)
            sharer.share(drafts, common)
            self._share_todos(drafts, shared, everyone, chores)
        for draft, own in zip(drafts, owned, strict=True):
            board_days(self.clauses, draft, own, [*shared, *heads], days)
            for sample in draft.samples:
                if sample.method == "drone_uncapping" and "source" not in sample.facts:
                    of_drones(self.row, sample, [*own, *shared, *heads])
        settle_twins(drafts, _twins(drafts, places))
        if not all("date" in draft.facts for draft in drafts):
            drafts[0].doubts.extend(days.doubts)
        return drafts

    def _loose(self, samples: SampleBuilder, rest: list[int]) -> SampleDraft | None:
        """Attributes of a preamble that make no sample by themselves."""
        events = [
            e
            for e in find_events(samples.bound, rest)
            if e[1] not in ("mites", "mites_zero", "infested", "mites_vague")
        ]
        segments = samples.segmenter.cut(events, False)
        whole = segments[0]
        for s in segments[1:]:
            if s.facts.get("method") and whole.facts.get("method"):
                return whole
            for name, given in s.facts.items():
                whole.facts.setdefault(name, given)
        settle_method(whole)
        for k in rest:
            if "sugar" in self.row.items[k].ids and whole.sugar_words is None:
                whole.sugar_words = item_span(self.row.items[k])
        return whole if whole.facts or whole.wash or whole.sugar_words else None

    def _all_reach(self, m: Mention) -> range:
        items = self.row.items
        begins = self.row.grammar.mentions.told.all_begins
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
            and items[a].word not in begins
            and a > m.first - 2 * REACH
            and a - 1 not in self.named_items
        ):
            a -= 1
        return range(a, b)

    def _is_told(self, m: Mention) -> bool:
        """ "hive 4 not opened", but not "the swarm from hive 4", which tells of another colony."""
        items = self.row.items
        before = items[m.first - 1].word if m.first else ""
        stands = standing_of(self.clauses.marks, items[m.first].i, items[m.last - 1].j)
        if stands & NOT_OF_TODAY:
            # "more than can be said for hive 4 last week"
            return False
        return m.strength >= CERTAIN and before not in self.row.grammar.mentions.told.aside

    def _mention_span(self, m: Mention) -> tuple[int, int]:
        return span_of(self.row, m.first, m.last)

    def _date(
        self,
        draft: VisitDraft,
        p: int,
        place: Place,
        days: NoteDays,
        scopes: Scopes,
    ) -> dt.date | None:
        own_day = self.row_days.get(p)
        if own_day is not None:
            date, item = own_day
            draft.facts["date"] = Given(date, [item_span(item)])
            return date
        own_days = {date: item for k, date, item in days.told if scopes.of[k] == (p,)}
        if len(scopes.places) > 1 and len(own_days) == 1:
            date, item = next(iter(own_days.items()))
            draft.facts["date"] = Given(date, [item_span(item)])
            return date
        when = place.day
        if when is not None and when >= TWIN:
            when -= TWIN
        number = when if when in days.dates else 0
        if number not in days.dates:
            return None
        found, item = days.dates[number]
        if found is None:
            draft.doubts.append(
                Doubt("date", "ambiguous", [item_span(item)], day_options(item.day, self.written))
            )
            return None
        draft.facts["date"] = Given(found, [item_span(item)])
        return found

    def _pooled(
        self,
        draft: VisitDraft,
        own: list[int],
        bound: Bound,
        scopes: Scopes,
    ) -> None:
        """One count told of several colonies at once, without "each": nobody knows whose mites."""
        for sample in draft.samples:
            mites = sample.facts.get("mites")
            if mites is None or mites.value == 0:
                continue
            shared = [
                c
                for c in bound.of(own)
                if c.slot == "mites"
                and c.k >= 0
                and len(scopes.of[c.k]) > 1
                and item_span(self.row.items[c.k]) in mites.spans
            ]
            if not shared:
                continue
            if any(c.k in self.to_all for c in shared):
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
                    found = resolve(
                        day, self.written, ahead=False, day_first=self.clauses.day_first
                    )
                    if found is not None and found <= self.written:
                        for p in scopes.of[k]:
                            out[p] = (found, self.row.items[k])
        return out

    def _yard(self, draft: VisitDraft, place: Place) -> None:
        if place.yard is not None and place.yard_proof is not None:
            a, b = place.yard_proof
            draft.facts["yard"] = Given(place.yard, [span_of(self.row, a, b)])
            return
        if self.yards:
            m = self.yards[0]
            draft.facts["yard"] = Given(m.name, [span_of(self.row, m.first, m.last)])

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
