"""Grammar and vocabulary files: what stands in them is checked, and words are data."""

from __future__ import annotations

import re
import shutil
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from fieldnotes.errors import FieldnotesError, GrammarError, VocabularyError
from fieldnotes.estimate.efficacy.rows import EfficacyRows, load_efficacy
from fieldnotes.estimate.growth.rows import GrowthRows, load_growth
from fieldnotes.estimate.measures import Measures, load_measures
from fieldnotes.estimate.yard.rows import PlanRows, load_plans
from fieldnotes.grammar import (
    Grammar,
    Vocabulary,
    grammars_folder,
    load_grammar,
    load_vocabulary,
    schema,
)
from fieldnotes.grammar.advice import AdviceRules, load_advice
from fieldnotes.grammar.protocols import Protocol, StepWords, load_sources
from fieldnotes.grammar.seasons import Stages
from fieldnotes.grammar.thresholds import GuidelineFile, load_thresholds
from fieldnotes.grammar.treatments import TreatmentRow, load_treatments
from fieldnotes.reading import Context, Reader
from fieldnotes.records import Note, Reading
from tests.conftest import TUESDAY

FILES = sorted(path.relative_to(grammars_folder()) for path in grammars_folder().rglob("*.toml"))
TERM_FILES = [path for path in FILES if path.parent.name == "terms"]

Edit = Callable[[str], str]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the grammars that a test may change."""
    return Path(shutil.copytree(grammars_folder(), tmp_path / "grammars"))


def load_all(folder: Path) -> None:
    """All that the program loads from the folder of grammars."""
    load_grammar(folder=folder)
    sources = load_sources(folder / "protocols")
    load_measures(folder / "measures.toml", sources)
    load_growth(folder / "growth.toml", sources)
    load_efficacy(folder / "efficacy.toml", sources)
    load_plans(folder / "plans.toml", sources)
    load_thresholds(folder)
    load_treatments(folder)
    load_advice(folder)


def at_end(text: str) -> Edit:
    return lambda old: f"{old}\n{text}\n"


def at_start(text: str) -> Edit:
    return lambda old: f"{text}\n{old}"


def swap(old: str, new: str) -> Edit:
    def edit(text: str) -> str:
        assert old in text, f"{old!r} is no longer in the file: give the test another line"
        return text.replace(old, new, 1)

    return edit


def change(folder: Path, name: str | Path, edit: Edit) -> Path:
    path = folder / name
    path.write_text(edit(path.read_text(encoding="utf-8")), encoding="utf-8")
    return path


def complaint(folder: Path, error: type[FieldnotesError] = GrammarError) -> str:
    with pytest.raises(error) as caught:
        load_all(folder)
    message = str(caught.value)
    assert "\n" not in message, "an error is one line"
    return message


# The manual of the files.


def _keys(model: type[BaseModel]) -> set[str]:
    """All keys of a kind of file, those of its tables included."""
    found: set[str] = set()
    for name, field in model.model_fields.items():
        found.add(name)
        for kind in _models(field.annotation):
            found |= _keys(kind)
    return found


def _models(kind: object) -> Iterator[type[BaseModel]]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    for part in get_args(kind):
        yield from _models(part)


def test_the_manual_names_every_file_and_key() -> None:
    text = (grammars_folder() / "README.md").read_text(encoding="utf-8")
    kinds: list[type[BaseModel]] = [
        schema.NumberWords, schema.Units, schema.DateWords, schema.Terms, schema.Cues,
        schema.Repairs, schema.SceneWords, schema.NameWords, schema.Mishearings, schema.Bindings,
        schema.Questions, StepWords, Protocol, Measures,
        GrowthRows, EfficacyRows, PlanRows,
        GuidelineFile, Stages, TreatmentRow, AdviceRules,
    ]  # fmt: skip
    keys = set().union(*(_keys(kind) for kind in kinds)) | schema.MentionWords.model_fields.keys()
    assert len(keys) > 80
    assert sorted(key for key in keys if not re.search(rf"\b{key}\b", text)) == []
    names = {path.name for path in FILES if path.parts[0] != "protocols"} - {"README.md"}
    topics = {path.name for path in TERM_FILES}
    assert sorted(name for name in names - topics if name not in text) == []
    assert sorted(name for name in topics if Path(name).stem not in text) == []
    examples = re.findall(r"```toml\n(.*?)```", text, re.S)
    assert len(examples) > 8
    assert all(tomllib.loads(example) for example in examples)


# What comes with the program.


def test_the_files_are_there() -> None:
    assert {"measures.toml", "en/numbers.toml", "en/bindings.toml", "protocols/sugar.toml"} <= {
        path.as_posix() for path in FILES
    }
    assert len(TERM_FILES) >= 5


def test_every_file_loads() -> None:
    load_all(grammars_folder())


def test_a_grammar_is_loaded_once() -> None:
    assert load_grammar() is load_grammar()


def test_the_hash_follows_the_words(folder: Path, grammar: Grammar) -> None:
    assert load_grammar(folder=folder).hash == grammar.hash
    changed = Path(shutil.copytree(folder, folder.parent / "changed"))
    change(changed, "en/terms/signs.toml", at_end("# a note to ourselves"))
    assert load_grammar(folder=changed).hash != grammar.hash


def _dead(reader: Reader, term: dict[str, Any]) -> set[str]:
    """Phrases of the term that the tokenizer cuts in a way that hides them, wherever they stand."""

    def found(text: str) -> bool:
        row = reader.items.build(reader.nlp.make_doc(text), text)
        return any(term["id"] in item.ids for item in row.items)

    surroundings = ("{}", "the {} ,", "x x {} x")
    return {
        phrase
        for phrase in term["phrases"]
        if len(phrase) > 1  # "e", "q", "m" are terms only in the company of others
        and not any(found(frame.format(phrase)) for frame in surroundings)
    }


NEVER_FOUND = {
    "f.o.b.", "f. brood", "c/f", "/100", "/day", "/d", "per 24h", "s/r", "a/w",
    "48h drop", "s.h.b.", "tau",
}  # fmt: skip
"""Phrases in the files that can never be found. The list may only shrink."""


def test_every_phrase_can_be_found(reader: Reader) -> None:
    rows = [
        term
        for path in TERM_FILES
        for term in tomllib.loads((grammars_folder() / path).read_text(encoding="utf-8"))["term"]
    ]
    assert len(rows) > 100
    dead = set().union(*(_dead(reader, row) for row in rows))
    assert dead - NEVER_FOUND == set(), "the tokenizer cuts these, so they can never be found"
    assert NEVER_FOUND - dead == set(), "found now: take them off NEVER_FOUND"


# Mistakes in grammar files.


def test_an_unknown_group_of_a_mishearing_is_named(folder: Path) -> None:
    row = '[[heard]]\ntexts = ["mittle"]\nmeans = "mite"\nafter = ["<nobody>"]'
    change(folder, "en/mishearings.toml", at_end(row))
    message = complaint(folder)
    assert "'mittle'" in message
    assert "<nobody>" in message


@pytest.mark.parametrize("name", FILES, ids=str)
def test_an_unknown_key_is_named(folder: Path, name: Path) -> None:
    path = change(folder, name, at_start("colour = 1"))
    message = complaint(folder)
    assert str(path) in message
    assert "colour" in message


@pytest.mark.parametrize("name", FILES, ids=str)
def test_broken_toml_is_named_with_its_line(folder: Path, name: Path) -> None:
    path = change(folder, name, at_start('half = "open'))
    message = complaint(folder)
    assert str(path) in message
    assert "line 1" in message


@pytest.mark.parametrize("name", FILES, ids=str)
def test_a_file_that_is_no_text_is_named(folder: Path, name: Path) -> None:
    (folder / name).write_bytes(b"\xff\xfe\x00")
    assert str(folder / name) in complaint(folder)


@pytest.mark.parametrize(
    "name", [name for name in FILES if name.parent.as_posix() == "en"], ids=str
)
def test_a_missing_file_is_named(folder: Path, name: Path) -> None:
    (folder / name).unlink()
    assert complaint(folder).startswith(f"{folder / name}: cannot be read")


def test_an_unknown_language_is_named(folder: Path) -> None:
    with pytest.raises(GrammarError, match="no grammar for the language 'xx'"):
        load_grammar("xx", folder)


def term(name: str, *phrases: str) -> str:
    return f'[[term]]\nid = "{name}"\nphrases = [{", ".join(map(repr, phrases))}]'


def bind(form: str, slot: str = "mites", more: str = "") -> str:
    return f'[[bind]]\nslot = "{slot}"\n{more}\nforms = ["{form}"]'


def unit(name: str, phrase: str, dimension: str = "volume", factor: float = 1) -> str:
    return (
        f'[[unit]]\nid = "{name}"\ndimension = "{dimension}"\nfactor = {factor}\n'
        f'phrases = ["{phrase}"]'
    )


def cue(standing: str = "denied", phrase: str = "nought of", reach: int = 3) -> str:
    return (
        f'[[cue]]\nid = "ours"\nstanding = "{standing}"\ndirection = "forward"\nreach = {reach}\n'
        f'phrases = ["{phrase}"]'
    )


TERMS, BINDINGS, UNITS, CUES, QUESTIONS = (
    "en/terms/colony.toml", "en/bindings.toml", "en/units.toml", "en/standing.toml",
    "en/questions.toml",
)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "edit", "key", "reason"),
    [
        (TERMS, at_end("[[tern]]"), "tern", "not permitted"),
        (TERMS, at_end(term("Mite!", "x")), "id", "pattern"),
        (TERMS, at_end(term("ours")), "phrases", "at least 1"),
        (TERMS, at_end('[[term]]\nid = "ours"\nphrases = "x"'), "phrases", "tuple"),
        (TERMS, at_end('[[term]]\nphrases = ["x"]'), "id", "required"),
        (BINDINGS, at_end(bind("<n:v> <might>")), "mites", "unknown term <might>"),
        (BINDINGS, at_end(bind("<n:v> {a|<mite>")), "mites", "unbalanced braces"),
        (BINDINGS, at_end(bind("<n:v> a}")), "mites", "unbalanced braces"),
        (BINDINGS, at_end(bind("<n:v <mite>")), "mites", "cannot read the pattern"),
        (BINDINGS, at_end(bind("? <n:v>")), "mites", "misplaced '?'"),
        (BINDINGS, at_end(bind("<n:v> ! <mite>")), "mites", "'!' needs braces"),
        (BINDINGS, at_end('[[bind]]\nslot = "mites"\nforms = []'), "forms", "at least 1"),
        (BINDINGS, at_end(bind("<n:v>", more="weigth = 3")), "weigth", "not permitted"),
        (UNITS, at_start(unit("ours", "gill", dimension="length")), "dimension", "'volume'"),
        (UNITS, at_start(unit("ours", "gill", factor=0)), "factor", "greater than 0"),
        (CUES, at_end(cue(standing="hoped")), "standing", "'planned'"),
        (CUES, at_end(cue(reach=400)), "reach", "40"),
        (QUESTIONS, swap('kind = "missing"', 'kind = "mising"'), "kind", "'missing'"),
        ("en/numbers.toml", swap("one = 1", 'one = "a"'), "words.one", "number"),
        ("en/dates.toml", swap("january = 1", 'january = "first"'), "months.january", "integer"),
        ("en/steps.toml", swap('id = "', 'id = "no_'), "step.0", "has no step"),
    ],
)
def test_a_mistake_is_named_by_file_and_key(
    folder: Path, name: str, edit: Edit, key: str, reason: str
) -> None:
    path = change(folder, name, edit)
    message = complaint(folder)
    assert message.startswith(str(path))
    assert key in message
    assert reason in message


def test_an_id_stands_once_in_all_files(folder: Path) -> None:
    change(folder, "en/terms/signs.toml", at_end(term("brood", "brood of ours")))
    message = complaint(folder)
    assert str(folder / "en" / "terms") in message
    assert "'brood'" in message


@pytest.mark.parametrize(
    ("name", "edit"),
    [
        pytest.param(TERMS, at_end(term("ours", "")), id="an empty phrase"),
        pytest.param(UNITS, at_start(unit("ours", " ")), id="an empty unit word"),
        pytest.param(CUES, at_end(cue(phrase="")), id="an empty cue"),
        pytest.param(TERMS, at_end(term("ours", "Big Words")), id="capitals, never found"),
        pytest.param(BINDINGS, at_end(bind("<n:v> !")), id="a pattern that ends with !"),
        pytest.param(BINDINGS, at_end(bind("")), id="an empty pattern"),
        pytest.param(BINDINGS, at_end(bind("<n:v> ~12 <mite>")), id="a gap of two digits"),
        pytest.param(BINDINGS, at_end(bind("<n:v> {adjj} <mite>")), id="an unknown macro"),
        pytest.param(BINDINGS, at_end(bind("<n> <mite>")), id="a pattern that takes no value"),
        pytest.param(BINDINGS, at_end(bind("<n:val> <mite>")), id="an unknown taker"),
        pytest.param(BINDINGS, at_end(bind("<n:v>", slot="mitez")), id="an unknown slot"),
        pytest.param(
            BINDINGS,
            at_end(bind("<brood>", slot="source", more='value = "brod"')),
            id="a value that the field can never have",
        ),
        pytest.param(UNITS, at_start(unit("cup", "gill")), id="a unit id given twice"),
        pytest.param(UNITS, at_start(unit("ours", "ml")), id="a unit word claimed twice"),
        pytest.param("en/dates.toml", swap("monday = 0", "monday = 9"), id="a ninth weekday"),
        pytest.param("en/dates.toml", swap("january = 1", "january = 13"), id="a 13th month"),
        pytest.param(
            QUESTIONS, swap('field = "', 'field = "no_'), id="a question on an unknown field"
        ),
        pytest.param(
            QUESTIONS,
            swap("mites were there{of}", "mites were there{off}"),
            id="an unknown place in a question",
        ),
        pytest.param("en/scenes.toml", at_end('ours = "mitez"'), id="a column of an unknown slot"),
    ],
)
def test_a_mistake_in_what_is_said_is_named_by_file(folder: Path, name: str, edit: Edit) -> None:
    path = change(folder, name, edit)
    assert str(path) in complaint(folder)


# The keeper's own vocabulary.


@pytest.mark.parametrize(
    ("text", "key", "reason"),
    [
        ("colour = 1", "colour", "not permitted"),
        ("day_first = ", "", "not valid TOML"),
        ('day_first = "perhaps"', "day_first", "boolean"),
        ('country = "Atlantis"', "country", "'UK'"),
        ('[only]\ncolony = "7"', "file", "need the day they were declared"),
        ('declared = 2026-04-02\n[usual]\nmethod = "jar"', "usual.method", "'sugar'"),
        ('declared = 2026-04-02\n[usual]\nframe = "broad"', "usual.frame", "'brood'"),
        ("declared = 2026-04-02\n[cup]\nml = 0", "cup.ml", "greater than 0"),
        ("declared = 2026-04-02\n[cup]\nbees = 280", "cup.ml", "required"),
        ('[[yard]]\nname = ""', "yard.0.name", "at least 1"),
        (
            '[[colony]]\nname = "Ash"\naliases = ["A"]\n'
            '[[colony]]\nname = "Alder"\naliases = ["a"]',
            "file",
            "stands for both 'Ash' and 'Alder'",
        ),
        ('[treatments]\npads = "magic"', "treatments.pads", "'formic_acid'"),
    ],
)
def test_a_vocabulary_mistake_is_named_by_file_and_key(
    tmp_path: Path, text: str, key: str, reason: str
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(VocabularyError) as caught:
        load_vocabulary(path)
    message = str(caught.value)
    assert message.startswith(f"{path}: {key}")
    assert reason in message
    assert "\n" not in message


def test_a_vocabulary_that_cannot_be_read_is_named(tmp_path: Path) -> None:
    with pytest.raises(VocabularyError, match=r"mine\.toml: no such vocabulary file"):
        load_vocabulary(tmp_path / "mine.toml")
    with pytest.raises(VocabularyError, match="cannot be read as UTF-8"):
        load_vocabulary(tmp_path)
    (tmp_path / "mine.toml").write_bytes(b'country = "\xff"')
    with pytest.raises(VocabularyError, match="cannot be read as UTF-8"):
        load_vocabulary(tmp_path / "mine.toml")


def test_an_empty_vocabulary_declares_nothing(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text("\ufeff# nothing yet\n", encoding="utf-8")
    assert load_vocabulary(tmp_path / "mine.toml") == Vocabulary()


# Words are data: a new one is read without a change of the program.


def phrase_added(name: str, phrase: str) -> Edit:
    """Put a phrase at the head of the list of the entry with this id."""

    def edit(text: str) -> str:
        head = re.compile(rf'(id = "{re.escape(name)}"\n(?:(?!\[\[).*\n)*?phrases = \[)')
        new, count = head.subn(lambda m: f'{m[1]}"{phrase}", ', text)
        assert count == 1, f"no entry {name!r}"
        return new

    return edit


def read(reader: Reader, text: str) -> Reading:
    return reader.read(Note(text=text, written=TUESDAY), Context())


def first(reading: Reading, key: str) -> object:
    """The first value under this key in the first visit, its samples and its lists."""
    if not reading.visits:
        return None
    visit = reading.visits[0]
    for record in (visit, *visit.samples, *visit.treatment, *visit.signs, *visit.fed):
        if getattr(record, key, None) is not None:
            return getattr(record, key)
    return None


@pytest.mark.parametrize(
    ("name", "edit", "text", "key", "value"),
    [
        pytest.param(
            "en/terms/sampling.toml", phrase_added("method.board", "glue paper"),
            "Hive 7, glue paper, 12 mites", "method", "sticky_board",
            id="a word for the sticky board",
        ),
        pytest.param(
            "en/terms/sampling.toml", phrase_added("mite", "hoppers"),
            "Hive 7 alcohol wash, 300 bees from a brood frame, 5 hoppers", "mites", 5,
            id="a word for mites",
        ),
        pytest.param(
            UNITS, at_start(unit("noggin", "noggin", factor=142.1)),
            "Hive 7 sugar roll, one noggin of bees, 3 mites", "volume_ml", 142.1,
            id="a unit",
        ),
        pytest.param(
            "en/numbers.toml", swap("twa = 2", "twa = 2\ntethera = 3"),
            "Hive 7 alcohol wash, tethera mites", "mites", 3,
            id="a number word",
        ),
        pytest.param(
            "en/dates.toml", swap("[relative]", "[relative]\nereyesterday = -2"),
            "ereyesterday, hive 7, saw the queen", "date", TUESDAY.replace(day=12),
            id="a word for a day",
        ),
        pytest.param(
            CUES, phrase_added("denied.no", "bereft of"),
            "Hive 7 calm, bereft of chalkbrood", "present", False,
            id="a word of denial",
        ),
        pytest.param(
            "en/terms/signs.toml", phrase_added("sign.chalkbrood", "plaster corpses"),
            "Hive 7, plaster corpses on the floor", "sign", "chalkbrood",
            id="a word for a sign",
        ),
        pytest.param(
            "en/terms/treatments.toml", phrase_added("active.thymol", "thyme crystals"),
            "Hive 7, put thyme crystals on", "active", "thymol",
            id="a word for a treatment",
        ),
        pytest.param(
            "en/mishearings.toml", at_end('[[heard]]\ntexts = ["mittle"]\nmeans = "mite"'),
            "Hive 7 alcohol wash, one mittle", "mites", 1,
            id="a mishearing",
        ),
        pytest.param(
            "en/repairs.toml", swap('"scratch that"', '"scratch that", "fiddlesticks"'),
            "Hive 7 alcohol wash, 5 mites fiddlesticks 6 mites", "mites", 6,
            id="a word of correction",
        ),
        pytest.param(
            "en/scenes.toml", swap('days = "days"', 'days = "days"\nboxfuls = "frames_bees"'),
            "hive | boxfuls | method\n7 | 4 | alcohol wash", "frames_bees", 4,
            id="a heading of a column",
        ),
    ],
)  # fmt: skip
def test_a_new_word_is_read(
    folder: Path, reader: Reader, name: str, edit: Edit, text: str, key: str, value: object
) -> None:
    assert first(read(reader, text), key) != value, "known already: give the test another word"
    change(folder, name, edit)
    assert first(read(Reader(load_grammar(folder=folder)), text), key) == value
