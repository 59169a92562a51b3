"""Published values for the tests, by id, from ``values/check-values.toml``."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any


@cache
def values() -> dict[str, dict[str, Any]]:
    """All rows by id."""
    text = (Path(__file__).parent / "values" / "check-values.toml").read_text(encoding="utf-8")
    rows = tomllib.loads(text)["value"]
    by_id = {row["id"]: row for row in rows}
    assert len(by_id) == len(rows), "an id stands twice in check-values.toml"
    return by_id


def value(row: str, status: str = "read") -> dict[str, Any]:
    """One row, which must have the ``status`` that the test relies on."""
    found = values()[row]
    assert found["status"] == status, f"{row} has status {found['status']!r}"
    return found
