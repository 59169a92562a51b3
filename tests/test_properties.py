"""What holds for every note, however odd: nothing raises, and every fact quotes the note."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Iterator
from typing import Any, Final

import pytest
from hypothesis import example, given, settings

from fieldnotes.grammar import Vocabulary
from fieldnotes.reading import Context
from fieldnotes.records import Fact, Note, Reading, Span
from fieldnotes.season import Store
from tests.accuracy.measure import load
from tests.conftest import TUESDAY, the_grammar, the_reader
from tests.odd_notes import EMPTY, FOREIGN, HOSTILE, any_note, jumbles, strewn
from tests.said_numbers import numbers_said, readable

MANY: Final = settings(max_examples=250)


def read(text: str, vocabulary: Vocabulary | None = None) -> Reading:
    context = Context(vocabulary=vocabulary or Vocabulary())
    return the_reader().read(Note(text=text, written=TUESDAY), context)


def facts(record: object) -> Iterator[Fact]:
    """All facts of a reading, however deep."""
    if isinstance(record, Fact):
        yield record
    if isinstance(record, tuple):
        for part in record:
            yield from facts(part)
    elif isinstance(record, Reading | Fact):
        for name in type(record).model_fields:
            yield from facts(getattr(record, name))


def spans(reading: Reading) -> Iterator[Span]:
    for fact in facts(reading):
        for evidence in fact.evidence.values():
            yield from evidence.said
    for question in reading.questions:
        yield from question.evidence
    for unread in reading.unread:
        yield unread.span


def check(text: str, vocabulary: Vocabulary | None = None) -> Reading:
    """Read a note and check all that holds for every reading."""
    reading = read(text, vocabulary)
    for start, end in spans(reading):
        assert 0 <= start < end <= len(text), (start, end)
        assert text[start:end].strip(), "evidence quotes nothing"
    for unread in reading.unread:
        assert unread.text == text[slice(*unread.span)]
    for visit in reading.visits:
        for sample in visit.samples:
            for field in ("mites", "bees", "cells"):
                value = getattr(sample, field)
                if value is not None and (said := sample.evidence[field].said):
                    quoted = [text[slice(*span)] for span in said]
                    assert readable(value, quoted), f"{field} {value} is not in {quoted}"
    assert read(text, vocabulary) == reading
    assert Reading.model_validate_json(reading.model_dump_json()) == reading
    return reading


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        ("24 mites", {24}),
        ("twenty four", {24}),
        ("two hundred and six bees", {206}),
        ("a dozen", {12}),
        ("1,204", {1204}),
        ("three and then one more", {3, 1, 4}),
        ("１2", {12}),
        ("1\u200b2", {12}),
        ("nothing", set()),
    ],
)
def test_the_second_pair_of_ears(words: str, numbers: set[int]) -> None:
    assert numbers <= numbers_said(words)
    assert not {5, 99} & numbers_said(words)


def test_what_is_not_readable() -> None:
    assert not readable(4, ["five mites"])
    assert not readable(9, ["4 mites", "three more"])
    assert readable(7, ["4 mites", "three more"])
    assert not readable(0, ["4 mites"])
    assert readable(0, ["didn’t see a single mite"])


@MANY
@given(text=any_note)
@example(text="Hive 7 alcohol wash, three mites then one more")
@example(text="1\u200b2 mites in hive 7, alcohol wash, 300 bees")
def test_any_note_is_read_and_every_fact_quotes_it(text: str) -> None:
    check(text)


@pytest.mark.parametrize("seed", range(4))
def test_the_marked_notes_hold_with_their_words_in_any_order(seed: int) -> None:
    order = random.Random(seed)
    for row in (row for notes in load("all").values() for row in notes[seed::4]):
        words = row["text"].split(" ")
        check(row["text"])
        check(" ".join(order.sample(words, len(words))))


@MANY
@given(text=jumbles(25))
def test_what_is_declared_does_no_harm(text: str) -> None:
    declared: dict[str, Any] = {
        "declared": dt.date(2026, 4, 2),
        "day_first": True,
        "only": {"colony": "Willow 3", "yard": "Orchard"},
        "usual": {"method": "sugar", "volume": "half a cup", "frame": "brood"},
        "colony": [{"name": "Willow 3", "aliases": ["W3"]}, {"name": "Juniper"}],
        "treatments": {"pads": "formic_acid"},
    }
    check(text, Vocabulary.model_validate(declared))


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_a_hostile_note_is_read(text: str) -> None:
    check(text)


def test_ten_thousand_times_the_same() -> None:
    reading = read("four mites " * 10_000)
    assert [len(visit.samples) for visit in reading.visits] == [1]


@pytest.mark.parametrize("text", EMPTY + FOREIGN)
def test_nothing_to_read_gives_no_sample(text: str) -> None:
    assert [sample for visit in check(text).visits for sample in visit.samples] == []


@MANY
@given(text=strewn())
def test_the_way_through_the_store_loses_nothing(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    note = Note(text=text, written=TUESDAY, origin="dictated", yard="Orchard")
    reading = the_reader().read(note, Context(yard="Orchard"))
    path = tmp_path_factory.getbasetemp() / "properties.sqlite"
    with Store.open(path) as store:
        store.save(note, reading, grammar_hash=the_grammar().hash)
    with Store.open(path, create=False) as store:
        assert store.note(note.id) == (note, reading)
