"""What a reading takes from outside the note: roster, declarations, the order of day and month."""

from __future__ import annotations

import datetime as dt
from functools import lru_cache

from ..grammar.vocabulary import Vocabulary
from ..records import Note
from .context import Context
from .dates import numeric_readings
from .drafts import Doubt, Given, VisitDraft
from .items import Row
from .likeness import near_names
from .scenes import Mention, Roster


def roster(vocabulary: Vocabulary) -> Roster:
    """The known names as word tuples."""
    if not vocabulary.yard and not vocabulary.colony:
        return Roster()
    return _roster(vocabulary.model_dump_json())


WEAK = 0.72
"""Strength of a name below which it is asked about.

Of such names in notes by writers whom the rules had not met a third was none. Asking about the
next stronger ones, those that keepers give, would cost three needless questions for each found.
"""


@lru_cache(maxsize=8)
def _roster(dumped: str) -> Roster:
    vocabulary = Vocabulary.model_validate_json(dumped)
    out = Roster()
    for row in vocabulary.yard:
        for name in (row.name, *row.aliases):
            out.yards[tuple(name.lower().split())] = row.name
    for colony in vocabulary.colony:
        for name in (colony.name, *colony.aliases):
            out.colonies[tuple(name.lower().split())] = colony.name
        if colony.yard:
            out.yard_of[colony.name] = colony.yard
    return out


def day_order(row: Row, written: dt.date) -> bool | None:
    """Whether days come first in all-numeric dates, where the note itself settles it."""
    votes: set[bool] = set()
    for item in row.items:
        day = item.day
        if day is None or day.kind != "numeric":
            continue
        readings = numeric_readings(day, written)
        possible = {
            first for first, date in readings.items() if date <= written + dt.timedelta(days=1)
        }
        if len(possible) == 1:
            votes |= possible
    return votes.pop() if len(votes) == 1 else None


def fill(
    drafts: list[VisitDraft], note: Note, context: Context, usual_ml: float | None
) -> list[VisitDraft]:
    """Fill what the note leaves out from the note's own options and the keeper's declarations."""
    vocabulary = context.vocabulary
    on = vocabulary.declared
    colony = context.colony or note.colony
    yard = context.yard or note.yard
    names = roster(vocabulary)
    for draft in drafts:
        if draft.name is None and len(drafts) == 1:
            if colony:
                draft.name = colony
                draft.facts["colony"] = Given(colony, [], declared="colony option", on=note.written)
            elif vocabulary.only.colony:
                draft.name = vocabulary.only.colony
                draft.facts["colony"] = Given(draft.name, [], declared="only colony", on=on)
            elif len(vocabulary.colony) == 1:
                draft.name = vocabulary.colony[0].name
                draft.facts["colony"] = Given(
                    draft.name, [], declared="only colony on the roster", on=on or note.written
                )
        if "yard" not in draft.facts:
            known = names.yard_of.get(draft.name or "")
            if yard:
                draft.facts["yard"] = Given(yard, [], declared="yard option", on=note.written)
            elif known:
                draft.facts["yard"] = Given(
                    known, [], declared=f"yard of {draft.name}", on=on or note.written
                )
            elif vocabulary.only.yard:
                draft.facts["yard"] = Given(vocabulary.only.yard, [], declared="only yard", on=on)
        _usual(draft, vocabulary, usual_ml)
    return drafts


def _usual(draft: VisitDraft, vocabulary: Vocabulary, usual_ml: float | None) -> None:
    usual, on = vocabulary.usual, vocabulary.declared
    for sample in draft.samples:
        facts = sample.facts
        if (
            "method" not in facts
            and usual.method
            and not any(d.field == "method" for d in sample.doubts)
        ):
            facts["method"] = Given(usual.method, [], declared="usual method", on=on)
        method = sample.method
        if method in ("sticky_board", "drone_uncapping", "visual"):
            continue
        if not facts.keys() & {"volume_ml", "bees", "bees_weight_g"} and not any(
            d.field in ("volume", "bees") for d in sample.doubts
        ):
            if usual_ml is not None:
                facts["volume_ml"] = Given(usual_ml, [], declared="usual volume", on=on)
            if usual.bees is not None:
                facts["bees"] = Given(usual.bees, [], declared="usual bees", on=on)
        if (
            "source" not in facts
            and usual.frame
            and not any(d.field == "frame" for d in sample.doubts)
        ):
            facts["source"] = Given(usual.frame, [], declared="usual frame", on=on)
            if "position" not in facts and usual.position is not None:
                facts["position"] = Given(usual.position, [], declared="usual position", on=on)


def doubt_near_names(drafts: list[VisitDraft], roster: Roster) -> None:
    """Ask about each colony and yard that is not on the roster but sounds like one that is."""
    for draft in drafts:
        for field, names in (("colony", roster.colonies), ("yard", roster.yards)):
            given = draft.facts.get(field)
            if given is None or given.declared or not names:
                continue
            said = str(given.value)
            if tuple(said.lower().split()) in names or said in names.values():
                continue
            if near := near_names(said, dict.fromkeys(names.values())):
                options = (*near, said)
                draft.doubts.append(Doubt(field, "ambiguous", given.spans, options))


def colony_doubt(drafts: list[VisitDraft], row: Row, mentions: list[Mention]) -> Doubt | None:
    """Whether to ask which colony is meant."""
    if not drafts:
        return None
    for m in mentions:
        if m.alternatives:
            return Doubt(
                "colony",
                "ambiguous",
                [(row.items[m.first].start, row.items[m.last - 1].end)],
                m.alternatives,
            )
    if any(d.name is None for d in drafts):
        return Doubt("colony", "missing")
    if any(doubt.field == "colony" for draft in drafts for doubt in draft.doubts):
        return None  # it is asked already, with better words
    visited = {draft.name for draft in drafts}
    for m in mentions:
        if m.kind == "colony" and m.strength < WEAK and m.name in visited:
            return Doubt(
                "colony",
                "ambiguous",
                [(row.items[m.first].start, row.items[m.last - 1].end)],
                m.alternatives or (m.name,),
                value="",
            )
    return None
