"""Keeps what took long to compile in a folder of the user's, named by what it was made from."""

from __future__ import annotations

import hashlib
import os
import pickle
import sys
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

Made = TypeVar("Made")


def kept(folder: Path, made_from: str, kind: type[Made], make: Callable[[], Made]) -> Made:
    """Return the kept object made from the same sources by the same program, else make it anew.

    A file that is missing, cut off or unreadable only costs the time to make it again, and a folder
    that cannot be written keeps nothing. What stands in the folder is trusted as the program
    itself, so nothing is taken from one that others may write to.
    """
    path = folder / f"{kind.__name__.lower()}-{_program(made_from)}.pickle"
    with suppress(Exception):  # whatever is wrong with a kept file, it can be made again
        if _ours(folder) and _ours(path):
            found = pickle.loads(path.read_bytes())
            if isinstance(found, kind):
                return found
    made = make()
    with suppress(OSError):
        _write(path, pickle.dumps(made, pickle.HIGHEST_PROTOCOL))
    return made


def _ours(path: Path) -> bool:
    """Whether the user alone may write here; always so where the system knows no owners."""
    if not hasattr(os, "getuid"):
        return True
    state = path.stat()
    return state.st_uid == os.getuid() and not state.st_mode & 0o022


def _program(made_from: str) -> str:
    """A name for the sources together with all that decides how they are compiled."""
    import pydantic_core

    digest = hashlib.sha256(f"{made_from} {sys.version} {pydantic_core.__version__}".encode())
    package = Path(__file__).parent
    for source in [*sorted(package.glob("*.py")), package.parent / "records.py"]:
        digest.update(source.read_bytes())
    return digest.hexdigest()[:24]


def _write(path: Path, content: bytes) -> None:
    """Write whole or not at all, and drop what older sources left behind."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as file:
        try:
            file.write(content)
            file.close()
            os.replace(file.name, path)
        except OSError:
            Path(file.name).unlink(missing_ok=True)
            raise
    for old in path.parent.glob(f"{path.name.split('-')[0]}-*.pickle"):
        if old != path:
            old.unlink(missing_ok=True)
