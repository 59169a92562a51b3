"""Twice the note is about twice the work.

Work is counted in lines of the package that run, since a clock would tell of the machine.
"""

from __future__ import annotations

import sys
from types import FrameType
from typing import Any, Final

import pytest

from fieldnotes.reading import Reader
from fieldnotes.records import Note
from tests.conftest import TUESDAY

SHAPES: Final = {
    "one long paragraph": "the bees were calm and we saw eggs on nine frames and had some tea ",
    "prose without a sign of bees": "it was a nice warm day and the lime trees hummed. ",
    "one colony": "Hive 7 alcohol wash 300 bees brood frame 4 mites. ",
    "sentences with days": "On Tuesday hive 7 had 4 mites. ",
    "mishearings": "to mites for mites mights ",
    "corrections": "4 mites no wait 5 mites ",
    "fractions": "3/300 ",
    "one word": "mites ",
    "counts": "four mites ",
    "bare numbers": "1 2 3 4 5 ",
    "colonies": "Hive # sugar roll 4 mites\n",
    "a table": "# | 4 | sugar roll\n",
    "brackets": "( ",
    "dashes": "- ",
    "plans": "will treat with formic acid next week ",
    "treatments": "put formic acid on hive #, ",
    "going back": "hive # back to the first ",
}
"""What the notes repeat; # stands for a running number."""

STEEPER: Final[frozenset[str]] = frozenset()
"""Shapes whose work still grows faster than the note. The set may only shrink."""


def work(reader: Reader, text: str) -> int:
    """How many lines of the package run to read this note."""
    lines = 0

    def count(frame: FrameType, event: str, argument: Any) -> Any:
        nonlocal lines
        if event == "call":
            return count if "fieldnotes" in frame.f_code.co_filename else None
        lines += event == "line"
        return count

    before = sys.gettrace()
    sys.settrace(count)
    try:
        reader.read(Note(text=text, written=TUESDAY))
    finally:
        sys.settrace(before)
    return lines


def repeated(shape: str, words: int) -> str:
    times = words // len(shape.split())
    return "".join(shape.replace("#", str(n)) for n in range(times))


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(
            name, marks=[pytest.mark.xfail(reason="grows faster")] if name in STEEPER else []
        )
        for name in SHAPES
    ],
)
def test_twice_the_note_is_about_twice_the_work(reader: Reader, name: str) -> None:
    once, twice = (work(reader, repeated(SHAPES[name], words)) for words in (600, 1_200))
    assert twice <= 2.2 * once, f"{once} lines for 600 words, {twice} for 1,200"


def test_the_work_is_counted(reader: Reader) -> None:
    assert work(reader, "Hive 7 alcohol wash 4 mites") > 300
