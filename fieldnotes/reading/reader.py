"""The main road of reading: text to :class:`~fieldnotes.records.Reading`.

The stages, in order, each in its own module: ``clean`` -> ``tokens`` -> ``items`` (terms and
values, mishearings, hedges) -> ``standing`` -> ``tables`` and ``scenes`` -> ``scopes`` ->
``binding`` -> ``visits`` (with ``samples``, ``counts`` and ``chores``) -> ``questions`` ->
``assembly``.
"""

from __future__ import annotations

from contextlib import ExitStack

from ..grammar.load import Grammar
from ..grammar.vocabulary import Vocabulary
from ..records import Note, Reading, Span
from . import declared
from .assembly import visit_record
from .binding import (
    Candidate,
    choose,
    counts_at_once,
    counts_beside_names,
    counts_dealt_out,
    counts_said_alone,
    index_rules,
    propose,
    stand,
)
from .chores import Clauses
from .clean import clean
from .context import Context
from .corrected import with_corrections
from .drafts import VisitDraft
from .items import ItemBuilder, Row
from .leftover import unread
from .plans import (
    mark_days_beside_heading,
    mark_days_of_phrases,
    mark_planned_days,
    mark_remembered_days,
)
from .questions import Asker, rate_conflict, unlikely
from .scenes import SceneFinder
from .scopes import build_scopes
from .standing import standings
from .sums import without_sums
from .tables import cell_starts, find_tables, other_cells, prepare
from .tokens import build_nlp
from .visits import DayFinder, VisitBuilder, tells_of_colonies

LIMIT = 1_000_000
"""Longest text that is read, in characters."""

ZONE = 200
"""Notes after which spaCy's memory of words is emptied, so that long runs stay flat."""


class Reader:
    """Reads notes with one grammar. Build it once; it keeps no state between notes."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar
        glued = {row[0][0] for rows in grammar.unit_lexicon.values() for row in rows}
        self.nlp = build_nlp(glued | grammar.items.glued)
        self.items = ItemBuilder(grammar)
        self.scenes = SceneFinder(grammar)
        self.asker = Asker(grammar)
        self.rule_index = index_rules(grammar.rules)
        self._zone = ExitStack()
        self._zone.enter_context(self.nlp.memory_zone())
        self._in_zone = 0

    def read(self, note: Note, context: Context | None = None) -> Reading:
        """Return what ``note`` says. Never raises on a text of at most :data:`LIMIT` characters."""
        context = context or Context()
        vocabulary: Vocabulary = context.vocabulary
        cleaned = clean(note.text)
        text = prepare(cleaned.text)
        if not text.strip():
            return Reading(id=note.id, written=note.written)
        row = self.row(text)
        tables = find_tables(row, self.grammar.scenes.columns)
        roster = declared.roster(vocabulary)
        mentions = self.scenes.find(row, tables, roster, given=bool(context.colony or note.colony))
        stops = frozenset(row.items[m.first].i for m in mentions if m.kind == "colony")
        counted = frozenset(row.items[m.first].i for m in mentions if counts_at_once(row, m))
        marks = standings(row, self.grammar.cues, stops, counted)
        mark_planned_days(row, marks, self.grammar.cues.plans)
        mark_remembered_days(row, marks, self.grammar.cues.plans)
        mark_days_of_phrases(row, marks, self.grammar.cues.plans)
        own_words = {w.casefold(): str(a) for w, a in vocabulary.treatments.items()}
        day_first = (
            vocabulary.day_first
            if vocabulary.day_first is not None
            else declared.day_order(row, note.written)
        )
        clauses = Clauses(row, marks, note.written, day_first, cell_starts(tables))
        days = DayFinder(clauses).find(mentions, other_cells(tables))
        told = [item for _, item in days.dates.values()]
        mark_days_beside_heading(row, marks, self.grammar.cues.plans, told)
        scopes = build_scopes(row, mentions, tables, days.breaks)
        proposed = propose(row, self.grammar.rules, self.rule_index)
        proposed += counts_said_alone(row)
        proposed += counts_beside_names(row, mentions)
        for k, mention in counts_dealt_out(row, mentions).items():
            proposed.append(Candidate("mites", row.items[k].value, k, k, k + 1, 3.3))
            scopes.of[k] = tuple(
                p for p, place in enumerate(scopes.places) if mention in place.mentions
            )
        chosen = choose(proposed, tables, row, note.written)
        stand(chosen, row, marks)
        chosen = without_sums(with_corrections(chosen, row), row, scopes)
        visits = VisitBuilder(clauses, mentions, own_words)
        chosen = [c for c in chosen if c.k not in visits.named_items or c.column]
        drafts = visits.build(scopes, chosen, days, tables)
        drafts = declared.fill(drafts, note, context, self._usual_ml(vocabulary))
        told_of = (
            context.colony
            or note.colony
            or tells_of_colonies(row, named=any(draft.name for draft in drafts))
        )
        drafts = [d for d in drafts if told_of and _says_something(d)]
        self._doubts(drafts)
        declared.doubt_near_names(drafts, roster)
        back = cleaned.span

        def to_note(span: Span) -> Span:
            return back(*span)

        loose = list(unread(row, chosen, mentions, visits.used, cleaned, note.text, marks))
        doubt = declared.colony_doubt(drafts, row, mentions)
        questions = self.asker.ask(drafts, text, to_note, doubt)
        return Reading(
            id=note.id,
            written=note.written,
            visits=tuple(visit_record(d, text, self.grammar.steps, to_note) for d in drafts),
            questions=tuple(questions),
            unread=tuple(loose),
        )

    def row(self, text: str) -> Row:
        """Tokens and items. spaCy remembers every new word; its memory is emptied now and then."""
        self._in_zone += 1
        if self._in_zone >= ZONE:
            self._zone.close()
            self._zone.enter_context(self.nlp.memory_zone())
            self._in_zone = 0
        return self.items.build(self.nlp.make_doc(text), text)

    def _usual_ml(self, vocabulary: Vocabulary) -> float | None:
        """The declared usual amount, read from its words as a note would be."""
        words = vocabulary.usual.volume
        if not words:
            return None
        row = self.row(words)
        return next(
            (round(item.value, 1) for item in row.items if item.kind in ("vol", "spoon")), None
        )

    def _doubts(self, drafts: list[VisitDraft]) -> None:
        for draft in drafts:
            for sample in draft.samples:
                sample.doubts.extend(unlikely(sample, self.grammar))
                conflict = rate_conflict(sample)
                if conflict:
                    sample.doubts.append(conflict)
                for d in sample.doubts:
                    if d.field == "method" and d.kind == "conflict" and "method" in sample.facts:
                        del sample.facts["method"]


_OF_A_COLONY = frozenset({"temper", "eggs", "larvae", "queen_seen", "frames_bees", "frames_brood"})
"""Facts that are told of no one but a colony."""


def _says_something(draft: VisitDraft) -> bool:
    facts = draft.facts.keys() - {"colony", "yard", "date", "time", "weather_c"}
    if draft.name is None and not (
        facts or draft.samples or draft.signs or draft.treatment or draft.fed or draft.supers
    ):
        return False
    told = draft.samples or draft.treatment or draft.signs or facts & _OF_A_COLONY
    if draft.weak and not told:
        # a name met once, of which nothing much is told, is somebody else's
        return False
    return bool(
        draft.told
        or facts
        or draft.samples
        or draft.signs
        or draft.treatment
        or draft.fed
        or draft.supers
        or draft.todo
        or draft.earlier
    )
