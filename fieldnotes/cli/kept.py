"""``fieldnotes notes``: the notes that were kept."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import typer

from ..season import NoteSummary, Store
from .safe import json_text, one_line
from .shield import DONE
from .words import day_in_words

_START = 60


def show_list(db: Path | None, *, as_json: bool, limit: int | None) -> int:
    """List the kept notes, the newest first."""
    with Store.open(db, create=False) as store:
        kept = store.notes(limit=limit)
    if as_json:
        for summary in kept:
            typer.echo(json_text(_summary_object(summary), indent=None))
        return DONE
    if not kept:
        typer.echo("No notes are kept yet; fieldnotes read --save keeps one.")
    for summary in kept:
        typer.echo(_summary_line(summary))
    return DONE


def _summary_object(summary: NoteSummary) -> dict[str, Any]:
    return {
        "id": summary.id,
        "written": summary.written.isoformat(),
        "saved": summary.saved_at.isoformat(timespec="seconds"),
        "origin": summary.origin,
        "yard": summary.yard,
        "colony": summary.colony,
        "colonies": list(summary.colonies),
        "samples": summary.samples,
        "open_questions": summary.open_questions,
        "start": summary.start,
    }


def _summary_line(summary: NoteSummary) -> str:
    """Return two lines: what the note holds, and how it begins."""
    colonies = ", ".join(one_line(colony) for colony in summary.colonies)
    held = (
        [f"colony {colonies}" if len(summary.colonies) == 1 else f"colonies {colonies}"]
        if colonies
        else ["no colony named"]
    )
    held.append(_counted(summary.samples, "sample"))
    if summary.open_questions:
        held.append(_counted(summary.open_questions, "open question"))
    start = one_line(summary.start)
    start = start if len(start) <= _START else f"{start[:_START].rstrip()}…"
    day = day_in_words(summary.written, short=True)
    return f"{summary.id}  {day}: {'; '.join(held)}\n    {start}"


def _counted(count: int, thing: str) -> str:
    return f"{count or 'no'} {thing}{'' if count == 1 else 's'}"


def show_one(note_id: str, db: Path | None, *, as_json: bool) -> int:
    """Show one kept note: its words, its record and its open questions."""
    with Store.open(db, create=False) as store:
        note, reading = store.note(note_id)
    if as_json:
        told = note.model_dump(mode="json") | reading.model_dump(mode="json")
        lists: dict[str, Any] = {"visits": [], "questions": [], "unread": []}
        typer.echo(json_text({"id": note.id} | lists | told, indent=2))
        return DONE
    from .page import show_note, show_questions, show_record
    from .screen import standard_screen

    screen = standard_screen()
    show_note(screen, note, reading)
    show_record(screen, note, reading)
    show_questions(screen, note, reading.questions)
    return DONE
