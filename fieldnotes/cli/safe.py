"""Makes words of a note, a file name or an error safe to show on a terminal.

A note may hold escape sequences that would move the cursor, or invisible characters that would
turn the direction of writing. They are shown as a visible sign in their place, one character for
one, so that positions in the text stay true.
"""

from __future__ import annotations

import sys
from typing import Any

_BLANK_DOT = "·"

# Control characters have pictures of their own (ESC is shown as ␛). The marks that turn the
# direction of writing, hidden spaces and the like have none: a raised dot stands for them.
_SIGNS: dict[int, str] = {
    **{code: chr(0x2400 + code) for code in range(0x20)},
    0x7F: "␡",
    **dict.fromkeys(range(0x80, 0xA0), _BLANK_DOT),
    **dict.fromkeys((0xAD, 0x061C, 0x180E, 0x200B, 0x200E, 0x200F, 0xFEFF), _BLANK_DOT),
    **dict.fromkeys(range(0x2028, 0x202F), _BLANK_DOT),
    **dict.fromkeys(range(0x2060, 0x2070), _BLANK_DOT),
    **dict.fromkeys(range(0xD800, 0xE000), "\ufffd"),
    **dict.fromkeys(range(0xFFF9, 0xFFFC), _BLANK_DOT),
    **dict.fromkeys(range(0xE0000, 0xE0080), _BLANK_DOT),
}
_IN_LINE = _SIGNS | {ord("\t"): " ", ord("\n"): " ", ord("\r"): " "}
_IN_BLOCK = _SIGNS | {ord("\t"): " ", ord("\n"): "\n"}


def json_text(told: Any, *, indent: int | None) -> str:
    """Return ``told`` as JSON, in ASCII where the output could not hold more."""
    import json  # here, since most commands print words

    plain_ascii = not (sys.stdout.encoding or "").lower().startswith("utf")
    return json.dumps(told, indent=indent, ensure_ascii=plain_ascii)


def one_line(text: str) -> str:
    """Return ``text`` fit for one line of a terminal, with runs of white space as one space."""
    return " ".join(text.translate(_IN_LINE).split())


def block(text: str) -> str:
    """Return ``text`` fit for a terminal, lines kept, every character in its old place."""
    # A carriage return before a line feed is no more than the line's end; alone it is one.
    text = text.replace("\r\n", " \n").replace("\r", "\n")
    return text.translate(_IN_BLOCK)
