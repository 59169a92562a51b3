"""Stage 10: the days of a note: which day expressions date a visit, and where a new day begins."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from ..chores import Clauses
from ..dates import Day, numeric_readings, resolve
from ..drafts import Doubt
from ..items import Item, item_span
from ..scenes import Mention
from ..standing import BLOCKING


@dataclass(slots=True)
class NoteDays:
    """The visit days of a note: by item, the item that states the day and the date it means."""

    breaks: dict[int, int] = field(default_factory=dict)
    dates: dict[int, tuple[dt.date | None, Item]] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)


def day_options(day: Day | None, written: dt.date) -> tuple[str, ...]:
    """Both readings of an all-numeric date, as answers to a question."""
    if day is None or day.kind != "numeric":
        return ()
    return tuple(d.isoformat() for d in numeric_readings(day, written).values())


class DayFinder:
    """Finds the days of one note."""

    def __init__(self, clauses: Clauses) -> None:
        self.clauses = clauses
        self.row = row = clauses.row
        self.written = clauses.written
        self.day_first = clauses.day_first
        self.boards = any(i in ("method.board", "board.weak") for x in row.items for i in x.ids)
        self.line_starts: list[int] = []
        start = 0
        for k, item in enumerate(row.items):
            self.line_starts.append(start)
            if item.kind == "border" and item.word[0] == "\n":
                start = k + 1

    def find(self, mentions: list[Mention], skip: set[int]) -> NoteDays:
        """Which day expressions date a visit, and where a new day begins."""
        items, clauses = self.row.items, self.clauses
        days = NoteDays()
        found: list[tuple[int, dt.date | None, Item, bool]] = []
        heads = {m.first for m in mentions}
        for k, item in enumerate(items):
            day = item.day
            if k in skip:
                continue
            if day is None or clauses.standing(item) & BLOCKING:
                continue
            if clauses.ahead(item) or (k and items[k - 1].word == "(" and k > 2):
                continue
            if (
                any(
                    "planned" in clauses.standing(x)
                    for x in items[k + 1 : k + 4]
                    if x.kind != "border"
                )
                and day.kind != "numeric"
                and k > 3
                and not any(x.kind == "border" for x in items[k + 1 : k + 3])
            ):
                continue
            if day.kind == "offset" and (day.days < -6 or day.which.startswith("months")):
                continue
            if not self._dates_visit(k, day, heads) or self._put_in(k):
                continue
            date = resolve(day, self.written, ahead=False, day_first=self.day_first)
            if date is not None and date > self.written:
                continue
            found.append((k, date, item, self._line_head(k)))
        if not found:
            return days
        distinct = {d for _, d, _, _ in found if d is not None}
        heading = [f for f in found if f[3]]
        if len(distinct) > 1 and len(heading) >= 2 and len({d for _, d, _, _ in heading}) > 1:
            for number, (k, date, item, _) in enumerate(heading, start=1):
                days.breaks[self.line_starts[k]] = number
                days.dates[number] = (date, item)
            return days
        # one day for the whole note: a heading wins, else the first
        today = next(
            (
                f
                for f in found
                if f[2].day is not None and f[2].day.kind == "offset" and f[2].day.days == 0
            ),
            None,
        )
        best = (
            (
                today
                if not any(
                    f[3] and f[2].day is not None and f[2].day.kind in ("date", "numeric")
                    for f in found
                )
                else None
            )
            or next((f for f in found if f[3] and f[1] is not None), None)
            or next((f for f in found if f[1] is not None), None)
        )
        if today is None and not heading and len(distinct) > 1:
            # several days and none at the head of a line: nothing says which one is the visit's
            days.doubts.append(
                Doubt(
                    "date",
                    "ambiguous",
                    [item_span(item) for _, _, item, _ in found],
                    tuple(sorted(d.isoformat() for d in distinct)),
                )
            )
            return days
        if best is None:
            k, _, item, _ = found[0]
            days.doubts.append(
                Doubt("date", "ambiguous", [item_span(item)], day_options(item.day, self.written))
            )
            return days
        days.dates[0] = (best[1], best[2])
        return days

    def _put_in(self, k: int) -> bool:
        """Whether the day is when a board went in: not the day of the visit."""
        items = self.row.items
        before = items[max(0, k - 3) : k]
        return (
            self.boards
            and any(x.word in self.row.grammar.samples.boards.put_in for x in before)
            and not any(x.word in self.row.grammar.samples.boards.taken_out for x in before)
        )

    def _line_head(self, k: int) -> bool:
        """Whether the day stands at the head of a line, within its first few items."""
        start = self.line_starts[k]
        items = self.row.items
        return k - start <= 4 and all(
            i.kind in ("name", "mark", "day", "word", "letter", "clock", "code")
            or i.ids & {"stand_place", "yard_noun", "hive"}
            or i.word in self.row.grammar.dates.weekdays
            or i.kind == "n"
            for i in items[start:k]
        )

    def _dates_visit(self, k: int, day: Day, heads: set[int]) -> bool:
        items = self.row.items
        if day.kind in ("date", "numeric"):
            return True
        if day.kind == "offset":
            return day.days > -7
        if self._line_head(k):
            return True
        if day.kind == "day":
            return k <= 12 and day.length >= 2
        if day.kind == "weekday":
            if day.which == "last":
                return False
            before = items[k - 1].word if k else "\n"
            near = items[max(0, k - 6) : k + 5]
            sampling = any(
                any(i.startswith(("method.", "mite", "test", "sample", "seen")) for i in x.ids)
                for x in near
            )
            return before != "until" and (k <= 8 or sampling)
        return False
