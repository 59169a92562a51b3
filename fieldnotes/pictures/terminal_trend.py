"""A colony over time as lines of text."""

from __future__ import annotations

import datetime as dt

from ..estimate.basis import Figure
from ..estimate.counts import plain
from .axis import day_ticks, tick_words, ticks, top_of_trend
from .grid import Grid, beside, spread_out, wrapped
from .notes import level_note, line_note, plain_short, range_note, treated_words
from .shown import cut, day_short, padded, shown
from .signs import Signs
from .trend import Point, Treated, Trend

_ROWS = 14
_TICKS = 5
_LEAST = 8
"""Columns that the plot itself keeps."""
_TICK_ROOM = 11
"""Columns that a tick of the days takes with its words."""


class TrendText:
    """Lays one trend out on a grid of ``width`` columns, axis and words included."""

    def __init__(self, trend: Trend, width: int, signs: Signs) -> None:
        self.trend, self.width, self.signs = trend, width, signs
        self.top = top_of_trend(trend)
        values = ticks(self.top, _TICKS)
        self._ticks = dict(zip(map(self._row, values), tick_words(values), strict=True))
        self.left = max(map(len, self._ticks.values())) + 2
        self._labels = self._level_labels(width - self.left - _LEAST - 1)
        right = max(map(len, self._labels.values()), default=0)
        self.columns = width - self.left - (right + 1 if right else 0)
        self.grid = Grid(_ROWS, self.columns)

    def lines(self) -> list[str]:
        """All lines of the picture."""
        self._draw_line()
        self._draw_levels()
        self._draw_points()
        return [
            *self._head(),
            *self._plot(),
            *self._days(),
            *(line for treated in self.trend.treated_in_order for line in self._treated(treated)),
            *self._marks(),
            *self._foot(),
        ]

    def _row(self, value: float) -> int:
        """The row of a figure: its nearest, the lowest for zero."""
        return _ROWS - 1 - round(value / self.top * (_ROWS - 1))

    def _column(self, day: dt.date) -> int:
        whole = (self.trend.last - self.trend.first).days
        if whole == 0:
            return self.columns // 2
        return round((day - self.trend.first).days / whole * (self.columns - 1))

    def _head(self) -> list[str]:
        methods = self._methods()
        how = f", {methods[0]}" if len(methods) == 1 else ""
        title = cut(shown(self.trend.title), self.width, self.signs.cut)
        return [self.signs.name(title), *wrapped(self.trend.unit + how, self.width)]

    def _methods(self) -> list[str]:
        return list(dict.fromkeys(shown(p.method) for p in self.trend.points if p.method))

    def _level_labels(self, room: int) -> dict[int, str]:
        """The words of levels by row; one below the other where both fall on one row.

        Without ``room`` for the number it stands below the picture only.
        """
        found: dict[int, str] = {}
        ordered = sorted(self.trend.levels, key=lambda level: -(level.figure.value or 0))
        for level in ordered:
            row = self._row(level.figure.value or 0)
            row = row + 1 if row in found else row
            words = f"{level.kind} {plain_short(level.figure.value or 0)}"
            found[row] = words if len(words) <= room else level.kind
        return found

    def _draw_levels(self) -> None:
        for level in sorted(self.trend.levels, key=lambda level: level.kind, reverse=True):
            sign = self.signs.act if level.kind == "act" else self.signs.watch
            for column in range(self.columns):
                self.grid.put(self._row(level.figure.value or 0), column, sign)

    def _draw_line(self) -> None:
        line = self.trend.line
        if not line:
            return
        for column in range(self._column(line[0].day), self._column(line[-1].day) + 1):
            figure = self._line_at(column)
            for row in range(self._row(figure.high or 0), self._row(figure.low or 0) + 1):
                self.grid.put(row, column, self.signs.band)
            self.grid.put(self._row(figure.value or 0), column, self.signs.middle)

    def _line_at(self, column: int) -> Figure:
        """The day of the line that lies nearest to a column; its days are dense enough."""
        return min(self.trend.line, key=lambda each: abs(self._column(each.day) - column)).figure

    def _draw_points(self) -> None:
        points = self.trend.points
        wanted = [self._column(point.day) for point in points]
        columns = spread_out(wanted, 0, self.columns - 1)
        methods = self._methods()
        for point, column in zip(points, columns, strict=True):
            self._draw_bar(point.figure, column)
        for point, column in zip(points, columns, strict=True):
            which = methods.index(shown(point.method)) if point.method else 0
            sign = self.signs.points[which % len(self.signs.points)]
            self.grid.put(self._row(point.figure.value or 0), column, sign, take=True)
        self._write_values(list(zip(points, columns, strict=True)))

    def _draw_bar(self, figure: Figure, column: int) -> None:
        value = figure.value or 0.0
        high = value if figure.high is None else figure.high
        low = value if figure.low is None else figure.low
        top, foot, middle = self._row(min(high, self.top)), self._row(low), self._row(value)
        for row in range(top, foot + 1):
            self.grid.put(row, column, self.signs.bar, take=True)
        if high > self.top:
            self.grid.put(0, column, self.signs.beyond, take=True)
        elif top < middle:
            self.grid.put(top, column, self.signs.bar_top, take=True)
        if foot > middle:
            self.grid.put(foot, column, self.signs.bar_foot, take=True)

    def _write_values(self, placed: list[tuple[Point, int]]) -> None:
        """Write figures beside points, the last and the highest first, while there is room."""
        last = placed[-1]
        highest = max(placed, key=lambda each: each[0].figure.value or 0)
        for point, column in dict.fromkeys([last, highest, *placed]):
            row = self._row(point.figure.value or 0)
            value = plain(point.figure.value or 0)
            label = shown(point.label)
            for words in ([f"{value} {label}"] if label else []) + [value]:
                places = ((row, column + 2), (row, column - 1 - len(words)))
                if any(self.grid.write(*place, words) for place in places):
                    break

    def _plot(self) -> list[str]:
        found = []
        for row in range(_ROWS):
            tick = self._ticks.get(row)
            axis = self.signs.axis if tick is None else self.signs.axis_tick
            label = self._labels.get(row, "")
            words = padded(tick or "", self.left - 2, right=True)
            found.append(f"{words} {axis}{self.grid.row(row)} {label}")
        return found

    def _days(self) -> list[str]:
        found = day_ticks(self.trend.first, self.trend.last, max(2, self.columns // _TICK_ROOM))
        floor = [self.signs.floor] * self.columns
        words = [" "] * self.width
        free = 0
        for day, said in found:
            column = self._column(day)
            start = self.left + column - len(said) // 2
            start = max(0, min(start, self.width - len(said)))
            if start < free:
                continue
            floor[column] = self.signs.floor_tick
            words[start : start + len(said)] = said
            free = start + len(said) + 1
        corner = " " * (self.left - 1) + self.signs.corner
        return [corner + "".join(floor), "".join(words)]

    def _treated(self, treated: Treated) -> list[str]:
        """A row with the days of a treatment hatched, its words beside or below."""
        first, last = treated.first, treated.last
        start = 0 if first is None else self._column(first)
        end = self.columns - 1 if last is None else self._column(last)
        hatch = [self.signs.hatch] * (end - start + 1)
        if first is None:
            hatch[0] = self.signs.open_left
        if last is None:
            hatch[-1] = self.signs.open_right
        return beside(
            self.left, self.width, start, "".join(hatch), treated_words(treated), self.signs.cut
        )

    def _marks(self) -> list[str]:
        found: list[str] = []
        for mark in sorted(self.trend.marks, key=lambda mark: mark.day):
            words = f"{shown(mark.words)} {day_short(mark.day)}"
            found += beside(
                self.left,
                self.width,
                self._column(mark.day),
                self.signs.mark,
                words,
                self.signs.cut,
            )
        return found

    def _foot(self) -> list[str]:
        methods = self._methods()
        points = self.signs.points
        found = []
        if len(methods) > 1:
            told = [f"{points[i % len(points)]} {name}" for i, name in enumerate(methods)]
            found += wrapped("   ".join(told), self.width)
        for note in (
            level_note(self.trend.levels),
            range_note("upright lines"),
            line_note(self.trend),
        ):
            found += wrapped(note, self.width)
        return found
