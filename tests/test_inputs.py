"""Where notes come from: text, files, standard input; and all that can be wrong with them."""

from __future__ import annotations

import datetime as dt
import io
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldnotes.cli import inputs, safe
from fieldnotes.cli.inputs import (
    LIMIT,
    Source,
    date_in_first_line,
    date_in_name,
    day_given,
    decode,
    find_sources,
    load_note,
    name_given,
    parse_date,
    read_file,
)
from fieldnotes.errors import DateError, InputError
from tests.conftest import TUESDAY

TODAY = dt.date(2026, 7, 20)


def quiet(message: str) -> None:
    raise AssertionError(f"unexpected warning: {message}")


# Text or file


def test_an_existing_path_is_a_file(tmp_path: Path) -> None:
    note = tmp_path / "a note"
    note.write_text("hive 7")
    assert find_sources([str(note)], as_text=False) == [Source(name=str(note), path=note)]


def test_white_space_makes_text() -> None:
    assert find_sources(["hive 7\nfour"], as_text=False) == [
        Source(name="the note", text="hive 7\nfour")
    ]


def test_a_dash_is_standard_input() -> None:
    assert find_sources(["-"], as_text=False) == [Source(name="standard input")]
    assert find_sources(["-"], as_text=True) == [Source(name="standard input")]


@pytest.mark.parametrize(
    ("argument", "said"),
    [
        ("notes.txt", "no such file"),
        ("folder/note", "no such file"),
        ("four", "--text"),
        ("4.5", "--text"),
        ("", "empty"),
        ("  ", "empty"),
        ("x" * 5000, "is no file"),
    ],
)
def test_anything_else_is_an_error_that_says_so(argument: str, said: str) -> None:
    [wrong] = find_sources([argument], as_text=False)
    assert isinstance(wrong, InputError)
    assert said in str(wrong)


def test_words_without_quotes_are_recognised() -> None:
    with pytest.raises(InputError, match='fieldnotes read "half cup 4 mites"'):
        find_sources(["half", "cup", "4", "mites"], as_text=False)


def test_one_missing_file_of_three_leaves_the_others(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).write_text("hive 7")
    names = [str(tmp_path / name) for name in ("a", "gone.txt", "b")]
    kinds = [type(source) for source in find_sources(names, as_text=False)]
    assert kinds == [Source, InputError, Source]


def test_text_joins_words_and_keeps_whole_notes_apart(tmp_path: Path) -> None:
    joined = find_sources(["hive", "7", "-", "4", "mites"], as_text=True)
    assert [s.text for s in joined if isinstance(s, Source)] == ["hive 7 - 4 mites"]
    apart = find_sources(["hive 7", "hive 8"], as_text=True)
    assert [s.text for s in apart if isinstance(s, Source)] == ["hive 7", "hive 8"]
    existing = find_sources([str(tmp_path)], as_text=True)
    assert [s.text for s in existing if isinstance(s, Source)] == [str(tmp_path)]


# Encodings


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_unicode_is_read_without_a_word(encoding: str) -> None:
    text = "Hive 7: ½ cup, 18 °C – “calm” 🐝\r\n"
    assert decode(text.encode(encoding), "n.txt", quiet) == text


def test_utf_16_big_endian() -> None:
    assert decode(b"\xfe\xff" + "hive 7".encode("utf-16-be"), "n.txt", quiet) == "hive 7"


def test_windows_1252_is_read_and_said() -> None:
    said: list[str] = []
    text = "½ cup at 18 °C – “calm”"
    assert decode(text.encode("cp1252"), "n.txt", said.append) == text
    assert len(said) == 1
    assert said[0].startswith("n.txt: read as Windows-1252")


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", "nothing in it"),
        (b" \r\n\t ", "nothing in it"),
        (b"\xef\xbb\xbf", "nothing in it"),
        (b"hive\x00seven", "no text"),
        ("hive".encode("utf-16-le"), "no text"),
        (b"\xff\xfeh", "UTF-16"),
        (b"\x81\x8d caf\xe9", "no text"),
        (b"\xe9\x01\x02\x03", "no text"),
        (b"x" * (LIMIT + 1), "1,000,000"),
        (b"x" * (5 * LIMIT), "1,000,000"),
    ],
)
def test_what_is_no_note_is_refused_in_one_line(raw: bytes, said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        decode(raw, "n.txt", lambda _: None)
    assert str(caught.value).startswith("n.txt: ")
    assert "\n" not in str(caught.value)


def test_the_longest_note_is_read() -> None:
    assert len(decode("½".encode() * LIMIT, "n.txt", quiet)) == LIMIT


@given(st.binary(max_size=200))
def test_no_bytes_cause_any_other_error(raw: bytes) -> None:
    try:
        text = decode(raw, "n.txt", lambda _: None)
    except InputError:
        return
    text.encode("utf-8")


# Files


def test_folder_and_missing_file(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="is a folder"):
        read_file(tmp_path, "notes", quiet)
    with pytest.raises(InputError, match=r"gone\.txt: no such file"):
        read_file(tmp_path / "gone.txt", "gone.txt", quiet)


def test_a_huge_file_is_never_read_whole(tmp_path: Path) -> None:
    huge = tmp_path / "huge.txt"
    with huge.open("wb") as file:
        file.truncate(50 * 1024**3)  # a sparse file: it takes no room on the disk
    with pytest.raises(InputError, match="1,000,000"):
        read_file(huge, "huge.txt", quiet)


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="no such device here")
def test_an_endless_device_is_left() -> None:
    with pytest.raises(InputError):
        read_file(Path("/dev/zero"), "/dev/zero", quiet)


# Dates


@pytest.mark.parametrize(
    "text", ["2026-02-30", "2026-13-01", "14/7/2026", "20260714", "today", "", "0001-01-01"]
)
def test_impossible_dates(text: str) -> None:
    with pytest.raises(DateError, match="YYYY-MM-DD"):
        parse_date(text)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-05-01", dt.date(2026, 5, 1)),
        ("today", TUESDAY),
        ("Yesterday", dt.date(2026, 7, 13)),
        ("3 days ago", dt.date(2026, 7, 11)),
        ("14 July", TUESDAY),
        ("July 13, 2026", dt.date(2026, 7, 13)),
        ("24 December", dt.date(2025, 12, 24)),
        ("13/7/2026", dt.date(2026, 7, 13)),
    ],
)
def test_a_day_given_in_words(text: str, day: dt.date) -> None:
    assert day_given(text, TUESDAY) == day


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("2026-02-30", "no day"),
        ("30 February 2026", "no date"),
        ("the 4th", "no date"),
        ("", "no date"),
        ("brood", "no date"),
        ("3/4/2026", "could be 2026-03-04 or 2026-04-03"),
        ("tomorrow", "lies ahead"),
        ("15 July 2026", "lies ahead"),
    ],
)
def test_a_day_that_is_not_settled_is_refused(text: str, reason: str) -> None:
    with pytest.raises(DateError, match=reason) as caught:
        day_given(text, TUESDAY)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "day"),
    [
        ("2026-07-14-orchard.txt", dt.date(2026, 7, 14)),
        ("orchard 2026-07-14.txt", dt.date(2026, 7, 14)),
        ("20260714.txt", dt.date(2026, 7, 14)),
        ("memo_20260714_101500.txt", dt.date(2026, 7, 14)),
        ("99999999 20260714.txt", dt.date(2026, 7, 14)),
        ("12345678.txt", None),
        ("202607141.txt", None),
        ("orchard.txt", None),
        ("14-07-2026.txt", None),
    ],
)
def test_the_date_in_a_name(name: str, day: dt.date | None) -> None:
    assert date_in_name(name) == day


def test_a_day_in_a_name_that_does_not_exist() -> None:
    with pytest.raises(DateError, match="2026-02-30"):
        date_in_name("2026-02-30.txt")


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-07-14 hive 7 four mites", dt.date(2026, 7, 14)),
        ("\n  # 2026-07-14\nhive 7", dt.date(2026, 7, 14)),
        ("Date: 2026-07-14\nhive 7", dt.date(2026, 7, 14)),
        ("Orchard, 2026-07-14, 18 C\nhive 7", dt.date(2026, 7, 14)),
        # A plan, a memory, a day that is still to come: not when the note was made.
        ("hive 7 four mites, strips out by 2026-07-14", None),
        ("2026-08-30 strips out\nhive 7", None),
        ("from 2026-07-01 to 2026-07-14\nhive 7", None),
        ("2026-02-30\nhive 7", None),
        ("hive 7\n2026-07-14", None),
        ("", None),
    ],
)
def test_the_date_in_a_first_line(text: str, day: dt.date | None) -> None:
    assert date_in_first_line(text, TODAY) == day


def test_which_date_counts(tmp_path: Path) -> None:
    file = tmp_path / "2026-07-14.txt"
    file.write_text("2026-07-15\nhive 7")
    other = tmp_path / "n.txt"
    other.write_text("2026-07-15\nhive 7")
    given_day = dt.date(2026, 7, 13)

    def dated(source: Source, written: dt.date | None = None) -> tuple[dt.date, str]:
        note = load_note(source, today=TODAY, warn=quiet, written=written)
        return note.written, note.written_from

    named = Source(name="f", path=file)
    assert dated(named, given_day) == (given_day, "option")
    assert dated(named) == (dt.date(2026, 7, 14), "file name")
    assert dated(Source(name="f", path=other)) == (dt.date(2026, 7, 15), "first line")
    assert dated(Source(name="the note", text="hive 7")) == (TODAY, "today")


# The note


def test_the_words_stay_as_they_came(tmp_path: Path) -> None:
    file = tmp_path / "n.txt"
    file.write_bytes(b"  hive 7\r\n\tfour mites \r\n")
    note = load_note(
        Source(name="n", path=file), today=TODAY, warn=quiet, yard="Orchard", colony="7"
    )
    assert note.text == "  hive 7\r\n\tfour mites \r\n"
    assert (note.origin, note.yard, note.colony) == (str(file), "Orchard", "7")


def test_bytes_on_the_command_line_that_are_no_utf_8() -> None:
    source = Source(name="the note", text=os.fsdecode("½ cup".encode("cp1252")))
    said: list[str] = []
    note = load_note(source, today=TODAY, warn=said.append)
    assert note.text == "½ cup"
    assert len(said) == 1


def test_standard_input_is_read_as_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(inputs, "standard_input", lambda: io.BytesIO("hive 7 ½".encode()))
    note = load_note(Source(name="standard input"), today=TODAY, warn=quiet)
    assert (note.text, note.origin) == ("hive 7 ½", None)


@pytest.mark.parametrize(("given_name", "name"), [(" 7 ", "7"), ("", None), (None, None)])
def test_names_given(given_name: str | None, name: str | None) -> None:
    assert name_given(given_name) == name


# Safe to show


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31mred\x07", "␛[31mred␇"),
        ("a\x9b31m\u202eb", "a·31m·b"),
        ("a\tb\nc\r\nd\re", "a b\nc \nd\ne"),
        ("bees 🐝 ½", "bees 🐝 ½"),
        ("\ud800\x7f", "\ufffd␡"),
    ],
)
def test_a_block_of_text_made_safe(text: str, shown: str) -> None:
    assert safe.block(text) == shown


def test_one_line_made_safe() -> None:
    assert safe.one_line(" a\n\tb\r\n\x1b c ") == "a b ␛ c"


@given(st.text(st.characters(exclude_categories=())))
def test_a_block_keeps_every_position_and_controls_nothing(text: str) -> None:
    shown = safe.block(text)
    assert len(shown) == len(text)
    assert not any((ord(c) < 32 and c != "\n") or 0x7F <= ord(c) < 0xA0 for c in shown)
    shown.encode("utf-8")
