"""Bulk conversion: JSON Lines of notes in, JSON Lines of readings out, one line at a time.

Memory stays flat: a line is read, converted and written before the next one is looked at.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

from pydantic import ValidationError

from ..errors import DateError, FieldnotesError, InputError
from ..grammar.vocabulary import Vocabulary
from ..reading import Context
from ..records import Note
from .inputs import LIMIT, parse_date

_LONGEST_LINE = 16 * LIMIT  # JSON may spell one character in twelve bytes
_CONTEXT_KEYS = ("yard", "colony", "vocabulary")


class BadLine(FieldnotesError):
    """A line that is no note; the message says why and leaves the line's number to the caller."""


def lines(stream: BinaryIO) -> Iterator[tuple[int, bytes | None]]:
    """Yield each line that is not blank with its number; None for a line too long to be held."""
    number = 0
    while line := stream.readline(_LONGEST_LINE):
        number += 1
        whole = line.endswith(b"\n") or len(line) < _LONGEST_LINE
        while not whole:
            rest = stream.readline(_LONGEST_LINE)
            whole = rest.endswith(b"\n") or len(rest) < _LONGEST_LINE
            line = b""
        if not line:
            yield number, None
        elif line.strip():
            yield number, line


def parse_line(line: bytes | None, usual: Vocabulary) -> tuple[str | int, Note, Context]:
    """Return the id, note and context that one line gives; raise :class:`BadLine` if it gives none.

    ``usual`` is the vocabulary for a line that brings none.
    """
    entry = _object(line)
    key = entry.get("id")
    if not isinstance(key, (str, int)) or isinstance(key, bool):
        raise BadLine('"id" must be there, as a text or a whole number')
    text = entry.get("text")
    if not isinstance(text, str):
        raise BadLine('"text" must be there, as a text')
    if len(text) > LIMIT:
        raise BadLine(f'"text" is longer than {LIMIT:,} characters; split it up')
    if _has_half_characters(text) or _has_half_characters(str(key)):
        raise BadLine("it holds half a character (a lone surrogate); spell it whole")
    written = entry.get("written")
    if not isinstance(written, str):
        raise BadLine('"written" must be there, as a date such as "2026-07-14"')
    try:
        day = parse_date(written)
    except DateError as error:
        raise BadLine(f'"written": {error}') from None
    context = _context(entry.get("context"), usual)
    note = Note(text=text, written=day, yard=context.yard, colony=context.colony)
    return key, note, context


def _object(line: bytes | None) -> dict[str, Any]:
    if line is None:
        raise BadLine("too long to be one note")
    try:
        entry = json.loads(line.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise BadLine("not UTF-8") from None
    except json.JSONDecodeError as error:
        raise BadLine(f"not JSON ({error.msg} at character {error.pos + 1})") from None
    except (ValueError, RecursionError):  # a number of thousands of digits, a thousand brackets
        raise BadLine("JSON, but not of a note") from None
    if not isinstance(entry, dict):
        raise BadLine('not a JSON object such as {"id": ..., "text": ..., "written": ...}')
    return entry


def _context(given: Any, usual: Vocabulary) -> Context:
    if given is None:
        return Context(vocabulary=usual)
    if not isinstance(given, dict):
        raise BadLine('"context" must be an object')
    unknown = sorted(set(given) - set(_CONTEXT_KEYS))
    if unknown:
        known = ", ".join(_CONTEXT_KEYS)
        raise BadLine(f'"context" knows no "{unknown[0]}", only {known}')
    for key in ("yard", "colony"):
        name = given.get(key)
        if name is not None and (not isinstance(name, str) or _has_half_characters(name)):
            raise BadLine(f'"context": "{key}" must be a text')
    vocabulary = usual
    if given.get("vocabulary") is not None:
        try:
            vocabulary = Vocabulary.model_validate(given["vocabulary"])
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(str(part) for part in ("vocabulary", *first["loc"]))
            raise BadLine(
                f'"context": {where}: {first["msg"].removeprefix("Value error, ")}'
            ) from None
    return Context(vocabulary=vocabulary, yard=given.get("yard"), colony=given.get("colony"))


def _has_half_characters(text: str) -> bool:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return True
    return False


@contextlib.contextmanager
def output(path: Path | None) -> Iterator[Callable[[str], None]]:
    """Yield a function that writes one line, to standard output or to a file that is whole at last.

    A file is written beside its place under a passing name and takes its place only at the end;
    after an error it is as if it had never been begun.
    """
    if path is None:
        stream = sys.stdout

        def write_out(line: str) -> None:
            stream.write(line + "\n")

        yield write_out
        return
    path = Path(os.path.realpath(path))
    folder = path.parent
    if path.is_dir():
        raise InputError(f"{path} is a folder; name a file to write to")
    if not folder.is_dir():
        raise InputError(f"{path}: there is no folder {folder}; make it first")
    if path.exists() and not stat.S_ISREG(path.stat().st_mode):
        # A device or a named pipe has no other place to be written first.
        with path.open("w", encoding="utf-8") as file:
            yield lambda line: _put(file, line)
        return
    try:
        handle, passing = tempfile.mkstemp(prefix=f".{path.name[:60]}.", suffix=".part", dir=folder)
    except OSError as error:
        raise InputError(f"{path}: cannot be written ({error.strerror})") from None
    try:
        with open(handle, "w", encoding="utf-8", newline="\n") as file:
            yield lambda line: _put(file, line)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(passing, _mode(path))
        os.replace(passing, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(passing)
        raise


def _put(file: Any, line: str) -> None:
    file.write(line + "\n")


def _mode(path: Path) -> int:
    """Return the permissions for the finished file: those of the file it replaces, else usual."""
    if path.exists():
        return stat.S_IMODE(path.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
