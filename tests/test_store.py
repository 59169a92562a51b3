"""The season store: what is saved comes back equal, once, and can be found.

There are no published values here; what is right follows from the meaning of saving.
"""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldnotes.errors import StoreError
from fieldnotes.records import (
    Event,
    Evidence,
    Fact,
    Fed,
    Note,
    Question,
    Reading,
    Sample,
    Sign,
    StepSaid,
    Supers,
    Todo,
    Treatment,
    Unread,
    Visit,
)
from fieldnotes.season import Store, default_path
from fieldnotes.season.migrations import STEPS, migrate, version_1
from fieldnotes.season.rows import SAMPLE_FIELDS, name_key, same_json

DAY = dt.date(2026, 7, 14)
SAID = Evidence(said=((0, 4),))
GRAMMAR = "5d1e"


F = TypeVar("F", bound=Fact)


def proved(kind: type[F], **fields: object) -> F:
    """A fact with each field proved by the same words."""
    return kind(**fields, evidence={name: SAID for name in fields if name not in kind.PARTS})


def a_note(text: str = "Hive seven, sugar roll, four mites.", **rest: object) -> Note:
    return Note(**{"text": text, "written": DAY} | rest)


def a_reading(note: Note, *, colony: str | None = "7", mites: int = 4, **rest: object) -> Reading:
    sample = proved(Sample, method="sugar", mites=mites)
    return Reading(
        id=note.id,
        written=note.written,
        visits=(proved(Visit, colony=colony, samples=(sample,)),),
        **rest,
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "season.db"


def rows(path: Path, sql: str) -> list[tuple[object, ...]]:
    connection = sqlite3.connect(path)
    try:
        return connection.execute(sql).fetchall()
    finally:
        connection.close()


# Round trip

TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=60),
    st.sampled_from(
        [
            "'; DROP TABLE notes; --",
            "before\0after",
            "\0",
            "",
            "🐝🐝 ½ cup, 3–4 mites\r\n\u2028 \ufeff",
            "e\u0301 is not \u00e9",
            "{start} %s ? :text",
        ]
    ),
)
NAMES = TEXTS.filter(lambda text: len(text) < 40)
DATES = st.dates(dt.date(1, 1, 1), dt.date(9999, 12, 31))
COUNTS = st.integers(0, 10**30)
AMOUNTS = st.floats(0, allow_infinity=False, allow_nan=False)
SPANS = st.tuples(st.integers(0, 99), st.integers(0, 99))
EVIDENCE = st.one_of(
    st.builds(Evidence, said=st.lists(SPANS, min_size=1, max_size=3).map(tuple)),
    st.builds(Evidence, declared=st.just("usual frame"), on=DATES),
)


@st.composite
def facts(draw: st.DrawFn, kind: type[Fact], **fields: st.SearchStrategy[object]) -> Fact:
    """Any fact of a kind with some of the fields, each with evidence."""
    required = {n for n, field in kind.model_fields.items() if field.is_required()}
    chosen = [n for n in fields if n in required or draw(st.booleans())]
    values = {n: draw(fields[n]) for n in chosen}
    proofs = {n: draw(EVIDENCE) for n in chosen if n not in kind.PARTS}
    if "supers" in chosen:
        proofs["supers.added"] = draw(EVIDENCE)
    return kind(**values, evidence=proofs)


def some(strategy: st.SearchStrategy[object]) -> st.SearchStrategy[object]:
    return st.lists(strategy, max_size=2).map(tuple)


SAMPLES = facts(
    Sample,
    method=st.sampled_from(["sugar", "drone_uncapping", "sticky_board"]),
    mites=COUNTS,
    mites_low=COUNTS,
    bees=COUNTS,
    bees_weight_g=AMOUNTS,
    volume_ml=AMOUNTS,
    volume_said=TEXTS,
    source=st.just("brood"),
    position=st.one_of(st.just("centre"), COUNTS),
    days=AMOUNTS,
    rate_per_100=AMOUNTS,
    rate_basis=st.just("not_said"),
    fall=st.just("natural"),
    returned=st.booleans(),
    steps=some(facts(StepSaid, step=st.just("rest"), outcome=st.sampled_from(["done", "skipped"]))),
)
TREATMENTS = facts(
    Treatment,
    active=st.just("thymol"),
    action=st.just("end"),
    product=TEXTS,
    date=DATES,
    remembered=st.booleans(),
)
VISITS = facts(
    Visit,
    colony=NAMES,
    yard=NAMES,
    date=DATES,
    time=st.just("09:30"),
    samples=some(SAMPLES),
    queen_seen=st.booleans(),
    queen_cells=st.one_of(st.booleans(), COUNTS),
    frames_bees=AMOUNTS,
    temper=st.just("calm"),
    signs=some(facts(Sign, sign=st.just("ants"), present=st.booleans())),
    treatment=some(TREATMENTS),
    fed=some(facts(Fed, what=st.just("syrup"), amount=TEXTS)),
    # Supers of which nothing is said are no supers, in JSON too.
    supers=COUNTS.map(lambda n: Supers(added=n)),
    events=some(facts(Event, event=st.just("split"), amount=TEXTS)),
    todo=some(facts(Todo, what=TEXTS, due=DATES)),
    weather_c=st.floats(-40, 50),
)
QUESTIONS = st.builds(
    Question,
    colony=st.none() | NAMES,
    field=st.sampled_from(["colony", "mites", "frame"]),
    kind=st.sampled_from(["missing", "conflict"]),
    text=TEXTS,
    options=some(TEXTS),
    evidence=some(SPANS),
    visit=st.none() | st.integers(0, 3),
)
NOTES = st.builds(
    Note,
    text=TEXTS,
    written=DATES,
    written_from=st.sampled_from(["option", "file name", "first line", "today"]),
    origin=st.none() | TEXTS,
    yard=st.none() | NAMES,
    colony=st.none() | NAMES,
)


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Note, Reading]:
    note = draw(NOTES)
    return note, Reading(
        id=note.id,
        written=note.written,
        visits=draw(some(VISITS)),
        questions=draw(some(QUESTIONS)),
        unread=draw(some(st.builds(Unread, text=TEXTS, span=SPANS))),
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(pair=pairs())
def test_a_saved_note_reads_back_equal(pair: tuple[Note, Reading]) -> None:
    note, reading = pair
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.db"
        with Store.open(path) as store:
            assert store.save(note, reading, grammar_hash=GRAMMAR) == "new"
        with Store.open(path, create=False) as store:
            note_back, reading_back = store.note(note.id)
            assert store.save(note, reading, grammar_hash=GRAMMAR) == "known"
            summary = store.notes(since=note.written)
    assert note_back == note
    assert reading_back == reading
    # Equality alone would let a count of one pass for "some".
    assert reading_back.model_dump_json() == reading.model_dump_json()
    assert [len(reading.visits)] == [s.visits for s in summary]


def test_every_column_of_a_sample_is_a_field_of_the_record() -> None:
    assert set(Sample.model_fields) >= set(SAMPLE_FIELDS) | {"position"}


def test_the_rows_say_what_the_reading_says(path: Path) -> None:
    note = a_note(yard="Orchard", colony="9")
    sample = proved(
        Sample, method="alcohol", mites=6, bees=300, volume_ml=118.3, source="brood", position=3
    )
    visits = (
        proved(Visit, colony="Willow 3", yard="Mill", date=DAY - dt.timedelta(1), time="09:30"),
        proved(Visit, queen_seen=True, samples=(sample, proved(Sample, mites=2**63))),
    )
    ask = Question(
        field="date", kind="ambiguous", text="¿?", options=("a", "b"), evidence=((0, 4),)
    )
    reading = Reading(id=note.id, written=DAY, visits=visits, questions=(ask,))
    with Store.open(path) as store:
        store.save(note, reading, grammar_hash=GRAMMAR)
        summary = store.notes()[0]
    assert rows(
        path, "SELECT ordinal, colony, colony_key, yard, yard_key, date, day, time FROM visits"
    ) == [
        (0, "Willow 3", "willow 3", "Mill", "mill", "2026-07-13", "2026-07-13", "09:30"),
        (1, None, "9", None, "orchard", None, "2026-07-14", None),
    ]
    assert rows(
        path,
        "SELECT v.ordinal, s.ordinal, method, mites, bees, volume_ml, source, position"
        " FROM samples s JOIN visits v ON s.visit = v.id",
    ) == [
        (1, 0, "alcohol", 6, 300, 118.3, "brood", "3"),
        # A count that no column can hold is in the JSON alone.
        (1, 1, None, None, None, None, None, None),
    ]
    assert rows(path, "SELECT field, kind, options, evidence, status FROM questions") == [
        ("date", "ambiguous", '["a", "b"]', "[[0, 4]]", "open")
    ]
    assert rows(path, "SELECT grammar, current FROM readings") == [(GRAMMAR, 1)]
    assert (summary.visits, summary.samples, summary.open_questions) == (2, 2, 1)
    assert summary.colonies == ("Willow 3",)
    assert (summary.yard, summary.colony, summary.start) == ("Orchard", "9", note.text)
    assert summary.saved_at.utcoffset() == dt.timedelta(0)


# Saving again


def test_the_same_note_is_one_note(path: Path) -> None:
    note = a_note(origin="memo.txt")
    again = a_note(origin="copy.txt", written_from="today")
    with Store.open(path) as store:
        assert store.save(note, a_reading(note), grammar_hash=GRAMMAR) == "new"
        before = list(store._connection.iterdump())
        assert store.save(again, a_reading(again), grammar_hash="another") == "known"
        assert list(store._connection.iterdump()) == before
        assert store.note(note.id) == (note, a_reading(note))


def test_another_day_yard_or_colony_is_another_note(path: Path) -> None:
    notes = [a_note(), a_note(written=DAY + dt.timedelta(1)), a_note(yard="A"), a_note(colony="A")]
    with Store.open(path) as store:
        assert store.save_many([(n, a_reading(n)) for n in notes], grammar_hash=GRAMMAR) == [
            "new"
        ] * len(notes)
        assert len(store.notes()) == len(notes)


def test_a_different_reading_replaces_the_current_one_and_keeps_it(path: Path) -> None:
    note = a_note()
    first, second = a_reading(note), a_reading(note, colony="Seven", mites=5)
    with Store.open(path) as store:
        for reading, grammar in ((first, "a"), (second, "b"), (first, "c")):
            store.save(note, reading, grammar_hash=grammar)
            assert store.note(note.id) == (note, reading)
        assert [s.colonies for s in store.notes()] == [("7",)]
    kept = rows(path, "SELECT grammar, current, json FROM readings ORDER BY id")
    assert [row[:2] for row in kept] == [("a", 0), ("b", 0), ("c", 1)]
    assert [Reading.model_validate_json(str(row[2])) for row in kept] == [first, second, first]
    assert rows(path, "SELECT colony, mites FROM visits v JOIN samples s ON s.visit = v.id") == [
        ("7", 4)
    ]


def test_some_queen_cells_are_not_one_queen_cell(path: Path) -> None:
    note = a_note()
    some_cells, one_cell = (
        Reading(id=note.id, written=DAY, visits=(proved(Visit, queen_cells=cells),))
        for cells in (True, 1)
    )
    with Store.open(path) as store:
        store.save(note, some_cells, grammar_hash=GRAMMAR)
        store.save(note, one_cell, grammar_hash=GRAMMAR)
        assert store.note(note.id)[1].visits[0].queen_cells is not True


def test_the_order_of_evidence_makes_no_other_reading() -> None:
    assert same_json('{"a": 1, "b": [1, 2]}', '{"b": [1, 2], "a": 1}')
    assert not same_json('{"b": [1, 2]}', '{"b": [2, 1]}')
    assert not same_json('{"b": true}', '{"b": 1}')
    assert not same_json("cut off {", "{}")


def test_a_closed_question_stays_closed_when_it_is_asked_again(path: Path) -> None:
    note = a_note()
    missing = Question(colony="7", field="frame", kind="missing", text="Which?", visit=0, sample=0)
    doubted = Question(colony="7", field="mites", kind="ambiguous", text="?", evidence=((0, 4),))
    reading = a_reading(note, questions=(missing, doubted))
    elsewhere = doubted.model_copy(update={"evidence": ((5, 9),)})
    # Another grammar words them anew, in another order, and doubts other words as well.
    anew = a_reading(
        note,
        questions=(
            elsewhere,
            doubted.model_copy(update={"text": "Three or four?", "visit": 1}),
            missing.model_copy(update={"text": "Which frame?"}),
            missing.model_copy(update={"sample": 1}),
        ),
    )
    with Store.open(path) as store:
        store.save(note, reading, grammar_hash=GRAMMAR)
        store._connection.execute("UPDATE questions SET status = 'closed'")
        assert store.notes()[0].open_questions == 0
        store.save(note, anew, grammar_hash="newer")
        assert store.notes()[0].open_questions == 2
    assert rows(path, "SELECT text, status FROM questions ORDER BY ordinal") == [
        ("?", "open"),
        ("Three or four?", "closed"),
        ("Which frame?", "closed"),
        ("Which?", "open"),
    ]


def test_save_many_saves_all_or_none(path: Path) -> None:
    good = [a_note(f"note {n}") for n in range(3)]
    with Store.open(path) as store:
        with pytest.raises(ValueError, match="was given for note"):
            store.save_many(
                [(good[0], a_reading(good[0])), (good[1], a_reading(good[2]))], grammar_hash=GRAMMAR
            )
        assert store.notes() == []
        assert store.save_many([], grammar_hash=GRAMMAR) == []
        # The same note twice in one batch is still one note.
        twice = [(note, a_reading(note)) for note in [*good, good[0]]]
        assert store.save_many(twice, grammar_hash=GRAMMAR) == ["new", "new", "new", "known"]
        assert len(store.notes()) == 3


# Finding


@pytest.fixture
def season(path: Path) -> Path:
    """Four notes: two days, three colonies, two yards, one of them without a visit."""
    with Store.open(path) as store:
        for text, day, yard, colony, visits in (
            ("first", 1, "Orchard", None, ["7", "8"]),
            ("second", 2, None, "7", [None]),
            ("third", 3, "Mill", None, ["JUNIPER  3"]),
            ("fourth", 4, "mill", "Straße", []),
        ):
            note = a_note(text, written=dt.date(2026, 7, day), yard=yard, colony=colony)
            seen = tuple(proved(Visit, colony=c, eggs=True) for c in visits)
            reading = Reading(id=note.id, written=note.written, visits=seen)
            store.save(note, reading, grammar_hash=GRAMMAR)
    return path


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, ["fourth", "third", "second", "first"]),
        ({"limit": 2}, ["fourth", "third"]),
        ({"limit": 0}, []),
        ({"limit": 10**30}, ["fourth", "third", "second", "first"]),
        ({"since": dt.date(2026, 7, 3)}, ["fourth", "third"]),
        ({"colony": "7"}, ["second", "first"]),
        ({"colony": "juniper 3"}, ["third"]),
        ({"colony": "STRASSE"}, ["fourth"]),
        ({"colony": "juniper"}, []),
        ({"colony": ""}, []),
        ({"colony": "' OR 1 --"}, []),
        ({"yard": "mill"}, ["fourth", "third"]),
        ({"yard": "Orchard", "colony": "8"}, ["first"]),
        ({"yard": "Mill", "colony": "8"}, []),
        ({"yard": "Mill", "since": dt.date(2026, 7, 1), "limit": 1}, ["fourth"]),
    ],
)
def test_notes_are_found_newest_first(
    season: Path, query: dict[str, object], found: list[str]
) -> None:
    with Store.open(season) as store:
        assert [s.start for s in store.notes(**query)] == found


def test_a_negative_limit_is_a_mistake_of_the_caller(season: Path) -> None:
    with Store.open(season) as store, pytest.raises(ValueError, match="negative"):
        store.notes(limit=-1)


def test_a_summary_shows_the_beginning_of_a_long_note(path: Path) -> None:
    note = a_note("é" * 1000)
    with Store.open(path) as store:
        store.save(note, a_reading(note), grammar_hash=GRAMMAR)
        assert store.notes()[0].start == "é" * 200


def test_names_are_looked_up_without_regard_to_case_width_and_spacing() -> None:
    assert name_key(" Juniper \t 3 ") == name_key("JUNIPER ３") == "juniper 3"
    assert name_key(None) is name_key("  ") is None


def test_a_note_is_found_by_the_start_of_its_id(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ids = {"one": "aaaa000000000000", "two": "aaab000000000000", "three": "bfff000000000000"}
    monkeypatch.setattr(Note, "id", property(lambda note: ids[note.text]))
    with Store.open(path) as store:
        for text in ids:
            store.save(a_note(text), a_reading(a_note(text)), grammar_hash=GRAMMAR)
        assert store.note("aaab")[0].text == "two"
        assert store.note(" AAAA0")[0].text == "one"
        assert store.note("bfff000000000000")[0].text == "three"
        assert store.note("b")[0].text == "three"
        with pytest.raises(StoreError, match="aaaa000000000000, aaab000000000000; give more"):
            store.note("aaa")
        for unknown in ("c", "", "%", "bfff0000000000000", "b_", "é", "\udcff"):
            with pytest.raises(StoreError, match="no saved note has an id"):
                store.note(unknown)


# Where it lies


def test_the_place_is_argument_then_variable_then_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    monkeypatch.setenv("FIELDNOTES_DB", "~/mine.db")
    assert default_path(tmp_path / "other.db") == tmp_path / "other.db"
    assert default_path() == tmp_path / "mine.db"
    monkeypatch.setenv("FIELDNOTES_DB", "")
    assert default_path().name == "season.db"
    assert default_path().parent.name == "fieldnotes"
    assert default_path("~nobody-of-that-name/x.db") == Path("~nobody-of-that-name/x.db")


def test_the_variable_and_missing_folders_work_when_opening(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FIELDNOTES_DB", str(tmp_path / "new folder?#" / "öl & co.db"))
    with Store.open() as store:
        assert store.notes() == []
    assert (tmp_path / "new folder?#" / "öl & co.db").is_file()


# Tables and their versions


def test_supers_kept_with_evidence_of_their_own_are_read_again(path: Path) -> None:
    note = a_note("Hive 7, 2 supers on")
    visit = proved(Visit, colony="7").model_dump(mode="json")
    visit["supers"] = {"on": 2, "evidence": {"on": {"said": [[8, 19]]}}}
    reading = {"id": note.id, "written": str(DAY), "visits": [visit]}
    connection = sqlite3.connect(path, isolation_level=None)
    migrate(connection, path, steps=(version_1,))
    connection.execute(
        "INSERT INTO notes (number, id, text, written, written_from, saved_at)"
        " VALUES (1, ?, ?, ?, 'option', '')",
        (note.id, note.text, str(note.written)),
    )
    connection.execute(
        "INSERT INTO readings (note, program, grammar, json, read_at, current)"
        " VALUES (1, '', '', ?, '', 1)",
        (json.dumps(reading),),
    )
    connection.close()
    with Store.open(path) as store:
        kept = store.note(note.id)
    assert kept is not None
    (told,) = kept[1].visits
    assert told.supers == Supers(on=2)
    assert told.evidence["supers.on"] == Evidence(said=((8, 19),))


def test_a_new_database_is_marked_strict_and_versioned(path: Path) -> None:
    with Store.open(path) as store:
        run = store._connection.execute
        assert run("PRAGMA journal_mode").fetchone()[0] == "wal"
        assert run("PRAGMA foreign_keys").fetchone()[0] == 1
        assert run("PRAGMA user_version").fetchone()[0] == len(STEPS)
        loose = "SELECT name FROM pragma_table_list WHERE schema = 'main' AND NOT strict"
        assert [name for (name,) in run(loose)] == ["sqlite_schema"]
        assert run("SELECT version, step FROM migrations").fetchall()[0]["step"] == "version_1"
        with pytest.raises(sqlite3.IntegrityError):
            run("INSERT INTO visits (note, ordinal, day) VALUES (1, 0, '2026-07-14')")


def test_a_list_of_notes_imports_nothing_heavy(path: Path) -> None:
    Store.open(path).close()
    program = (
        "import sys; from fieldnotes.season import Store\n"
        "with Store.open(sys.argv[1]) as store: store.notes()\n"
        "heavy = {'sqlite_utils', 'numpy', 'platformdirs', 'pydantic', 'spacy'}\n"
        "heavy &= set(sys.modules)\n"
        "sys.exit(f'imported {heavy}' if heavy else 0)"
    )
    root = Path(__file__).parents[1]
    done = subprocess.run(
        [sys.executable, "-c", program, str(path)], cwd=root, capture_output=True, text=True
    )
    assert done.stderr == ""


def test_neither_saving_nor_listing_grows_with_the_season(path: Path) -> None:
    """Counted in steps of SQLite's machine, which are the same on every computer."""
    steps = 0

    def count() -> None:
        nonlocal steps
        steps += 1

    def cost(store: Store, first: int) -> tuple[int, int]:
        nonlocal steps
        notes = [a_note(f"note {n}") for n in range(first, first + 300)]
        pairs = [(note, a_reading(note)) for note in notes]
        store.save_many(pairs[:-10], grammar_hash=GRAMMAR)
        store._connection.set_progress_handler(count, 1)
        steps = 0
        store.save_many(pairs[-10:], grammar_hash=GRAMMAR)
        saving, steps = steps, 0
        store.notes(limit=10)
        store.note(notes[0].id)
        store._connection.set_progress_handler(None, 1)
        return saving, steps

    with Store.open(path) as store:
        saving, reading = cost(store, 0)
        for n in range(1, 5):
            saving_later, reading_later = cost(store, 300 * n)
    assert saving_later <= 1.2 * saving
    assert reading_later <= 1.2 * reading
