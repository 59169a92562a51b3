"""Errors of a grammar file with the line they stand on, for files of many rows."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from ..errors import GrammarError

M = TypeVar("M", bound=BaseModel)
Loc = Sequence[int | str]


def load_located(path: Path, schema: type[M], context: Mapping[str, Any] | None = None) -> M:
    """The file at ``path`` as ``schema``; raises GrammarError, one line with file, line and key."""
    try:
        text = path.read_text(encoding="utf-8")
        data = tomllib.loads(text)
    except OSError as error:
        raise GrammarError(f"{path}: cannot be read ({error.strerror})") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise GrammarError(f"{path}: not valid TOML: {error}") from None
    try:
        return schema.model_validate(data, context=dict(context or {}))
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "file"
        reason = first["msg"].removeprefix("Value error, ")
        line = line_of(text, first["loc"])
        raise GrammarError(f"{path}: line {line}: {key}: {reason}") from None


def line_of(text: str, loc: Loc) -> int:
    """The line, from 1, on which the key at ``loc`` stands, or its table where the key is missing.

    >>> line_of("[[row]]\\na = 1\\n[[row]]\\na = 2\\n", ("row", 1, "a"))
    4
    """
    lines = text.splitlines()
    at, end, name = 0, len(lines), ""
    for part in loc:
        if isinstance(part, int):
            at, end = _nth(lines, name, part, at, end)
            continue
        outer = name
        name = f"{name}.{part}" if name else part
        key = re.compile(rf"\s*{re.escape(part)}\s*=")
        table = re.compile(rf"\s*\[{re.escape(name)}\]")
        # Keys of a table stand before the next header of any kind.
        own = _own_end(lines, at, end, bool(outer))
        for number in range(at, own):
            if key.match(lines[number]):
                return number + 1
        for number in range(at, end):
            if table.match(lines[number]):
                at = number
                break
    return min(at + 1, len(lines) or 1)


def _nth(lines: list[str], name: str, which: int, at: int, end: int) -> tuple[int, int]:
    """From where to where the ``which``-th ``[[name]]`` reaches between two lines."""
    header = re.compile(rf"\s*\[\[{re.escape(name)}\]\]")
    starts = [number for number in range(at, end) if header.match(lines[number])]
    if which >= len(starts):
        return at, end
    after = starts[which + 1] if which + 1 < len(starts) else end
    return starts[which], after


def _own_end(lines: list[str], at: int, end: int, inside: bool) -> int:
    start = at + 1 if inside else at
    return next((n for n in range(start, end) if lines[n].lstrip().startswith("[")), end)
