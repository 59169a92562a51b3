"""Published values for the tests, by id, from the files of ``values/``."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any


@cache
def values() -> dict[str, dict[str, Any]]:
    """All rows by id."""
    by_id: dict[str, dict[str, Any]] = {}
    for path in sorted((Path(__file__).parent / "values").glob("*.toml")):
        for row in tomllib.loads(path.read_text(encoding="utf-8"))["value"]:
            row.pop("read_at", None)
            known = by_id.setdefault(row["id"], row)
            assert known == row, f"{row['id']} stands twice and differently, again in {path.name}"
    return by_id


def value(row: str, status: str = "read") -> dict[str, Any]:
    """One row, which must have the ``status`` that the test relies on."""
    found = values()[row]
    assert found["status"] == status, f"{row} has status {found['status']!r}"
    return found
