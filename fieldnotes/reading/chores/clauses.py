"""Stage 10c: the clause around an item, and whether its day lies ahead."""

from __future__ import annotations

import datetime as dt

from ..dates import resolve
from ..items import Item, Row
from ..standing import standing_of

LONGEST = 60
"""Items to either side that a clause may have; speech without full stops is one endless clause."""


class Clauses:
    """The clauses of one note. ``cells`` are the items that begin a cell of a table."""

    def __init__(
        self,
        row: Row,
        marks: list[set[str]],
        written: dt.date,
        day_first: bool | None,
        cells: set[int],
    ) -> None:
        self.row = row
        self.marks = marks
        self.written = written
        self.day_first = day_first
        self.cells = cells

    def standing(self, item: Item) -> set[str]:
        """All standings of the tokens of an item."""
        return standing_of(self.marks, item.i, item.j)

    def around(self, k: int, *, commas: bool = False) -> tuple[int, int]:
        """Items from the last border to the next one around ``k``."""
        items = self.row.items
        a = k
        while (
            a > max(0, k - LONGEST)
            and a not in self.cells
            and items[a - 1].kind != "border"
            and not (commas and items[a - 1].word == ",")
        ):
            a -= 1
        b = k + 1
        while (
            b < min(len(items), k + LONGEST)
            and b not in self.cells
            and items[b].kind != "border"
            and not (commas and items[b].word == ",")
        ):
            b += 1
        return a, b

    def ahead(self, item: Item) -> bool:
        """Whether the item is a day that lies ahead."""
        day = item.day
        if day is None:
            return False
        if day.kind == "offset":
            return day.days > 0
        if day.kind == "weekday":
            return day.which in ("week-on", "fortnight-on", "next", "next-week", "this") or bool(
                self.standing(item) & {"planned"}
            )
        if day.kind in ("date", "numeric"):
            found = resolve(day, self.written, ahead=False, day_first=self.day_first)
            if day.kind == "date" and not day.year:
                try:
                    plain = dt.date(self.written.year, day.month or 1, day.day or 1)
                except ValueError:
                    return False
                return 0 < (plain - self.written).days < 120
            return found is not None and found > self.written
        return bool(self.standing(item) & {"planned"})
