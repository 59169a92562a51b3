"""What is asked: one question for one doubt, and none for what does not matter."""

from __future__ import annotations

import pytest

from fieldnotes.reading import Reader
from fieldnotes.records import Note
from tests.conftest import TUESDAY


def asked(reader: Reader, text: str) -> set[tuple[str | None, str]]:
    """The colony and field of each question that a note leaves."""
    questions = reader.read(Note(text=text, written=TUESDAY)).questions
    found = {(q.colony, q.field) for q in questions}
    assert len(found) == len(questions), "one doubt, one question"
    return found


def test_what_all_samples_of_a_list_lack_is_asked_once(reader: Reader) -> None:
    text = "Sugar rolls, half a cup each\n1: 3 mites\n2: 5 mites\n3: 0 mites\n4: 1 mite"
    assert asked(reader, text) == {(None, "frame")}


def test_a_doubt_that_all_share_is_asked_once(reader: Reader) -> None:
    text = "Washes, half a cup off brood\nHive 1: 3 mites\nHive 2: 5 mites\nHive 3: 0 mites"
    assert asked(reader, text) == {(None, "method")}


def test_of_a_bare_list_the_method_is_asked_once(reader: Reader) -> None:
    text = "Varroa counts\nHive 1: 3 mites\nHive 2: 5 mites\nHive 3: 0 mites"
    assert asked(reader, text) == {(None, "method")}


def test_two_colonies_are_asked_one_by_one(reader: Reader) -> None:
    text = "Sugar rolls, half a cup each\nHive 1: 3 mites\nHive 2: 5 mites"
    assert asked(reader, text) == {("1", "frame"), ("2", "frame")}


def test_samples_told_one_by_one_are_asked_one_by_one(reader: Reader) -> None:
    text = (
        "Hive 1, alcohol wash, 300 bees, 3 mites. Hive 2, soap wash, 300 bees, 5 mites. "
        "Hive 3, alcohol wash, 300 bees, 2 mites."
    )
    assert asked(reader, text) == {("1", "frame"), ("2", "frame"), ("3", "frame")}


@pytest.mark.parametrize("text", ["Hive 4: 6 mites", "Hive 4, varroa count 6"])
def test_the_method_comes_before_what_only_a_jar_needs(reader: Reader, text: str) -> None:
    assert asked(reader, text) == {("4", "method")}


def test_of_bees_in_a_jar_method_and_frame_are_both_asked(reader: Reader) -> None:
    assert asked(reader, "Hive 4: half a cup of bees, 6 mites") == {("4", "method"), ("4", "frame")}
