"""``fieldnotes convert``: from the lines of one file to those of another, with what went wrong."""

from __future__ import annotations

import contextlib
import json
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import BinaryIO

from ..errors import InputError
from ..grammar import Vocabulary, load_vocabulary
from ..reading import Reader
from .convert import BadLine, lines, output, parse_line
from .inputs import standard_input
from .keeper import usual_grammar
from .results import as_object, read_whole
from .shield import DONE, IN_PART, inside, say

Reached = Callable[[int], None]


def convert_notes(source: str, out: Path | None, vocabulary: Path | None) -> int:
    """Convert a file of notes; return the exit code.

    Raises :class:`~fieldnotes.errors.InputError` if not one line could be converted; what stood at
    ``out`` before then stands there still.
    """
    usual = Vocabulary() if vocabulary is None else load_vocabulary(vocabulary)
    done = failed = 0
    with _opened(source) as stream, output(out) as write, _progress(stream, out) as reached:
        reader = Reader(usual_grammar())
        for number, line in lines(stream):
            try:
                key, note, context = parse_line(line, usual)
                told = as_object(read_whole(reader, note, context), key=key)
                converted = json.dumps(told, ensure_ascii=False)
            except BadLine as error:
                say(f"line {number}: {error}")
                failed += 1
            except Exception as error:  # noqa: BLE001 - one note must not cost the others
                say(f"line {number}: {inside(error, what='nothing of it')}")
                failed += 1
            else:
                write(converted)
                done += 1
            reached(len(line or b""))
        if not done:
            told_of = "none of its lines is a note" if failed else "there is nothing in it to read"
            raise InputError(f"{_name(source)}: {told_of}; nothing was written")
    if failed:
        say(f"{done} converted, {failed} not")
    return IN_PART if failed else DONE


def _name(source: str) -> str:
    return "standard input" if source == "-" else source


@contextlib.contextmanager
def _opened(source: str) -> Iterator[BinaryIO]:
    if source == "-":
        if sys.stdin is None or sys.stdin.isatty():
            raise InputError("nothing to convert; name a file, or pipe JSON Lines into it")
        yield standard_input()
        return
    path = Path(source)
    if path.is_dir():
        raise InputError(f"{source} is a folder; name a JSON Lines file")
    try:
        file = path.open("rb")
    except FileNotFoundError:
        raise InputError(f"{source}: no such file; check its name and folder") from None
    except OSError as error:
        raise InputError(f"{source}: cannot be read ({error.strerror or error})") from None
    with file:
        yield file


@contextlib.contextmanager
def _progress(stream: BinaryIO, out: Path | None) -> Iterator[Reached]:
    """Yield a function that is told of the bytes done; a bar shows them if somebody can see it.

    It is shown on standard error, and only on a terminal to which the readings do not go as well.
    """
    seen = sys.stderr.isatty() and os.environ.get("TERM") != "dumb"
    if not seen or (out is None and sys.stdout.isatty()):
        yield lambda size: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

    try:
        total = os.fstat(stream.fileno()).st_size or None
    except (OSError, ValueError):
        total = None
    bar = BarColumn(style="default", complete_style="magenta", finished_style="magenta")
    columns = (TextColumn("converting"), bar, TaskProgressColumn(style="default"))
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("", total=total)
        yield lambda size: progress.advance(task, size)
