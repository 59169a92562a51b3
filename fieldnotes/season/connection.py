"""Opens the database file, and turns every way in which SQLite fails into one clear line."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from ..errors import StoreError

OLDEST_SQLITE: Final = (3, 37, 0)
"""The first SQLite with strict tables (its release notes of 2021-11-27)."""

_CAUSES: Final = (
    # The first prefix of SQLite's name for the error that fits, what is wrong, what to do.
    ("SQLITE_BUSY", "is in use by another program", "wait a moment and try again"),
    ("SQLITE_LOCKED", "is in use by another program", "wait a moment and try again"),
    ("SQLITE_NOTADB", "is not an SQLite database", "name another file"),
    (
        "SQLITE_READONLY",
        "cannot be written",
        "allow writing to the file and its folder, or name another file",
    ),
    ("SQLITE_PERM", "cannot be opened", "check the rights on the file and its folder"),
    ("SQLITE_CANTOPEN", "cannot be opened", "check the path and the rights on its folder"),
    ("SQLITE_CORRUPT", "is damaged", "keep it aside and put a backup in its place"),
    ("SQLITE_FULL", "cannot grow, since the disk is full", "make room and try again"),
    ("SQLITE_IOERR", "cannot be read or written, the disk fails", "check the disk"),
    ("SQLITE_TOOBIG", "cannot take a text of that length", "split the note"),
)


@contextmanager
def told_plainly(path: Path) -> Iterator[None]:
    """Raise what SQLite raises inside the block as :class:`StoreError` about ``path``.

    Misuse of the connection (``ProgrammingError``) is a fault of the program and passes through.
    """
    try:
        yield
    except sqlite3.ProgrammingError:
        raise
    except sqlite3.Error as error:
        name = getattr(error, "sqlite_errorname", "")
        for prefix, wrong, remedy in _CAUSES:
            if name.startswith(prefix):
                raise StoreError(f"{path} {wrong}; {remedy}") from error
        raise StoreError(f"{path} cannot be used: {error}; check that it is undamaged") from error
    except UnicodeEncodeError as error:
        raise StoreError(
            f"{path} cannot be asked for a broken character (number {error.start + 1} of the "
            "words); type it again"
        ) from error


def connect(path: Path, *, create: bool, timeout_s: float) -> sqlite3.Connection:
    """Return an open connection to the file ``path``, without touching what the file holds.

    ``create`` allows a new file and the folders above it. ``timeout_s`` is how long, in seconds,
    a locked database is waited for. The caller begins and ends transactions itself. Raises
    :class:`StoreError` if the path is no file that can be used.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise StoreError(
            f"SQLite {sqlite3.sqlite_version} is too old; use a Python with SQLite 3.37 or newer"
        )
    try:
        _refuse_no_file(path, create=create)
        uri = f"{path.absolute().as_uri()}?mode={'rwc' if create else 'rw'}"
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise StoreError(f"{path} cannot be opened ({reason}); check the path") from error
    with told_plainly(path):
        connection = sqlite3.connect(uri, uri=True, timeout=timeout_s, isolation_level=None)
        try:
            connection.row_factory = sqlite3.Row
            connection.execute("PRAGMA foreign_keys = ON")
        except BaseException:
            connection.close()
            raise
    return connection


def _refuse_no_file(path: Path, *, create: bool) -> None:
    if "\0" in str(path):
        # SQLite would take the name to end there, and make another file.
        raise ValueError("a file name cannot hold a null character")
    if path.is_dir():
        raise StoreError(f"{path} is a folder; name a file in it, such as {path / 'season.db'}")
    if path.exists():
        if not path.is_file():
            raise StoreError(f"{path} is no ordinary file; name another file")
        # SQLite takes a file of one byte for an empty one, and would write over it. An S may be
        # its own: on some file systems it makes a new file with this letter.
        if path.stat().st_size == 1 and path.read_bytes() != b"S":
            raise StoreError(f"{path} is not an SQLite database; name another file")
        # SQLite would open it for reading and complain only at the first write.
        if not os.access(path, os.W_OK):
            raise StoreError(f"{path} cannot be written; allow writing to it, or name another file")
    elif create:
        path.parent.mkdir(parents=True, exist_ok=True)
    else:
        raise StoreError(f"{path} does not exist: no note was saved there yet; check the path")


def use_write_ahead_log(connection: sqlite3.Connection, *, timeout_s: float) -> None:
    """Let readers and one writer work side by side, and make a commit outlive a power cut.

    Where the file system has no shared memory SQLite keeps its older journal, which is as safe.
    """
    if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        # SQLite does not wait for its busy timeout here, since two programs that both switch
        # could wait for each other; so the waiting is done here.
        _patiently(lambda: connection.execute("PRAGMA journal_mode = WAL").fetchone(), timeout_s)
    connection.execute("PRAGMA synchronous = FULL")


def _patiently(action: Callable[[], object], timeout_s: float) -> None:
    give_up = time.monotonic() + timeout_s
    while True:
        try:
            action()
            return
        except sqlite3.OperationalError as error:
            busy = getattr(error, "sqlite_errorname", "").startswith("SQLITE_BUSY")
            if not busy or time.monotonic() >= give_up:
                raise
        time.sleep(0.01)


@contextmanager
def transaction(connection: sqlite3.Connection, *, write: bool) -> Iterator[None]:
    """Run the block in one transaction: all of it is kept, or after any error none of it.

    A writer locks at the start: one that began by reading could find its view out of date just
    when it wants to write, and would fail without waiting for its turn.
    """
    connection.execute("BEGIN IMMEDIATE" if write else "BEGIN")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        # A full disk makes SQLite roll back by itself; a second time would be an error.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
