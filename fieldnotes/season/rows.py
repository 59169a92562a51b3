"""A note and its reading as rows of the season store. Pure: nothing here opens a file."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from ..records import Note, Question, Reading, Sample, Visit

Row = dict[str, str | int | float | None]

SAMPLE_FIELDS: Final = (
    "method", "mites", "mites_low", "mites_high", "bees", "bees_weight_g", "volume_ml",
    "volume_said", "source", "days", "cells", "rate_per_100", "rate_basis", "mites_per_day",
    "fall",
)  # fmt: skip
"""The fields of a sample that stand in columns of the same name; the rest is in the JSON."""

_LARGEST: Final = 2**63 - 1
"""The largest integer of SQLite."""


def name_key(name: str | None) -> str | None:
    """Return the form under which a colony's or yard's name is looked up.

    Letter case, width and spacing don't count. None for no name or a blank one.

    >>> name_key("  Juniper   3 ")
    'juniper 3'
    """
    folded = unicodedata.normalize("NFKC", name or "").casefold()
    return " ".join(folded.split()) or None


def reading_json(reading: Reading) -> str:
    """Return the JSON that the store keeps; raise ValueError if it would not read back the same."""
    text = reading.model_dump_json()
    # JSON has no infinity: it would come back as nothing, and nobody would know.
    if type(reading).model_validate_json(text).model_dump_json() != text:
        raise ValueError("it holds a value that JSON has no word for")
    return text


def same_json(first: str, second: str) -> bool:
    """Tell whether two JSON texts say the same, whatever the order of their keys.

    Texts are compared, not values, since in Python True equals 1 and a record tells them apart.
    """
    if first == second:
        return True
    try:
        return _sorted(first) == _sorted(second)
    except ValueError:  # one of them was damaged from outside
        return False


def _sorted(text: str) -> str:
    return json.dumps(json.loads(text), sort_keys=True)


def note_row(note: Note, *, saved_at: str) -> Row:
    """Return the row of ``notes``."""
    return {
        "id": note.id,
        "text": note.text,
        "written": note.written.isoformat(),
        "written_from": note.written_from,
        "origin": note.origin,
        "yard": note.yard,
        "yard_key": name_key(note.yard),
        "colony": note.colony,
        "colony_key": name_key(note.colony),
        "saved_at": saved_at,
    }


def visit_row(number: int, note: Note, ordinal: int, visit: Visit) -> Row:
    """Return the row of ``visits``; ``number`` is that of the note's own row.

    ``colony``, ``yard`` and ``date`` are what the visit says. The keys and ``day`` are what to
    look it up by: where the visit says nothing, they are those given for the whole note.
    """
    return {
        "note": number,
        "ordinal": ordinal,
        "colony": visit.colony,
        "colony_key": name_key(visit.colony) or name_key(note.colony),
        "yard": visit.yard,
        "yard_key": name_key(visit.yard) or name_key(note.yard),
        "date": visit.date.isoformat() if visit.date else None,
        "day": (visit.date or note.written).isoformat(),
        "time": visit.time,
    }


def sample_row(visit_id: int, ordinal: int, sample: Sample) -> Row:
    """Return the row of ``samples``; a count too large for a column stands in the JSON alone."""
    row: Row = {"visit": visit_id, "ordinal": ordinal}
    for field in SAMPLE_FIELDS:
        value = getattr(sample, field)
        row[field] = None if isinstance(value, int) and value > _LARGEST else value
    row["position"] = None if sample.position is None else str(sample.position)
    return row


def question_rows(number: int, reading: Reading, before: Iterable[Row] = ()) -> list[Row]:
    """Return the rows of ``questions``; ``number`` is that of the note's row.

    ``before`` are the note's rows until now: what was closed stays closed if it is asked again.
    """
    states: dict[tuple[object, ...], list[str]] = {}
    for row in before:
        states.setdefault(_doubt(row), []).append(str(row["status"]))
    rows: list[Row] = []
    for ordinal, question in enumerate(reading.questions):
        row = _question_row(number, ordinal, question)
        if left := states.get(_doubt(row)):
            row["status"] = left.pop(0)
        rows.append(row)
    return rows


def _question_row(number: int, ordinal: int, question: Question) -> Row:
    return {
        "note": number,
        "ordinal": ordinal,
        "visit": question.visit,
        "sample": question.sample,
        "colony": question.colony,
        "field": question.field,
        "kind": question.kind,
        "need": question.need,
        "text": question.text,
        "options": json.dumps(question.options, ensure_ascii=False),
        "evidence": json.dumps(question.evidence),
        "status": "open",
    }


def _doubt(row: Row) -> tuple[object, ...]:
    """What makes two questions of one note the same: the fact in doubt, not the wording.

    Where something is missing there are no words to quote, and the place has to tell.
    """
    place = () if row["evidence"] != "[]" else (row["visit"], row["sample"])
    return (row["field"], name_key(_text(row["colony"])), row["evidence"], *place)


def _text(value: str | int | float | None) -> str | None:
    return None if value is None else str(value)
