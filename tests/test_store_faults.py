"""The season store when things go wrong: nothing is saved half, and each error is one clear line.

There are no published values here; what is right follows from the meaning of saving.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from fieldnotes.errors import StoreError
from fieldnotes.records import Evidence, Note, Question, Reading, Sample, Visit
from fieldnotes.season import Store
from fieldnotes.season.migrations import STEPS, migrate

DAY = dt.date(2026, 7, 14)
ROOT = Path(__file__).parents[1]
SAID = Evidence(said=((0, 4),))
GRAMMAR = "5d1e"
TABLES = ("notes", "readings", "visits", "samples", "questions")


def a_note(text: str = "Hive seven, sugar roll, four mites.") -> Note:
    return Note(text=text, written=DAY)


def a_reading(note: Note, mites: int = 4) -> Reading:
    sample = Sample(mites=mites, evidence={"mites": SAID})
    visit = Visit(colony="7", samples=(sample, sample), evidence={"colony": SAID})
    asks = (Question(colony="7", field="frame", kind="missing", text="Which frame?"),)
    return Reading(id=note.id, written=DAY, visits=(visit, visit), questions=asks)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "season.db"


def assert_whole(path: Path) -> dict[str, Reading]:
    """Check that every note has one current reading and its rows; return the readings by id."""
    with closing(sqlite3.connect(path)) as connection:
        run = connection.execute
        assert run("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert run("PRAGMA foreign_key_check").fetchall() == []
        ids = [note_id for (note_id,) in run("SELECT id FROM notes")]
        texts = [text for (text,) in run("SELECT text FROM notes")]
        assert len(set(texts)) == len(texts)
        current = run(
            "SELECT n.id, r.json FROM readings r LEFT JOIN notes n ON n.number = r.note"
            " WHERE r.current = 1"
        ).fetchall()
        readings = {note_id: Reading.model_validate_json(text) for note_id, text in current}
        assert sorted(readings) == sorted(ids)
        made = {
            "visits": [
                (note_id, v) for note_id, r in readings.items() for v in range(len(r.visits))
            ],
            "samples": [
                (note_id, v, s, sample.mites)
                for note_id, r in readings.items()
                for v, visit in enumerate(r.visits)
                for s, sample in enumerate(visit.samples)
            ],
            "questions": [
                (note_id, q) for note_id, r in readings.items() for q in range(len(r.questions))
            ],
        }
        kept = {
            "visits": run(
                "SELECT n.id, ordinal FROM visits v LEFT JOIN notes n ON n.number = v.note"
            ).fetchall(),
            "samples": run(
                "SELECT n.id, v.ordinal, s.ordinal, s.mites FROM samples s"
                " LEFT JOIN visits v ON v.id = s.visit LEFT JOIN notes n ON n.number = v.note"
            ).fetchall(),
            "questions": run(
                "SELECT n.id, ordinal FROM questions q LEFT JOIN notes n ON n.number = q.note"
            ).fetchall(),
        }
        assert {t: sorted(rows) for t, rows in kept.items()} == {
            t: sorted(rows) for t, rows in made.items()
        }
    return readings


# Killed, and crowded

CHILD = """
import os, sys
sys.path.insert(0, {tests!r})
from test_store_faults import a_note, a_reading
from fieldnotes.season import Store

def say(*words):
    os.write(1, (" ".join(map(str, words)) + chr(10)).encode())

def save(store, note, mites):
    say(store.save(note, a_reading(note, mites), grammar_hash="g"), note.id, mites)
"""

ENDLESS = """
n = 0
with Store.open({path!r}) as store:
    say("ready")
    while True:
        note = a_note(f"{who} note {{n}}")
        save(store, note, 1)
        save(store, note, 2)  # another reading of it, which replaces the first
        n += 1
"""

SHARED = """
with Store.open({path!r}) as store:
    for n in range(60):
        save(store, a_note(f"shared {{n}}"), 1)
        save(store, a_note(f"{who} {{n}}"), 1)
"""


def start(program: str, path: Path, who: object) -> subprocess.Popen[str]:
    code = (CHILD + program).format(tests=str(Path(__file__).parent), path=str(path), who=who)
    return subprocess.Popen(
        [sys.executable, "-c", code],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")
def test_a_kill_loses_no_saved_note_and_doubles_none(tmp_path: Path) -> None:
    """Twenty-five programs killed while they save; most on one database, some on a new one."""
    chance = random.Random(20260714)
    acknowledged: dict[Path, dict[str, int]] = {}
    give_up = time.monotonic() + 60
    for kill in range(25):
        # Every fifth is killed on a new database, some time while it makes the tables.
        path = tmp_path / (f"new-{kill}.db" if kill % 5 == 4 else "season.db")
        saved = acknowledged.setdefault(path, {})
        child = start(ENDLESS, path, f"run {kill}")
        assert child.stdout is not None
        if kill % 5 == 4:
            while not path.exists() and child.poll() is None and time.monotonic() < give_up:
                time.sleep(0.001)
            time.sleep(chance.uniform(0, 0.35))
        else:
            assert child.stdout.readline() == "ready\n"
            time.sleep(chance.uniform(0, 0.08))
        child.send_signal(signal.SIGKILL)
        told, complaint = child.communicate(timeout=30)
        assert (child.returncode, complaint) == (-signal.SIGKILL, "")
        for line in told.splitlines():
            # The kill may cut a line, but then its save had returned: it only isn't counted here.
            words = line.split()
            if len(words) == 3 and words[0] in ("new", "known"):
                saved[words[1]] = int(words[2])
    assert acknowledged[tmp_path / "season.db"]
    for path, saved in acknowledged.items():
        Store.open(path).close()  # what the kill left in the log is taken over
        readings = assert_whole(path)
        assert set(saved) <= set(readings)
        for note_id, mites in saved.items():
            # The current reading is the last acknowledged, or the one that was being saved.
            now = readings[note_id].visits[0].samples[0].mites
            assert now in (mites, 2)


def test_programs_that_start_at_once_make_one_database(path: Path) -> None:
    children = [start(SHARED, path, who) for who in range(3)]
    told = [child.communicate(timeout=60) for child in children]
    assert [complaint for _, complaint in told] == [""] * 3
    lines = [line.split() for out, _ in told for line in out.splitlines()]
    assert len(lines) == 3 * 120
    readings = assert_whole(path)
    assert len(readings) == 60 + 3 * 60
    # Of those who save the same note exactly one hears that it is new.
    assert sorted(note_id for state, note_id, _ in lines if state == "new") == sorted(readings)
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT version FROM migrations").fetchall() == [
            (version,) for version in range(1, len(STEPS) + 1)
        ]


# A save that fails midway


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("event", ["INSERT", "DELETE", "UPDATE"])
def test_a_save_that_fails_midway_leaves_nothing(path: Path, table: str, event: str) -> None:
    known, new = a_note("known"), a_note("new")
    with Store.open(path) as store:
        store.save(known, a_reading(known), grammar_hash=GRAMMAR)
        before = [row for row in store._connection.iterdump() if row.startswith("INSERT")]
        store._connection.execute(
            f"CREATE TEMP TRIGGER fault BEFORE {event} ON main.{table}"
            " BEGIN SELECT RAISE(ABORT, 'no more'); END"
        )
        both = [(new, a_reading(new)), (known, a_reading(known, mites=5))]
        fails = event == "INSERT" or (event, table) in {
            ("UPDATE", "readings"),
            ("DELETE", "visits"),
            ("DELETE", "samples"),
            ("DELETE", "questions"),
        }
        if fails:
            with pytest.raises(StoreError, match="no more"):
                store.save_many(both, grammar_hash=GRAMMAR)
            after = [row for row in store._connection.iterdump() if row.startswith("INSERT")]
            assert after == before
            store._connection.execute("DROP TRIGGER fault")
        # And the store is fit for use afterwards.
        assert store.save_many(both, grammar_hash=GRAMMAR) == ["new", "known"]
    assert len(assert_whole(path)) == 2


def test_an_interruption_leaves_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*rows: object) -> None:
        raise KeyboardInterrupt

    note = a_note()
    with Store.open(path) as store:
        with monkeypatch.context() as patched:
            patched.setattr("fieldnotes.season.store.question_rows", interrupted)
            with pytest.raises(KeyboardInterrupt):
                store.save(note, a_reading(note), grammar_hash=GRAMMAR)
        assert store.notes() == []
        assert store.save(note, a_reading(note), grammar_hash=GRAMMAR) == "new"


def test_a_full_disk_leaves_nothing(path: Path) -> None:
    with Store.open(path) as store:
        note = a_note()
        store.save(note, a_reading(note), grammar_hash=GRAMMAR)
        pages = store._connection.execute("PRAGMA page_count").fetchone()[0]
        # SQLite meets its own limit of pages in the way it meets a full disk.
        store._connection.execute(f"PRAGMA max_page_count = {pages + 3}")
        notes = [a_note(f"{n} " + "long " * 500) for n in range(50)]
        with pytest.raises(StoreError, match="the disk is full; make room"):
            store.save_many([(n, a_reading(n)) for n in notes], grammar_hash=GRAMMAR)
        assert [s.id for s in store.notes()] == [note.id]
    assert_whole(path)


def test_notes_that_cannot_be_read_leave_nothing(path: Path) -> None:
    def source() -> Iterator[tuple[Note, Reading]]:
        yield a_note(), a_reading(a_note())
        raise RuntimeError("the reader failed")

    with Store.open(path) as store:
        with pytest.raises(RuntimeError, match="the reader failed"):
            store.save_many(source(), grammar_hash=GRAMMAR)
        assert store.notes() == []


# Values that cannot be kept


@pytest.mark.parametrize("value", [float("inf"), float("nan")])
def test_a_reading_that_json_cannot_keep_is_refused(path: Path, value: float) -> None:
    note = a_note()
    visit = Visit(weather_c=value, evidence={"weather_c": SAID})
    reading = Reading(id=note.id, written=DAY, visits=(visit,))
    with Store.open(path) as store:
        with pytest.raises(StoreError, match="please report this"):
            store.save(note, reading, grammar_hash=GRAMMAR)
        assert store.notes() == []


@pytest.mark.parametrize("field", ["text", "origin", "yard", "colony"])
def test_broken_unicode_is_refused(path: Path, field: str) -> None:
    note = Note(**({"text": "four mites", "written": DAY} | {field: "Hive \udcff"}))
    asks = (Question(field="other", kind="ambiguous", text="What is \udcff?"),)
    reading = Reading(id=note.id, written=DAY, questions=asks)
    with Store.open(path) as store:
        with pytest.raises(StoreError, match=rf"its {field} holds a broken character \(number 6\)"):
            store.save(note, reading, grammar_hash=GRAMMAR)
        with pytest.raises(StoreError, match="broken character"):
            store.notes(colony="\udcff")
        assert store.notes() == []


def test_two_notes_of_one_short_id_are_told_apart(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Note, "id", "0123456789abcdef")
    with Store.open(path) as store:
        store.save(a_note("one"), a_reading(a_note("one")), grammar_hash=GRAMMAR)
        with pytest.raises(StoreError, match="already another note"):
            store.save(a_note("two"), a_reading(a_note("two")), grammar_hash=GRAMMAR)
        assert store.note("0123")[0].text == "one"


def test_a_reading_from_a_newer_program_is_refused_and_replaced(path: Path) -> None:
    note = a_note()
    with Store.open(path) as store:
        store.save(note, a_reading(note), grammar_hash=GRAMMAR)
        newer = json.dumps({"id": note.id, "written": "2026-07-14", "moods": ["hopeful"]})
        store._connection.execute("UPDATE readings SET json = ?, program = '9.1'", (newer,))
        with pytest.raises(StoreError, match=r"made by fieldnotes 9\.1"):
            store.note(note.id)
        assert store.save(note, a_reading(note), grammar_hash=GRAMMAR) == "known"
        assert store.note(note.id) == (note, a_reading(note))


# Steps that fail


def test_a_later_step_adds_answers_without_a_rebuild(path: Path) -> None:
    note = a_note()
    with Store.open(path) as store:
        store.save(note, a_reading(note), grammar_hash=GRAMMAR)

    def broken(db: object) -> None:
        db.execute("CREATE TABLE answers (id INTEGER PRIMARY KEY) STRICT")
        db.execute("UPDATE notes SET text = 'lost'")
        raise sqlite3.OperationalError("no more")

    def a_later_step(db: object) -> None:
        db.execute(
            "CREATE TABLE answers (id INTEGER PRIMARY KEY,"
            " note INTEGER NOT NULL REFERENCES notes(number), field TEXT NOT NULL,"
            " evidence TEXT NOT NULL, value TEXT) STRICT"
        )
        db.execute("UPDATE questions SET status = 'answered'")

    connection = sqlite3.connect(path, isolation_level=None)
    with pytest.raises(sqlite3.OperationalError, match="no more"):
        migrate(connection, path, steps=(*STEPS, broken))
    with Store.open(path) as store:  # still whole, still as it was
        assert store.note(note.id) == (note, a_reading(note))
    migrate(connection, path, steps=(*STEPS, a_later_step))
    migrate(connection, path, steps=(*STEPS, a_later_step))
    taken = connection.execute("SELECT version, step FROM migrations").fetchall()
    connection.close()
    assert [step for _, step in taken] == [*(step.__name__ for step in STEPS), "a_later_step"]
    with pytest.raises(StoreError, match="newer fieldnotes"):
        Store.open(path)


# Locked


@contextmanager
def held(path: Path, *statements: str) -> Iterator[None]:
    """Another program's connection that holds the database while the block runs."""
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        for statement in statements:
            other.execute(statement).fetchall()
        yield


def test_while_another_program_writes_notes_can_be_read_and_a_save_says_so(path: Path) -> None:
    first, second = a_note("first"), a_note("second")
    with Store.open(path) as store:
        store.save(first, a_reading(first), grammar_hash=GRAMMAR)
    with held(path, "BEGIN IMMEDIATE"), Store.open(path, timeout_s=0.05) as store:
        assert [s.start for s in store.notes()] == ["first"]
        assert store.note(first.id)[0] == first
        with pytest.raises(StoreError, match="in use by another program; wait"):
            store.save(second, a_reading(second), grammar_hash=GRAMMAR)
    with Store.open(path) as store:
        assert store.save(second, a_reading(second), grammar_hash=GRAMMAR) == "new"


def test_a_database_that_is_held_alone_is_not_opened(path: Path) -> None:
    Store.open(path).close()
    alone = ("PRAGMA locking_mode = EXCLUSIVE", "BEGIN EXCLUSIVE")
    with held(path, *alone), pytest.raises(StoreError, match="in use by another program"):
        Store.open(path, timeout_s=0.05)
    Store.open(path).close()


def test_a_new_database_that_is_held_is_waited_for_and_not_for_ever(path: Path) -> None:
    with held(path, "BEGIN EXCLUSIVE"), pytest.raises(StoreError, match="in use by another"):
        Store.open(path, timeout_s=0.05)


# Files that are no season store


def refused(path: Path, match: str, **options: bool) -> None:
    with pytest.raises(StoreError, match=match) as told:
        Store.open(path, **options)
    assert "\n" not in str(told.value)
    assert str(path) in str(told.value)
    assert told.value.exit_code == 2


def test_a_newer_database_is_refused_untouched(path: Path) -> None:
    Store.open(path).close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    known = (
        rf"newer fieldnotes \(database version 99, this program knows up to {len(STEPS)}\); update"
    )
    refused(path, known)
    assert path.read_bytes() == before


def test_the_database_of_another_program_is_refused_untouched(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE notes (id TEXT)")
    before = path.read_bytes()
    refused(path, "database of another program")
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "content",
    [b"Hive 7, four mites.\n", b"x", b"\0" * 5000, b"SQLite format 3\0", os.urandom(9000)],
)
def test_a_file_that_is_no_database_is_refused_untouched(path: Path, content: bytes) -> None:
    path.write_bytes(content)
    refused(path, "is not an SQLite database; name another file")
    assert path.read_bytes() == content


@pytest.mark.parametrize("create", [True, False])
def test_an_empty_file_is_a_new_database(path: Path, create: bool) -> None:
    path.touch()
    with Store.open(path, create=create) as store:
        assert store.save(a_note(), a_reading(a_note()), grammar_hash=GRAMMAR) == "new"


def test_a_missing_file_is_made_only_if_allowed(path: Path) -> None:
    refused(path, "does not exist: no note was saved there yet", create=False)
    assert not path.exists()


def test_a_folder_is_refused(tmp_path: Path) -> None:
    refused(tmp_path, "is a folder; name a file in it")


def test_a_place_where_no_file_can_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    refused(tmp_path / "file" / "season.db", "cannot be opened .*check the path")
    refused(tmp_path / "file" / "season.db", "does not exist", create=False)
    refused(tmp_path / "nul\0.db", "check the path")
    assert not (tmp_path / "nul").exists()
    refused(tmp_path / ("long" * 100), "check the path")
    refused(Path("/dev/null"), "is no ordinary file")


def test_what_may_not_be_written_is_refused(tmp_path: Path) -> None:
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        pytest.skip("the superuser may write everywhere")
    folder = tmp_path / "locked"
    folder.mkdir()
    path = folder / "season.db"
    Store.open(path).close()
    path.chmod(0o444)
    refused(path, "cannot be written; allow writing")
    path.chmod(0o644)
    folder.chmod(0o555)
    try:
        refused(path, "cannot be (opened|written)")
        refused(folder / "other.db", "cannot be opened")
    finally:
        folder.chmod(0o755)


def test_a_damaged_database_says_so(path: Path) -> None:
    with Store.open(path) as store:
        notes = [a_note(f"{n} " + "word " * 200) for n in range(50)]
        store.save_many([(n, a_reading(n)) for n in notes], grammar_hash=GRAMMAR)
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xff" * (size - 4096))
    with pytest.raises(StoreError, match="is damaged; keep it aside"), Store.open(path) as store:
        store.notes()
