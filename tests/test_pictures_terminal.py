"""Pictures as text: widths, signs that a stream can show, and where things stand."""

from __future__ import annotations

import datetime as dt
import io
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from fieldnotes.estimate.basis import PerHundredAdults
from fieldnotes.pictures.axis import day_ticks, ticks
from fieldnotes.pictures.grid import spread_out, wrapped
from fieldnotes.pictures.shown import cells, cut, shown
from fieldnotes.pictures.signs import ASCII, LINES, signs_for
from fieldnotes.pictures.terminal import NARROWEST, WIDEST, picture_text
from fieldnotes.pictures.trend import Level, LineDay, Mark, Point, Treated, Trend
from fieldnotes.pictures.yard_dots import Dot, YardDots
from tests import picture_cases as cases
from tests.picture_cases import CASES, D

SIGNS = {"lines": LINES, "ascii": ASCII}


def widest(text: str) -> int:
    return max(cell_len(line) for line in text.splitlines())


@pytest.mark.parametrize("signs", SIGNS.values(), ids=SIGNS)
@pytest.mark.parametrize("width", [80, 50, NARROWEST])
@pytest.mark.parametrize("make", CASES.values(), ids=CASES)
def test_no_line_is_wider_than_the_terminal(make: Any, width: int, signs: Any) -> None:
    text = picture_text(make(), width, signs)
    assert widest(text) <= width
    assert "\x1b" not in text
    assert len(text.splitlines()) > 3


DAYS = st.dates(D(2024, 1, 1), D(2027, 12, 31))
WORDS = st.text(max_size=30)


@st.composite
def figures(draw: st.DrawFn, *, whole: bool = False) -> PerHundredAdults:
    value = draw(st.floats(0, 100))
    down, up = draw(st.floats(0, 1)), draw(st.floats(0, 50))
    low = value * down if whole or draw(st.booleans()) else None
    high = value + up if whole or draw(st.booleans()) else None
    return PerHundredAdults(value=value, low=low, high=high)


@st.composite
def levels(draw: st.DrawFn) -> tuple[Level, ...]:
    watch = draw(st.floats(0.01, 20))
    both = (
        Level("watch", PerHundredAdults(value=watch), draw(WORDS)),
        Level("act", PerHundredAdults(value=watch + draw(st.floats(0.1, 20))), draw(WORDS)),
    )
    return both[: draw(st.integers(0, 2))]


@st.composite
def trends(draw: st.DrawFn) -> Trend:
    days = sorted(draw(st.lists(DAYS, min_size=1, max_size=25)))
    line = sorted(draw(st.sets(DAYS, max_size=4)))
    ends = draw(st.lists(st.tuples(DAYS, DAYS, st.sampled_from("bfl")), max_size=3))
    return Trend(
        title=draw(WORDS),
        points=tuple(Point(day, draw(figures()), draw(WORDS), draw(WORDS)) for day in days),
        line=tuple(LineDay(day, draw(figures(whole=True))) for day in line),
        levels=draw(levels()),
        treated=tuple(
            Treated(
                draw(WORDS),
                None if which == "l" else min(pair),
                None if which == "f" else max(pair),
            )
            for *pair, which in ends
        ),
        marks=tuple(Mark(draw(WORDS), day) for day in draw(st.lists(DAYS, max_size=3))),
    )


@st.composite
def yards(draw: st.DrawFn) -> YardDots:
    names = draw(st.lists(WORDS, min_size=1, max_size=12, unique=True))
    number = draw(st.integers(1, len(names)))
    return YardDots(
        title=draw(WORDS),
        dots=tuple(Dot(name, draw(figures()), draw(st.booleans())) for name in names[:number]),
        mean=draw(st.none() | figures()),
        levels=draw(levels()),
        not_sampled=tuple(names[number:]),
    )


@given(st.one_of(trends(), yards()), st.integers(1, 130), st.sampled_from([LINES, ASCII]))
def test_any_picture_fits_any_terminal(picture: Any, width: int, signs: Any) -> None:
    text = picture_text(picture, width, signs)
    for line in text.splitlines():
        assert cells(line) <= min(max(width, NARROWEST), WIDEST)
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)


def test_own_widths_are_those_of_a_terminal_library() -> None:
    for name in ("Willow 3", *cases.NAMES, "ｗｉｄｅ", "a\u0301", "한글", "…│┤●"):
        safe = shown(name)
        assert cells(safe) == cell_len(safe), name


def test_ascii_is_ascii() -> None:
    text = picture_text(cases.crowded(), 80, ASCII)
    assert text.isascii()
    assert picture_text(cases.crowded(), 80, LINES).count("\n") == text.count("\n")


@pytest.mark.parametrize(
    ("encoding", "signs"),
    [("utf-8", LINES), ("ascii", ASCII), ("latin-1", ASCII), ("cp1252", ASCII), ("cp437", ASCII)],
)
def test_a_stream_gets_signs_that_it_can_show(encoding: str, signs: Any) -> None:
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    assert signs_for(stream) is signs
    stream.write(picture_text(cases.crowded(), 80, signs_for(stream)))
    stream.flush()


def row_of(text: str, pattern: str) -> int:
    """The only row that ``pattern`` matches."""
    (row,) = (n for n, line in enumerate(text.splitlines()) if re.search(pattern, line))
    return row


def test_the_act_level_lies_between_the_ticks_that_it_lies_between() -> None:
    text = picture_text(cases.nothing_found(), 80)
    assert row_of(text, "━ act 3$") == row_of(text, "^3 ┤━")
    assert row_of(text, "┄ watch 1$") == row_of(text, "^1 ┤")
    far = picture_text(cases.far_above(), 80)
    assert row_of(far, "act 3$") == row_of(far, "^ *0 ┤━")  # 3 of 130 is less than half a row


def test_every_count_has_a_column_of_its_own() -> None:
    text = picture_text(cases.two_seasons(), 80)
    points = [
        (row, column)
        for row, line in enumerate(text.splitlines())
        for column, sign in enumerate(line)
        if sign == "●"
    ]
    assert len(points) == 20
    assert len({column for _, column in points}) == 20


def test_treatments_and_what_happened_are_told_with_their_days() -> None:
    lines = picture_text(cases.crowded(), 80).splitlines()
    for said, drawn in (
        ("formic acid 5 Jun to 19 Jun", "▒▒▒"),
        ("oxalic acid until 6 May", "◂"),
        ("thymol from 3 Jul", "▸"),
        ("swarmed 20 May", "↑"),
    ):
        (line,) = [line for line in lines if said in line]
        assert drawn in line
    assert any(line.startswith("● alcohol wash") and "■ sugar roll" in line for line in lines)
    assert "Upright lines: likely range, 95 %." in lines


def test_the_yard_on_a_terminal() -> None:
    lines = picture_text(cases.yard(), 80).splitlines()
    (worst,) = [line for line in lines if line.startswith("H7")]
    assert worst.endswith("13.3 stands out")
    assert lines.index(worst) < min(n for n, line in enumerate(lines) if line.startswith("Salt"))
    assert "Not sampled: 9, 10." in lines
    narrow = picture_text(cases.yard(), 50).splitlines()
    assert any(line.endswith("13.3 *") for line in narrow)
    assert "* stands out: more mites than the others explain." in narrow


def test_a_name_from_the_right_does_not_turn_its_row() -> None:
    lines = picture_text(cases.yard(), 80).splitlines()
    (row,) = [line for line in lines if cases.NAMES[2] in line]
    assert row.startswith(f"\u200e{cases.NAMES[2]}\u200e")


# Axes and words.


@given(st.floats(1e-3, 1e6), st.integers(2, 12))
def test_ticks_are_round_and_begin_at_zero(top: float, most: int) -> None:
    found = ticks(top, most)
    assert found[0] == 0
    assert len(found) >= 2
    assert found[-1] <= top * (1 + 1e-9)
    step = found[1]
    digits = f"{step:e}".partition("e")[0].rstrip("0").rstrip(".")
    assert digits in {"1", "2", "2.5", "5"}


@given(DAYS, st.integers(0, 1500), st.integers(2, 10))
def test_ticks_of_days_lie_in_order_between_the_ends(first: dt.date, whole: int, most: int) -> None:
    last = first + dt.timedelta(days=whole)
    found = day_ticks(first, last, most)
    days = [day for day, _ in found]
    assert 1 <= len(days) <= most
    assert days == sorted(set(days))
    assert first <= days[0]
    assert days[-1] <= last
    assert str(days[0].year) in found[0][1]


@given(st.lists(st.integers(0, 30), max_size=20).map(sorted), st.integers(0, 5))
def test_places_spread_out_keep_order_and_bounds(wanted: list[int], lowest: int) -> None:
    highest = lowest + 30
    found = spread_out(wanted, lowest, highest)
    assert found == sorted(found)
    assert len(set(found)) == len(found)
    assert all(lowest <= place <= highest for place in found)


@given(WORDS, st.integers(1, 40))
def test_words_cut_and_wrapped_fit(words: str, width: int) -> None:
    safe = shown(words)
    assert cells(cut(safe, width)) <= width
    assert all(cells(line) <= width for line in wrapped(safe, width))
