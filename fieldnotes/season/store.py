"""The season store: notes and what was read in them, saved whole or not at all."""

from __future__ import annotations

import datetime as dt
import re
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Final, Literal

from .. import __version__
from ..errors import StoreError
from .connection import connect, told_plainly, transaction, use_write_ahead_log
from .migrations import check_version, migrate, utc_now
from .place import default_path
from .rows import (
    Row,
    name_key,
    note_row,
    question_rows,
    reading_json,
    same_json,
    sample_row,
    visit_row,
)

if TYPE_CHECKING:
    from ..records import Note, Reading

Saved = Literal["new", "known"]

START_LENGTH: Final = 200
"""Characters of a note that its summary shows at most."""

_NO_LIMIT: Final = 2**63 - 1


@dataclass(frozen=True, kw_only=True)
class NoteSummary:
    """What a list of notes shows of one.

    ``yard`` and ``colony`` are those given for the whole note, ``colonies`` those that its visits
    name, in order and each once. ``saved_at`` is in UTC. ``start`` is the beginning of the text.
    """

    id: str
    written: dt.date
    saved_at: dt.datetime
    origin: str | None
    yard: str | None
    colony: str | None
    colonies: tuple[str, ...]
    visits: int
    samples: int
    open_questions: int
    start: str


class Store:
    """One season's notes in one SQLite file; use it in a ``with`` block.

    Every method raises :class:`StoreError`, a single clear line, if the file cannot be read or
    written. Several programs may use the same file at once; one store belongs to one thread.
    """

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        self._connection = connection
        self.path = path

    @classmethod
    def open(
        cls, path: Path | str | None = None, *, create: bool = True, timeout_s: float = 10.0
    ) -> Store:
        """Open the database, making or updating its tables where needed.

        Without ``path`` it is the one of :func:`~fieldnotes.season.place.default_path`. An empty
        file counts as a new database. With ``create=False`` a missing file is an error.
        ``timeout_s`` is how long, in seconds, to wait for another program that is writing.
        """
        where = default_path(path)
        connection = connect(where, create=create, timeout_s=timeout_s)
        try:
            with told_plainly(where):
                # Before anything is written: the file may be another program's.
                check_version(connection, where)
                use_write_ahead_log(connection, timeout_s=timeout_s)
                migrate(connection, where)
        except BaseException:
            connection.close()
            raise
        return cls(connection, where)

    def close(self) -> None:
        """Close the file; the store can't be used after that. Closing twice does no harm."""
        self._connection.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()

    def save(self, note: Note, reading: Reading, *, grammar_hash: str) -> Saved:
        """Save a note with its reading; return whether the note is ``new`` or was ``known``.

        When this returns, both are on the disk, whatever happens to the program then. A known note
        stays as it was first saved, origin and all. A reading equal to its current one changes
        nothing; another becomes the current one, and the older ones are kept. ``grammar_hash``
        names the grammar that the reading was made with. Raises ValueError if the reading is that
        of another note.
        """
        return self.save_many([(note, reading)], grammar_hash=grammar_hash)[0]

    def save_many(self, pairs: Iterable[tuple[Note, Reading]], *, grammar_hash: str) -> list[Saved]:
        """Save notes with their readings in one transaction: all of them, or after an error none.

        Returns for each what :meth:`save` would. Much faster than saving one by one; the file is
        locked for other writers meanwhile, so hand over some hundreds at a time.
        """
        # Reading may be slow and may fail, and JSON too: all of that before the lock is taken.
        whole = [(note, reading, _checked_json(note, reading)) for note, reading in pairs]
        with told_plainly(self.path), transaction(self._connection, write=True):
            return [self._save(note, reading, text, grammar_hash) for note, reading, text in whole]

    def _save(self, note: Note, reading: Reading, text: str, grammar_hash: str) -> Saved:
        now = utc_now()
        new = note_row(note, saved_at=now)
        kept = self._kept(note.id)
        if kept is None:
            number = self._insert("notes", new)
        else:
            number = kept["number"]
            # Ids are short: two notes in billions may share one, and must not be taken for one.
            if any(kept[field] != new[field] for field in ("text", "written", "yard", "colony")):
                raise StoreError(
                    f"note {note.id} is already another note of the same short id; "
                    "change a word of the new one and save it again"
                )
        if kept is None or kept["json"] is None or not same_json(kept["json"], text):
            row: Row = {
                "note": number,
                "program": __version__,
                "grammar": grammar_hash,
                "json": text,
                "read_at": now,
                "current": 1,
            }
            self._replace_reading(note, reading, row)
        return "new" if kept is None else "known"

    def _replace_reading(self, note: Note, reading: Reading, row: Row) -> None:
        run, number = self._connection.execute, int(row["note"] or 0)
        before: list[Row] = [
            dict(question)
            for question in run(
                "SELECT * FROM questions WHERE note = ? ORDER BY ordinal", (number,)
            )
        ]
        for statement in (
            "UPDATE readings SET current = 0 WHERE note = ? AND current = 1",
            "DELETE FROM samples WHERE visit IN (SELECT id FROM visits WHERE note = ?)",
            "DELETE FROM visits WHERE note = ?",
            "DELETE FROM questions WHERE note = ?",
        ):
            run(statement, (number,))
        self._insert("readings", row)
        for v, visit in enumerate(reading.visits):
            visit_id = self._insert("visits", visit_row(number, note, v, visit))
            for s, sample in enumerate(visit.samples):
                self._insert("samples", sample_row(visit_id, s, sample))
        for question in question_rows(number, reading, before):
            self._insert("questions", question)

    def _insert(self, table: str, row: Row) -> int:
        columns = ", ".join(row)
        marks = ", ".join(f":{column}" for column in row)
        cursor = self._connection.execute(f"INSERT INTO {table} ({columns}) VALUES ({marks})", row)
        return cursor.lastrowid or 0

    def notes(
        self,
        *,
        limit: int | None = None,
        since: dt.date | None = None,
        colony: str | None = None,
        yard: str | None = None,
    ) -> list[NoteSummary]:
        """Return summaries of the saved notes, the newest first; at most ``limit`` of them.

        ``since`` keeps notes written on that day or later. ``colony`` and ``yard`` keep notes with
        a visit to that colony in that yard, by what the visit says, else by what was given for the
        whole note; letter case doesn't count. Raises ValueError for a negative limit.
        """
        if limit is not None and limit < 0:
            raise ValueError("limit must not be negative")
        tests: list[str] = []
        values: dict[str, str | int] = {"start": START_LENGTH}
        if since is not None:
            tests.append("n.written >= :since")
            values["since"] = since.isoformat()
        named = {
            f"{what}_key": name_key(name) or ""
            for what, name in (("colony", colony), ("yard", yard))
            if name is not None
        }
        if named:
            visit = " AND ".join(f"{column} = :{column}" for column in named)
            note = " AND ".join(f"n.{column} = :{column}" for column in named)
            tests.append(
                f"(n.number IN (SELECT note FROM visits WHERE {visit}) OR ({note}"
                " AND NOT EXISTS (SELECT 1 FROM visits v WHERE v.note = n.number)))"
            )
            values |= named
        values["limit"] = _NO_LIMIT if limit is None else min(limit, _NO_LIMIT)
        with told_plainly(self.path), transaction(self._connection, write=False):
            rows = self._connection.execute(
                _SUMMARIES.format(where=" AND ".join(tests) or "1"), values
            ).fetchall()
            return [self._summary(row) for row in rows]

    def _summary(self, row: sqlite3.Row) -> NoteSummary:
        named = self._connection.execute(
            "SELECT colony FROM visits WHERE note = ? AND colony IS NOT NULL ORDER BY ordinal",
            (row["number"],),
        )
        return NoteSummary(
            id=row["id"],
            written=dt.date.fromisoformat(row["written"]),
            saved_at=dt.datetime.fromisoformat(row["saved_at"]),
            origin=row["origin"],
            yard=row["yard"],
            colony=row["colony"],
            colonies=tuple(dict.fromkeys(colony for (colony,) in named)),
            visits=row["visits"],
            samples=row["samples"],
            open_questions=row["open_questions"],
            start=row["start"],
        )

    def note(self, prefix: str) -> tuple[Note, Reading]:
        """Return the note whose id begins with ``prefix``, and its current reading.

        Both are equal to what was saved. Raises :class:`StoreError` if no note or more than one
        fits, or if a newer program wrote a reading that this one does not understand.
        """
        from ..records import Note, Reading  # here, since a list of notes needs no records

        with told_plainly(self.path), transaction(self._connection, write=False):
            row = self._kept(self._whole_id(prefix))
        if row is None or row["json"] is None:
            raise StoreError(f"{self.path} has lost the reading of note {prefix}; read it in again")
        note = Note(**{field: row[field] for field in Note.model_fields})
        try:
            return note, Reading.model_validate_json(row["json"])
        except ValueError:
            raise StoreError(
                f"the reading of note {note.id} was made by fieldnotes {row['program']}, which "
                f"this version {__version__} cannot understand; read the note in again"
            ) from None

    def _whole_id(self, prefix: str) -> str:
        start = prefix.strip().lower()
        found: list[str] = []
        if re.fullmatch(r"[0-9a-f]{1,16}", start):
            rows = self._connection.execute(
                "SELECT id FROM notes WHERE id >= ? AND id < ? ORDER BY id LIMIT 4",
                (start, start + "g"),
            )
            found = [note_id for (note_id,) in rows]
        if not found:
            raise StoreError(f"no saved note has an id that begins with {prefix!r}; list the notes")
        if len(found) > 1:
            shown = ", ".join(found[:3]) + (", ..." if len(found) > 3 else "")
            raise StoreError(
                f"several notes have ids that begin with {prefix!r}: {shown}; give more of it"
            )
        return found[0]

    def _kept(self, note_id: str) -> sqlite3.Row | None:
        """Return the row of a note with the ``json`` and ``program`` of its current reading."""
        row: sqlite3.Row | None = self._connection.execute(
            "SELECT n.*, r.json, r.program FROM notes n"
            " LEFT JOIN readings r ON r.note = n.number AND r.current = 1 WHERE n.id = ?",
            (note_id,),
        ).fetchone()
        return row


_SUMMARIES: Final = """
SELECT n.*,
    (SELECT count(*) FROM visits v WHERE v.note = n.number) AS visits,
    (SELECT count(*) FROM visits v JOIN samples s ON s.visit = v.id WHERE v.note = n.number)
        AS samples,
    (SELECT count(*) FROM questions q WHERE q.note = n.number AND q.status = 'open')
        AS open_questions
FROM (
    SELECT n.number, n.id, n.written, n.saved_at, n.origin, n.yard, n.colony,
        substr(n.text, 1, :start) AS start
    FROM notes n WHERE {where} ORDER BY n.written DESC, n.number DESC LIMIT :limit
) n
ORDER BY n.written DESC, n.number DESC
"""
# The inner query comes first so that only what is shown is counted, not the whole season.


def _checked_json(note: Note, reading: Reading) -> str:
    if (reading.id, reading.written) != (note.id, note.written):
        raise ValueError(f"the reading of note {reading.id} was given for note {note.id}")
    for field in ("text", "origin", "yard", "colony"):
        try:
            (getattr(note, field) or "").encode()
        except UnicodeEncodeError as error:
            raise StoreError(
                f"note {note.id} was not saved, since its {field} holds a broken character (number "
                f"{error.start + 1}); give it as UTF-8 and try again"
            ) from error
    try:
        return reading_json(reading)
    except ValueError as error:
        raise StoreError(
            f"note {note.id} was not saved, since its reading cannot be kept ({error}); "
            "please report this with the note"
        ) from error
