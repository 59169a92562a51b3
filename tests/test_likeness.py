"""Names like those of the roster are asked about; anything else is left alone."""

from __future__ import annotations

import pytest

from fieldnotes.grammar import Vocabulary
from fieldnotes.reading import Context, Reader
from fieldnotes.records import Note
from tests.conftest import TUESDAY

ROSTER = Vocabulary.model_validate(
    {
        "yard": [{"name": "Orchard"}],
        "colony": [
            {"name": "Juniper 3", "aliases": ["J3"]},
            {"name": "Willow 5"},
            {"name": "Ash"},
            {"name": "7"},
        ],
    }
)


def doubts(reader: Reader, text: str, vocabulary: Vocabulary = ROSTER) -> list[object]:
    note = Note(text=text, written=TUESDAY)
    reading = reader.read(note, Context(vocabulary=vocabulary))
    return [
        (question.field, question.options)
        for question in reading.questions
        if question.field in ("colony", "yard")
    ]


@pytest.mark.parametrize(
    ("text", "field", "options"),
    [
        (
            "Jennifer 3 alcohol wash 300 bees off brood 4 mites",
            "colony",
            ("Juniper 3", "Jennifer 3"),
        ),
        ("Hive Junper 3: calm, eggs", "colony", ("Juniper 3", "Junper 3")),
        ("Orchid yard. Willow 5 calm, eggs", "yard", ("Orchard", "Orchid")),
    ],
)
def test_a_name_like_one_of_the_roster_is_asked_about(
    reader: Reader, text: str, field: str, options: tuple[str, ...]
) -> None:
    assert doubts(reader, text) == [(field, options)]


@pytest.mark.parametrize(
    "text",
    [
        "Willow 5 alcohol wash 300 bees off brood 4 mites",
        "J3 alcohol wash 300 bees off brood 4 mites",
        "Hive Mabel: calm, eggs",
        "Willow 6: calm, eggs",  # another number is another colony
        "Hive Asp: calm, eggs",  # too short to be like anything
        "Hive 17: calm, eggs",
    ],
)
def test_other_names_are_left_alone(reader: Reader, text: str) -> None:
    assert doubts(reader, text) == []


@pytest.mark.parametrize("said", ["Tanzy", "tanzy", "Tansie"])
def test_a_name_that_sounds_like_one_known_is_taken_for_it(reader: Reader, said: str) -> None:
    vocabulary = Vocabulary.model_validate(
        {"colony": [{"name": "Tansy"}, {"name": "Bracken", "aliases": ["box three"]}]}
    )
    note = Note(text=f"{said} calm, eggs. Box three no eggs", written=TUESDAY)
    reading = reader.read(note, Context(vocabulary=vocabulary))
    assert [(visit.colony, visit.eggs) for visit in reading.visits] == [
        ("Tansy", True),
        ("Bracken", False),
    ]
    assert not reading.questions


def test_a_sound_that_two_names_share_is_asked_about(reader: Reader) -> None:
    vocabulary = Vocabulary.model_validate({"colony": [{"name": "Clair"}, {"name": "Clare"}]})
    assert doubts(reader, "Hive Claire: calm, eggs", vocabulary)


def test_without_a_roster_nothing_is_asked(reader: Reader) -> None:
    assert doubts(reader, "Hive Jennifer 3: calm, eggs", Vocabulary()) == []
