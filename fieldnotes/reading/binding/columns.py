"""Stage 9b: the candidates that the columns of a table propose."""

from __future__ import annotations

import datetime as dt

from ..dates import resolve
from ..items import Row
from ..tables import Table


def days_in_rows(tables: list[Table], row: Row, written: dt.date) -> dict[int, float]:
    """Days between the "in" and "out" columns of each row."""
    out: dict[int, float] = {}
    for table in tables:
        by_line: dict[int, dict[str, tuple[int, dt.date]]] = {}
        for cell in table.cells:
            if cell.slot in ("in", "out"):
                for k in range(cell.first, cell.last):
                    day = row.items[k].day
                    found = resolve(day, written, ahead=False, day_first=None) if day else None
                    if found is not None:
                        by_line.setdefault(cell.line, {})[cell.slot] = (k, found)
        for ends in by_line.values():
            if len(ends) == 2 and ends["out"][1] > ends["in"][1]:
                out[ends["out"][0]] = float((ends["out"][1] - ends["in"][1]).days)
    return out
