"""What is done with each note of ``fieldnotes read``: read, keep, show.

Apart from the command itself, since this is where spaCy is loaded: bad input is told of before.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from typing import TYPE_CHECKING

import typer

from ..grammar import Vocabulary
from ..reading import Context, Reader
from ..records import Note
from .keeper import usual_grammar
from .results import Result, as_object, read_whole
from .safe import json_text

if TYPE_CHECKING:
    from .read import ReadOptions


def note_handler(
    stack: ExitStack, vocabulary: Vocabulary, options: ReadOptions, *, several: bool
) -> Callable[[Note], Result]:
    """Return the function that takes one note all the way.

    What must be closed at the end is left to ``stack``. With ``several`` notes, JSON is one object
    a line.
    """
    grammar = usual_grammar()
    reader = Reader(grammar)
    keep = _keeper(stack, options, grammar.hash) if options.save else None
    show = _json_shower(several=several) if options.as_json else _page_shower(options)

    def handle(note: Note) -> Result:
        context = Context(vocabulary=vocabulary, yard=note.yard, colony=note.colony)
        result = read_whole(reader, note, context)
        kept = keep(result) if keep else ""
        show(result, kept)
        return result

    return handle


def _keeper(stack: ExitStack, options: ReadOptions, made_with: str) -> Callable[[Result], str]:
    from ..season import Store

    store = stack.enter_context(Store.open(options.db))

    def keep(result: Result) -> str:
        saved = store.save(result.note, result.reading, grammar_hash=made_with)
        how = "Kept as" if saved == "new" else "Was kept already as"
        return f"{how} {result.note.id}."

    return keep


def _json_shower(*, several: bool) -> Callable[[Result, str], None]:
    def show(result: Result, kept: str) -> None:
        typer.echo(json_text(as_object(result), indent=None if several else 2))

    return show


def _page_shower(options: ReadOptions) -> Callable[[Result, str], None]:
    from .page import show_page
    from .screen import standard_screen

    screen = standard_screen()

    def show(result: Result, kept: str) -> None:
        show_page(screen, result, all_steps=options.all_steps)
        if kept:
            screen.blank()
            screen.paragraph(kept, indent=0)

    return show
