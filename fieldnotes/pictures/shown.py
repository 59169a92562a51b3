"""Words of a picture made safe to show, measured and cut for a terminal."""

from __future__ import annotations

import datetime as dt
import unicodedata

LONGEST = 200
"""Characters of a name beyond which nobody reads it on a picture."""


def shown(text: str) -> str:
    """``text`` as one line: control signs and marks that turn the direction become a dot.

    >>> shown("Willow\\x1b[31m 3\\n")
    'Willow·[31m 3'
    """
    line = " ".join(text.split())
    safe = "".join("·" if unicodedata.category(sign)[0] == "C" else sign for sign in line)
    return safe if len(safe) <= LONGEST else f"{safe[: LONGEST - 1]}…"


def cells(text: str) -> int:
    """The columns of a terminal that ``text`` takes: wide signs take two, joined marks none.

    >>> cells("Willow"), cells("柳")
    (6, 2)
    """
    return sum(_cells(sign) for sign in text)


def _cells(sign: str) -> int:
    if unicodedata.category(sign) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1


def cut(text: str, width: int, mark: str = "…") -> str:
    """``text`` in at most ``width`` columns, ending in ``mark`` where it was cut."""
    if cells(text) <= width:
        return text
    kept, left = "", width - cells(mark)
    if left < 0:
        return mark[: max(0, width)]
    for sign in text:
        left -= _cells(sign)
        if left < 0:
            break
        kept += sign
    return kept.rstrip() + mark


def padded(text: str, width: int, *, right: bool = False) -> str:
    """``text`` filled up with blanks to ``width`` columns."""
    blanks = " " * max(0, width - cells(text))
    return blanks + text if right else text + blanks


def day_short(day: dt.date, *, year: bool = False) -> str:
    """A day for an axis or a label.

    >>> day_short(dt.date(2026, 7, 4)), day_short(dt.date(2026, 7, 4), year=True)
    ('4 Jul', '4 Jul 2026')
    """
    return f"{day.day} {MONTHS[day.month - 1]}" + (f" {day.year}" if year else "")


MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
