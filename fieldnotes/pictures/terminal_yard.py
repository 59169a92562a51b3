"""The colonies of a yard on one scale, as lines of text."""

from __future__ import annotations

from ..estimate.basis import Figure
from ..estimate.counts import plain
from .axis import tick_words, ticks, top_of_yard
from .grid import Grid, wrapped
from .notes import level_note, not_sampled_note, plain_short, range_note
from .shown import cells, cut, shown
from .signs import Signs
from .yard_dots import YardDots

_TOGETHER = "all together"
_OUT = "stands out"
_TICK_ROOM = 8
_WIDE = 60
"""Columns from which the words "stands out" have room in the row itself."""


def yard_lines(yard: YardDots, width: int, signs: Signs) -> list[str]:
    """All lines of the picture, none wider than ``width``."""
    rows = [(shown(dot.colony), dot.figure, dot.stands_out) for dot in yard.ranked]
    if yard.mean is not None:
        rows.append((_TOGETHER, yard.mean, False))
    left = min(max(cells(name) for name, _, _ in rows), max(8, width // 3))
    values = [_value(figure, out, width) for _, figure, out in rows]
    room = width - left - max(map(len, values)) - 2
    scale = _Scale(top_of_yard(yard), max(room, 6), signs)
    drawn = scale.rows([figure for _, figure, _ in rows], yard)
    if yard.mean is not None:
        drawn[-1] = drawn[-1].replace(signs.points[0], signs.mean)
    title = signs.name(cut(shown(yard.title), width, signs.cut))
    found = [title, *wrapped(yard.unit, width)]
    found += [" " * (left + 1) + line for line in scale.head(yard)]
    for (name, _, _), line, value in zip(rows, drawn, values, strict=True):
        short = cut(name, left, signs.cut)
        found.append(f"{signs.name(short)}{' ' * (left - cells(short))} {line} {value}")
    starred = width < _WIDE and any(dot.stands_out for dot in yard.dots)
    notes = [
        f"* {_OUT}: more mites than the others explain." if starred else "",
        not_sampled_note(yard),
        level_note(yard.levels),
        range_note("lines across"),
    ]
    return found + [line for note in notes for line in wrapped(note, width)]


def _value(figure: Figure, out: bool, width: int) -> str:
    value = plain(figure.value or 0)
    if not out:
        return value
    return f"{value} {_OUT}" if width >= _WIDE else f"{value} *"


class _Scale:
    """A level scale from zero to ``top`` over a number of columns."""

    def __init__(self, top: float, columns: int, signs: Signs) -> None:
        self.top, self.columns, self.signs = top, columns, signs

    def _column(self, value: float) -> int:
        return round(min(value, self.top) / self.top * (self.columns - 1))

    def head(self, yard: YardDots) -> list[str]:
        """The words of levels and of round numbers above the rows."""
        values = ticks(self.top, max(2, self.columns // _TICK_ROOM))
        numbers = [
            (self._column(value), words)
            for value, words in zip(values, tick_words(values), strict=True)
        ]
        levels = sorted(yard.levels, key=lambda level: level.figure.value or 0)
        named = [
            (self._column(level.figure.value or 0), f"{level.kind} {plain_short(value)}")
            for level in levels
            if (value := level.figure.value)
        ]
        return [*self._stacked(named), *self._stacked(numbers)[:1]]

    def _stacked(self, words: list[tuple[int, str]]) -> list[str]:
        """Words centred on their columns, in as many rows as keep them apart."""
        rows: list[list[str]] = []
        for column, said in words:
            said = cut(said, self.columns, self.signs.cut)
            start = max(0, min(column - len(said) // 2, self.columns - len(said)))
            place = slice(start, start + len(said))
            around = slice(max(0, start - 1), start + len(said) + 1)
            row = next((r for r in rows if not "".join(r[around]).strip()), None)
            if row is None:
                row = [" "] * self.columns
                rows.append(row)
            row[place] = said
        return ["".join(row) for row in rows]

    def rows(self, figures: list[Figure], yard: YardDots) -> list[str]:
        """One row for each figure: its range, its dot, and the levels running through."""
        grid = Grid(len(figures), self.columns)
        for level in sorted(yard.levels, key=lambda level: level.kind, reverse=True):
            sign = self.signs.act_up if level.kind == "act" else self.signs.watch_up
            for row in range(len(figures)):
                grid.put(row, self._column(level.figure.value or 0), sign)
        for row, figure in enumerate(figures):
            self._draw(grid, row, figure)
        return [grid.row(row) for row in range(len(figures))]

    def _draw(self, grid: Grid, row: int, figure: Figure) -> None:
        value = figure.value or 0.0
        low = value if figure.low is None else figure.low
        high = value if figure.high is None else figure.high
        start, end = self._column(low), self._column(high)
        for column in range(start, end + 1):
            grid.put(row, column, self.signs.across)
        grid.put(row, start, self.signs.across_left)
        beyond = high > self.top
        grid.put(row, end, self.signs.beyond_right if beyond else self.signs.across_right)
        grid.put(row, self._column(value), self.signs.points[0])
