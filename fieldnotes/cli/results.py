"""A note and all that follows from it, and the JSON object that says so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..records import Note, Reading

if TYPE_CHECKING:
    from ..estimate import Estimate
    from ..protocol import Checklist
    from ..reading import Context, Reader


@dataclass(frozen=True)
class Result:
    """What was read in one note, and what the other parts make of it."""

    note: Note
    reading: Reading
    checklists: tuple[Checklist, ...] = ()
    estimates: tuple[Estimate, ...] = ()


def read_whole(reader: Reader, note: Note, context: Context) -> Result:
    """Read one note, check its samples against their protocols and do the estimates."""
    reading = reader.read(note, context)
    if not any(visit.samples for visit in reading.visits):
        return Result(note=note, reading=reading)
    from ..estimate import estimate_visit
    from ..protocol import check_visit

    return Result(
        note=note,
        reading=reading,
        checklists=tuple(made for visit in reading.visits for made in check_visit(visit)),
        estimates=tuple(
            made for visit in reading.visits for made in estimate_visit(visit, context.vocabulary)
        ),
    )


def as_object(result: Result, *, key: str | int | None = None) -> dict[str, Any]:
    """Return the object that is printed for one note, under ``key`` or the note's own id.

    All of its lists are always there; the records in them leave out what is not stated.
    """
    reading = result.reading
    return {
        "id": reading.id if key is None else key,
        "written": reading.written.isoformat(),
        "visits": _dumped(reading.visits),
        "questions": _dumped(reading.questions),
        "checklists": _dumped(result.checklists),
        "estimates": _dumped(result.estimates),
        "unread": _dumped(reading.unread),
    }


def _dumped(records: tuple[Any, ...]) -> list[dict[str, Any]]:
    return [record.model_dump(mode="json") for record in records]
