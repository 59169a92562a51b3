"""The weights of names: each belongs to a mark that is gathered, and they tell names from words."""

from __future__ import annotations

import pytest

from fieldnotes.reading import Reader
from fieldnotes.reading.scenes.evidence import Named
from fieldnotes.reading.scenes.scored import chances
from tests.accuracy.fit_names import examples, names_of


@pytest.fixture(scope="module")
def weights(reader: Reader) -> dict[str, float]:
    return reader.grammar.name_weights.weights


def chance(reader: Reader, text: str, name: str) -> float:
    """The chance that the model gives to a name of a text; 0 where it is no candidate."""
    model = reader.grammar.name_weights
    found: list[Named] = names_of(reader, text)
    return max(
        (
            chance
            for named, chance in zip(found, chances(found, model), strict=True)
            if named.runs[0].name == name
        ),
        default=0.0,
    )


def test_every_weight_is_that_of_a_mark(reader: Reader, weights: dict[str, float]) -> None:
    gathered = {mark for example in examples(reader) for mark in example.named.evidence}
    assert len(gathered) > 60
    assert sorted(weights.keys() - gathered) == []
    # marks whose weight came out as good as nothing are not written
    assert len(gathered - weights.keys()) < 0.15 * len(gathered)


@pytest.mark.parametrize(
    ("text", "name", "other"),
    [
        ("Opened Tamsin today, eggs and larvae. Her cousin Piet rang.", "Tamsin", "Piet"),
        ("Orrery: 3 mites, half cup\nSextant: none, half cup\nWeather: fine", "Sextant", "Weather"),
        ("Zephyr has six frames of brood. Meanwhile the kettle boiled.", "Zephyr", "Meanwhile"),
    ],
)
def test_a_name_is_likelier_than_another_word(
    reader: Reader, text: str, name: str, other: str
) -> None:
    model = reader.grammar.name_weights
    assert chance(reader, text, name) >= model.ask
    assert chance(reader, text, other) < model.ask


def test_thresholds_are_in_order(reader: Reader) -> None:
    model = reader.grammar.name_weights
    assert 0 < model.spare < model.ask < model.take < model.certain < 1


def test_who_writes_in_a_chat_is_no_candidate(reader: Reader) -> None:
    text = "Ebba: Moss had 3 mites\nKarl: and Fern?\nEbba: Fern none"
    assert {named.runs[0].name for named in names_of(reader, text)}.isdisjoint({"Ebba", "Karl"})
