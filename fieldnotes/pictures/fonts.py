"""Fonts that have the signs of a picture's words; the usual one comes with matplotlib."""

from __future__ import annotations

from functools import cache

FAMILY = "DejaVu Sans"
_NO_FONT = "Last Resort"
"""Comes with matplotlib: has a box for every sign, and a letter for none."""


def families_for(words: str) -> list[str]:
    """The usual font, then installed ones for the signs that it lacks, the fewest that will do."""
    missing = {ord(sign) for sign in words if not sign.isspace()} - _signs_of_usual()
    found = [FAMILY]
    if not missing:
        return found
    from matplotlib.font_manager import fontManager

    by_path = {entry.fname: entry.name for entry in fontManager.ttflist}
    for path in sorted(by_path, key=lambda path: (by_path[path], path)):
        if not missing:
            break
        name = by_path[path]
        if name in found or name.startswith(_NO_FONT):
            continue
        if has := _signs_in(path) & missing:
            found.append(name)
            missing -= has
    return found


@cache
def _signs_of_usual() -> frozenset[int]:
    from matplotlib.font_manager import FontProperties, findfont

    return _signs_in(findfont(FontProperties(family=FAMILY)))


@cache
def _signs_in(path: str) -> frozenset[int]:
    from matplotlib.ft2font import FT2Font

    try:
        return frozenset(FT2Font(path).get_charmap())
    except (OSError, RuntimeError):  # a broken font helps nobody
        return frozenset()
