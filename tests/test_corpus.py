"""Phrases and what they say, a file in ``corpus/en`` for each file of words in ``grammars/en``.

An ``[[example]]`` has ``texts``, the fields that each of them says (``expect``, exactly these, a
list where there are several visits) and the questions that it leaves (``asks``, exactly these).
The colony is given from outside unless ``expect`` names one. A ``[[todo]]`` is an example that is
not read well yet: it must fail. The texts of ``[[nothing]]`` say nothing of any visit. All are
written on Tuesday 14 July 2026.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from fieldnotes.grammar import grammars_folder
from fieldnotes.reading import Context, Reader
from fieldnotes.records import Note
from tests.conftest import TUESDAY
from tests.corpus.told import compare

FOLDER = Path(__file__).parent / "corpus" / "en"
FILES = {path.stem: tomllib.loads(path.read_text("utf-8")) for path in FOLDER.glob("*.toml")}
WORDLESS = {"bindings", "questions", "name_weights"}


def rows(kind: str) -> list[Any]:
    return [
        pytest.param(text, row, id=f"{stem}: {text}")
        for stem, file in sorted(FILES.items())
        for row in file.get(kind, ())
        for text in row["texts"]
    ]


def check(reader: Reader, text: str, row: dict[str, Any]) -> None:
    context = Context(colony=None if "colony" in str(row["expect"]) or not row["expect"] else "7")
    compare(reader.read(Note(text=text, written=TUESDAY), context), text, row)


def test_every_file_of_words_has_its_phrases() -> None:
    words = {path.stem for path in (grammars_folder() / "en").rglob("*.toml")} - WORDLESS
    assert words == FILES.keys(), "a file of words needs phrases of the same name"
    for stem, file in FILES.items():
        assert file["example"], f"{stem} has no example"
        assert file["nothing"], f"{stem} has no text that says nothing"
        assert all(row["texts"] for kind in file.values() for row in kind), f"{stem}: no texts"


@pytest.mark.parametrize(("text", "row"), rows("example"))
def test_a_phrase_says_what_it_says(reader: Reader, text: str, row: dict[str, Any]) -> None:
    check(reader, text, row)


@pytest.mark.xfail(reason="not read well yet")
@pytest.mark.parametrize(("text", "row"), rows("todo"))
def test_a_phrase_to_come(reader: Reader, text: str, row: dict[str, Any]) -> None:
    check(reader, text, row)


@pytest.mark.parametrize(("text", "row"), rows("nothing"))
def test_a_phrase_says_nothing(reader: Reader, text: str, row: dict[str, Any]) -> None:
    check(reader, text, row | {"expect": []})
