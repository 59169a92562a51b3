"""The tables of the season store, and the ordered steps that lead to them.

The version of a database is its ``user_version``; the table ``migrations`` says when each step ran
and by which version of the program. A step that has been released is never edited: what changes is
a new step at the end. The file is marked as ours by its ``application_id``.

What later steps may count on:

- ``notes`` and ``readings`` are only added to. Of a note's readings one is ``current``; the older
  ones stay as the history of what the program made of the words.
- ``visits``, ``samples`` and ``questions`` are made from the current reading, in the transaction
  that saves it. A step that wants another column there can make it from the JSON of the reading.
- A step may use all of sqlite-utils: from its version 4 on nothing in it ends a transaction that
  somebody else began.
- An answer or a correction belongs to a fact, and a fact is known by its note, its field and its
  evidence, never by the number of a row: so it can stand in a table of its own that points at
  ``notes`` alone, and outlives a reading anew.
- ``questions.status`` is ``open``. Other states need no change of the table, and a question that
  a new reading asks again keeps its state.
"""

from __future__ import annotations

import datetime as dt
import json
import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from .. import __version__
from ..errors import StoreError
from .connection import transaction

if TYPE_CHECKING:
    from sqlite_utils import Database

APPLICATION_ID: Final = 0x466C644E
"""The letters FldN: marks an SQLite file as a season store."""

Step = Callable[["Database"], None]


def version_1(db: Database) -> None:
    """Notes, their readings, and what the current reading says as rows."""
    # Other tables point at a note by its number, not by its id. Ids are hashes, and each index
    # over them would be written all over the file: saving would grow slower with the season.
    db.create_table(
        "notes",
        {
            "number": int,
            "id": str,
            "text": str,
            "written": str,
            "written_from": str,
            "origin": str,
            "yard": str,
            "yard_key": str,
            "colony": str,
            "colony_key": str,
            "saved_at": str,
        },
        pk="number",
        not_null={"id", "text", "written", "written_from", "saved_at"},
        strict=True,
    )
    db.create_table(
        "readings",
        {
            "id": int,
            "note": int,
            "program": str,
            "grammar": str,
            "json": str,
            "read_at": str,
            "current": int,
        },
        pk="id",
        foreign_keys=[("note", "notes", "number")],
        not_null={"note", "program", "grammar", "json", "read_at", "current"},
        strict=True,
    )
    db.create_table(
        "visits",
        {
            "id": int,
            "note": int,
            "ordinal": int,
            "colony": str,
            "colony_key": str,
            "yard": str,
            "yard_key": str,
            "date": str,
            "day": str,
            "time": str,
        },
        pk="id",
        foreign_keys=[("note", "notes", "number")],
        not_null={"note", "ordinal", "day"},
        strict=True,
    )
    db.create_table(
        "samples",
        {
            "id": int,
            "visit": int,
            "ordinal": int,
            "method": str,
            "mites": int,
            "mites_low": int,
            "mites_high": int,
            "bees": int,
            "bees_weight_g": float,
            "volume_ml": float,
            "volume_said": str,
            "source": str,
            "position": str,
            "days": float,
            "cells": int,
            "rate_per_100": float,
            "rate_basis": str,
            "mites_per_day": float,
            "fall": str,
        },
        pk="id",
        foreign_keys=[("visit", "visits", "id")],
        not_null={"visit", "ordinal"},
        strict=True,
    )
    db.create_table(
        "questions",
        {
            "id": int,
            "note": int,
            "ordinal": int,
            "visit": int,
            "sample": int,
            "colony": str,
            "field": str,
            "kind": str,
            "need": str,
            "text": str,
            "options": str,
            "evidence": str,
            "status": str,
        },
        pk="id",
        foreign_keys=[("note", "notes", "number")],
        not_null={
            "note", "ordinal", "field", "kind", "need", "text", "options", "evidence", "status"
        },
        strict=True,
    )  # fmt: skip
    for statement in (
        "CREATE UNIQUE INDEX notes_id ON notes(id)",
        "CREATE INDEX notes_written ON notes(written, number)",
        "CREATE INDEX readings_note ON readings(note)",
        "CREATE UNIQUE INDEX readings_current ON readings(note) WHERE current = 1",
        "CREATE UNIQUE INDEX visits_note ON visits(note, ordinal)",
        "CREATE INDEX visits_colony ON visits(colony_key, day)",
        "CREATE UNIQUE INDEX samples_visit ON samples(visit, ordinal)",
        "CREATE UNIQUE INDEX questions_note ON questions(note, ordinal)",
        "CREATE INDEX questions_open ON questions(note) WHERE status = 'open'",
    ):
        db.execute(statement)


def version_2(db: Database) -> None:
    """What proves a colony's supers moves from the supers to the visit."""
    rows = db.execute("SELECT id, json FROM readings WHERE json LIKE '%\"supers\"%'").fetchall()
    for number, told in rows:
        reading = json.loads(told)
        for visit in reading.get("visits", ()):
            proofs = visit.get("supers", {}).pop("evidence", {})
            visit.setdefault("evidence", {}).update(
                {f"supers.{name}": proof for name, proof in proofs.items()}
            )
        moved = json.dumps(reading, ensure_ascii=False, separators=(",", ":"))
        db.execute("UPDATE readings SET json = ? WHERE id = ?", (moved, number))


STEPS: Final[tuple[Step, ...]] = (version_1, version_2)


def migrate(connection: sqlite3.Connection, path: Path, *, steps: Sequence[Step] = STEPS) -> None:
    """Bring the database to the last of ``steps``, each in a transaction of its own.

    Does nothing, and takes no lock, if it is there already. Two programs may call this at once.
    """
    for number in range(check_version(connection, path, newest=len(steps)) + 1, len(steps) + 1):
        _take(connection, number, steps[number - 1])


def _take(connection: sqlite3.Connection, number: int, step: Step) -> None:
    import sqlite_utils  # here, since it is slow to import and seldom needed

    db = sqlite_utils.Database(connection, execute_plugins=False)
    with transaction(connection, write=True):
        # Another program may have taken the step while this one waited for the lock.
        if _pragma(connection, "user_version") >= number:
            return
        if number == 1:
            db.create_table(
                "migrations",
                {"version": int, "step": str, "program": str, "ran_at": str},
                pk="version",
                not_null={"step", "program", "ran_at"},
                strict=True,
            )
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        step(db)
        connection.execute(
            "INSERT INTO migrations (version, step, program, ran_at) VALUES (?, ?, ?, ?)",
            (number, step.__name__, __version__, utc_now()),
        )
        connection.execute(f"PRAGMA user_version = {number}")


def check_version(connection: sqlite3.Connection, path: Path, *, newest: int = len(STEPS)) -> int:
    """Return the version of the database, 0 for an empty one.

    Raises :class:`StoreError` for a database that another program or a newer version made.
    """
    # In one transaction, or another program's first step could fall between the three answers.
    with transaction(connection, write=False):
        owner = _pragma(connection, "application_id")
        version = _pragma(connection, "user_version")
        tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    if owner != APPLICATION_ID and (owner or version or tables):
        raise StoreError(f"{path} is the database of another program; name another file")
    if version > newest:
        raise StoreError(
            f"{path} was written by a newer fieldnotes (database version {version}, this program "
            f"knows up to {newest}); update fieldnotes"
        )
    return int(version)


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    return int(connection.execute(f"PRAGMA {name}").fetchone()[0])


def utc_now() -> str:
    """Return the time now in UTC, to the second, such as 2026-07-14T09:30:00+00:00."""
    return dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
