"""``fieldnotes read``: each note is read, kept if asked, and shown, in the order given."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from ..errors import FieldnotesError, InputError
from .inputs import Source, day_given, find_sources, load_note, name_given
from .keeper import keeper_vocabulary
from .shield import DONE, IN_PART, NOTHING, OPEN_QUESTIONS, inside, say

if TYPE_CHECKING:
    from ..records import Note
    from .results import Result

A = TypeVar("A")
B = TypeVar("B")


@dataclass(frozen=True, kw_only=True)
class ReadOptions:
    """The options of ``fieldnotes read``, as given."""

    as_text: bool = False
    as_json: bool = False
    save: bool = False
    db: Path | None = None
    written: str | None = None
    yard: str | None = None
    colony: str | None = None
    vocabulary: Path | None = None
    all_steps: bool = False
    strict: bool = False


def read_notes(arguments: Sequence[str], options: ReadOptions) -> int:
    """Read all that ``arguments`` stand for; return the exit code.

    A note that cannot be read is reported, and the others are still read.
    """
    today = dt.date.today()
    written = None if options.written is None else day_given(options.written, today)
    sources = find_sources(_or_piped(arguments), as_text=options.as_text)
    vocabulary = keeper_vocabulary(options.vocabulary)
    yard, colony = name_given(options.yard), name_given(options.colony)
    if options.db is not None and not options.save:
        say("--db does nothing here without --save")

    def load(source: Source | FieldnotesError) -> Note:
        if not isinstance(source, Source):
            raise source
        return load_note(source, today=today, warn=say, written=written, yard=yard, colony=colony)

    done = failed = asked = 0
    with ExitStack() as stack:
        handle: Callable[[Note], Result] | None = None
        for source in sources:
            note = _tried(load, source, source)
            if note is not None and handle is None:
                # An error here, such as a database that cannot be opened, stops everything.
                from .handle import note_handler

                handle = note_handler(stack, vocabulary, options, several=len(sources) > 1)
            result = _tried(handle, note, source) if handle and note else None
            if result is None:
                failed += 1
            else:
                done += 1
                asked += len(result.reading.questions)
    if failed:
        return IN_PART if done else NOTHING
    return OPEN_QUESTIONS if options.strict and asked else DONE


def _tried(step: Callable[[A], B], what: A, source: Source | FieldnotesError) -> B | None:
    """Return what ``step`` makes of ``what``; None, after telling why, if it fails."""
    try:
        return step(what)
    except FieldnotesError as error:
        say(str(error))
    except OSError:  # the output is full or closed: the other notes would fare no better
        raise
    except Exception as error:  # noqa: BLE001 - a note that trips us must not stop the others
        name = source.name if isinstance(source, Source) else "a note"
        say(f"{name}: {inside(error, what='nothing of it')}")
    return None


def _or_piped(arguments: Sequence[str]) -> Sequence[str]:
    """Return the arguments; without any, standard input if something is piped into it."""
    if arguments:
        return arguments
    if sys.stdin is None or sys.stdin.isatty():
        raise InputError(
            "nothing to read; give a note in quotes, a file, or - for standard input "
            "(fieldnotes read -h shows how)"
        )
    return ["-"]
