"""The main road of reading: text to :class:`~fieldnotes.records.Reading`."""

from __future__ import annotations

from ..grammar.load import Grammar
from ..records import Note, Reading
from .context import Context


class Reader:
    """Reads notes with one grammar. Build it once; it keeps no state between notes."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar

    def read(self, note: Note, context: Context | None = None) -> Reading:
        """Return what ``note`` says. Never raises on any text."""
        return Reading(id=note.id, written=note.written)
