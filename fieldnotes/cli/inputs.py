"""Where notes come from: text given on the command line, files, standard input.

Everything that can be wrong with an input is found here, before anything is read or written, and
is said in one line.
"""

from __future__ import annotations

import datetime as dt
import io
import os
import re
import stat
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Literal

from ..errors import DateError, FieldnotesError, InputError
from ..records import Note

LIMIT = 1_000_000
"""The longest note that is read, in characters."""

_MOST_BYTES = 4 * LIMIT + 4  # no encoding that is read here takes more than four bytes a character

_ISO = r"(?<!\d)(\d{4})-(\d{2})-(\d{2})(?!\d)"
_ISO_DATE = re.compile(_ISO)
_CLOSE_DATE = re.compile(r"(?<!\d)(\d{4})(\d{2})(\d{2})(?!\d)")
_OPENS_WITH_DATE = re.compile(r"\s*(?:[#*-]+\s*)?(?:date|written|note of)?\s*:?\s*" + _ISO, re.I)
_HEADING = 60  # a first line longer than this is a sentence, and a date in it may be of anything

_ODD_CONTROLS = re.compile(r"[\x00-\x08\x0e-\x1a\x1c-\x1f]")

WrittenFrom = Literal["option", "file name", "first line", "today"]


@dataclass(frozen=True)
class Source:
    """One note to be read: a name for messages, and its text or the file that holds it."""

    name: str
    text: str | None = None
    path: Path | None = None


def parse_date(text: str) -> dt.date:
    """Return the day that ``text`` gives as YYYY-MM-DD; raise :class:`DateError` if it is none."""
    match = re.fullmatch(_ISO, text.strip())
    if match is None:
        raise DateError(f"{text!r} is no date; give it as YYYY-MM-DD, such as 2026-07-14")
    day = _day(match)
    if day is None:
        raise DateError(f"there is no day {text.strip()}; give one as YYYY-MM-DD")
    return day


def day_given(text: str, today: dt.date) -> dt.date:
    """Return the day that an option gives: YYYY-MM-DD, or words such as "yesterday" or "14 July".

    Words are read by dateparser, and only where day and month are settled whichever of them stands
    first. Raises :class:`DateError` for what is no day, could be two, or lies ahead.
    """
    if re.fullmatch(r"[\d-]+", text.strip()):
        return parse_date(text)
    import dateparser  # here, since it is slow to load and most days are given in digits

    days: set[dt.date] = {
        found.date()
        for order in ("DMY", "MDY")
        if (
            found := dateparser.parse(
                text,
                languages=["en"],
                settings={
                    "DATE_ORDER": order,
                    "PREFER_DATES_FROM": "past",
                    "RELATIVE_BASE": dt.datetime.combine(today, dt.time(12)),
                    "REQUIRE_PARTS": ["day", "month"],
                },
            )
        )
    }
    if not days:
        raise DateError(f"{text!r} is no date; give it as YYYY-MM-DD, such as 2026-07-14")
    if len(days) > 1:
        both = " or ".join(day.isoformat() for day in sorted(days))
        raise DateError(f"{text!r} could be {both}; give it as YYYY-MM-DD")
    (day,) = days
    if day > today:
        raise DateError(f"{text!r} lies ahead ({day}); give the day the note was made")
    return day


def _day(match: re.Match[str]) -> dt.date | None:
    """Return the day that a match's first three groups give, if there is such a day.

    Years outside 1900 to 2199 are no dates of notes, and would leave no room to count days.
    """
    year, month, day = (int(part) for part in match.groups())
    if not 1900 <= year < 2200:
        return None
    try:
        return dt.date(year, month, day)
    except ValueError:
        return None


def date_in_name(name: str) -> dt.date | None:
    """Return the day in a file's name, as YYYY-MM-DD or YYYYMMDD; the first if there are several.

    Eight digits that are no day are taken for some other number; a day with dashes that does not
    exist raises :class:`DateError`, since leaving it out would date the note wrongly.
    """
    match = _ISO_DATE.search(name)
    if match is not None:
        day = _day(match)
        if day is None:
            raise DateError(
                f"its name holds {match[0]}, which is no day; rename it or give --written DATE"
            )
        return day
    days = (_day(match) for match in _CLOSE_DATE.finditer(name))
    return next((day for day in days if day is not None), None)


def date_in_first_line(text: str, today: dt.date) -> dt.date | None:
    """Return the ISO day at the head of a note, if the note is headed by one.

    It counts where it opens the note, or stands alone in a short first line that other lines
    follow. Any other date may be a plan's or a memory's, and one that lies ahead is no day on
    which a note was written.
    """
    head, _, rest = text.strip().partition("\n")
    match = _OPENS_WITH_DATE.match(head)
    if match is None and rest and len(head.strip()) <= _HEADING:
        found = list(_ISO_DATE.finditer(head))
        match = found[0] if len(found) == 1 else None
    day = _day(match) if match else None
    return day if day is not None and day <= today else None


def decode(raw: bytes, name: str, warn: Callable[[str], None]) -> str:
    """Return the text in ``raw``: UTF-8, UTF-16 with its mark, else Windows-1252 with a warning.

    Raises :class:`InputError` for what is no text, is empty, or is longer than :data:`LIMIT`.
    """
    if len(raw) >= _MOST_BYTES:
        raise _too_long(name)
    text = _utf16(raw, name) if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else None
    if text is None and b"\x00" in raw:
        raise InputError(
            f"{name}: this is no text (it holds zero bytes); save the note as plain text in UTF-8"
        )
    if text is None:
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = _windows(raw, name)
            warn(
                f"{name}: read as Windows-1252, since it is not UTF-8; "
                "if letters look wrong, save it as UTF-8"
            )
    if not text.strip():
        raise InputError(f"{name}: there is nothing in it to read")
    if len(text) > LIMIT:
        raise _too_long(name)
    return text


def _utf16(raw: bytes, name: str) -> str:
    try:
        return raw.decode("utf-16")
    except UnicodeDecodeError:
        raise InputError(
            f"{name}: begins like UTF-16 but is not; save the note as plain text in UTF-8"
        ) from None


def _windows(raw: bytes, name: str) -> str:
    try:
        text = raw.decode("cp1252")
    except UnicodeDecodeError:
        text = "\x00"
    if _ODD_CONTROLS.search(text):
        raise InputError(
            f"{name}: this is no text (neither UTF-8 nor Windows-1252); "
            "save the note as plain text in UTF-8"
        )
    return text


def _too_long(name: str) -> InputError:
    return InputError(
        f"{name}: longer than {LIMIT:,} characters, the most that is read at once; split it up"
    )


def read_file(path: Path, name: str, warn: Callable[[str], None]) -> str:
    """Return the text of a file, of which no more than the limit is ever read."""
    try:
        if stat.S_ISDIR(path.stat().st_mode):
            raise InputError(f"{name} is a folder; name the notes in it, such as {name}/*.txt")
        with path.open("rb") as file:
            return _read_stream(file, name, warn)
    except FileNotFoundError:
        raise InputError(f"{name}: no such file; check its name and folder") from None
    except OSError as error:
        raise InputError(f"{name}: cannot be read ({error.strerror or error})") from None


def _read_stream(stream: BinaryIO, name: str, warn: Callable[[str], None]) -> str:
    return decode(stream.read(_MOST_BYTES), name, warn)


def find_sources(arguments: Sequence[str], *, as_text: bool) -> list[Source | FieldnotesError]:
    """Return what each argument stands for, in order: a note to read, or what is wrong with it.

    ``-`` is standard input, an existing path is a file, an argument with white space is text. With
    ``as_text`` every argument is text, and plain words are joined to one note. Raises
    :class:`InputError` where the arguments look like a note that was given without quotes.
    """
    if as_text and list(arguments) != ["-"]:
        several = any(_has_space(argument) for argument in arguments)
        texts = list(arguments) if several else [" ".join(arguments)]
        return [_text_source(text) for text in texts]
    found = [_source(argument) for argument in arguments]
    if len(found) > 1 and all(_looks_like_a_word(argument) for argument in arguments):
        if any(isinstance(source, Source) for source in found):
            return found
        line = " ".join(arguments)
        raise InputError(
            f"{arguments[0]!r} is no file; if these words are a note, put it in quotes: "
            f'fieldnotes read "{line}"'
        )
    return found


def _source(argument: str) -> Source | FieldnotesError:
    if argument == "-":
        return Source(name="standard input")
    if os.path.exists(argument):
        return Source(name=argument, path=Path(argument))
    if _has_space(argument):
        return _text_source(argument)
    if not argument:
        return InputError("the note is empty; there is nothing to read")
    if _looks_like_a_word(argument):
        return InputError(
            f"{argument!r} is no file; if it is the note itself, add --text before it"
        )
    return InputError(f"{argument}: no such file; check its name and folder")


def _has_space(argument: str) -> bool:
    return any(character.isspace() for character in argument)


def _looks_like_a_word(argument: str) -> bool:
    return not re.search(r"[/\\]|\.[A-Za-z]\w{0,4}$", argument) and not _has_space(argument)


def _text_source(text: str) -> Source | FieldnotesError:
    if not text.strip():
        return InputError("the note is empty; there is nothing to read")
    return Source(name="the note", text=text)


def standard_input() -> BinaryIO:
    """Return standard input as bytes."""
    return getattr(sys.stdin, "buffer", None) or io.BytesIO(sys.stdin.read().encode())


def load_note(
    source: Source,
    *,
    today: dt.date,
    warn: Callable[[str], None],
    written: dt.date | None = None,
    yard: str | None = None,
    colony: str | None = None,
) -> Note:
    """Return the note that ``source`` holds, dated by ``written``, its name, first line or today.

    Raises :class:`InputError` or :class:`DateError`, each saying what is wrong in one line.
    """
    origin = None
    if source.text is not None:
        text = decode(_bytes_of(source.text), source.name, warn)
    elif source.path is not None:
        text = read_file(source.path, source.name, warn)
        origin = os.fsencode(source.path).decode("utf-8", "replace")
    else:
        text = _read_stream(standard_input(), source.name, warn)
    day, said_by = _written(source, text, written=written, today=today)
    return Note(
        text=text, written=day, written_from=said_by, origin=origin, yard=yard, colony=colony
    )


def _bytes_of(argument: str) -> bytes:
    """Return the bytes of an argument: those that are no UTF-8 come as halves of characters."""
    try:
        return argument.encode("utf-8", "surrogateescape")
    except UnicodeEncodeError:
        return argument.encode("utf-8", "replace")


def _written(
    source: Source, text: str, *, written: dt.date | None, today: dt.date
) -> tuple[dt.date, WrittenFrom]:
    if written is not None:
        return written, "option"
    if source.path is not None:
        try:
            named = date_in_name(source.path.name)
        except DateError as error:
            raise DateError(f"{source.name}: {error}") from None
        if named is not None:
            return named, "file name"
    headed = date_in_first_line(text, today)
    return (headed, "first line") if headed is not None else (today, "today")


def name_given(name: str | None) -> str | None:
    """Return a yard's or colony's name as it was given for the whole note; None if it is blank."""
    if name is None or not name.strip():
        return None
    return _bytes_of(name.strip()).decode("utf-8", "replace")
