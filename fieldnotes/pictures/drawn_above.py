"""Treatments and what happened, drawn: hatched or dotted in the plot, their words above it."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from .notes import treated_words
from .packing import placed, rows_of
from .sheet import Sheet
from .shown import day_short, shown
from .style import EDGE_CM, LINE_CM, LINE_COLOURS
from .trend import Trend

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_GAP_CM = 0.25
_LEAST = 0.006
"""The narrowest treatment that can be seen, as a share of all days."""


class Above:
    """The rows of words above a plot between ``left`` and ``right``, for days ``first`` to last."""

    def __init__(
        self, sheet: Sheet, trend: Trend, across: tuple[float, float], days: tuple[float, float]
    ) -> None:
        self.sheet, self.trend = sheet, trend
        (self.left, self.right), (self.first, self.last) = across, days
        told = [(self._start(each.first), treated_words(each)) for each in trend.treated_in_order]
        told += [
            (mark.day.toordinal(), f"{shown(mark.words)} {day_short(mark.day)}")
            for mark in trend.marks
        ]
        edge = sheet.width - EDGE_CM
        self.words = [sheet.cut(words, edge - EDGE_CM) for _, words in told]
        self.places = [
            placed(self._at(day), sheet.length(words), EDGE_CM, edge)
            for (day, _), words in zip(told, self.words, strict=True)
        ]
        self.rows = rows_of(self.places, _GAP_CM)

    @property
    def height(self) -> float:
        """The centimetres that the rows take."""
        return LINE_CM * (max(self.rows, default=-1) + 1) + 0.3

    def draw(self, axes: Axes, top: float) -> None:
        """Draw into the plot, whose upper edge lies ``top`` centimetres from that of the sheet."""
        for each in self.trend.treated:
            start = self._start(each.first)
            end = self.last if each.last is None else each.last.toordinal()
            least = (self.last - self.first) * _LEAST
            axes.axvspan(start, max(end, start + least), facecolor="none", linewidth=0.6,
                         edgecolor=LINE_COLOURS["hatch"], hatch="///", zorder=0.5,
                         gid="treated")  # fmt: skip
        for mark in self.trend.marks:
            axes.axvline(mark.day.toordinal(), color=LINE_COLOURS["mark"], linewidth=0.9,
                         linestyle=(0, (1, 1.5)), zorder=2.5, gid="mark")  # fmt: skip
        for words, place, row in zip(self.words, self.places, self.rows, strict=True):
            y = top - 0.3 - LINE_CM * row
            self.sheet.lead(place.anchor, top, place.anchor, y)
            text = self.sheet.write(place.start, y, words)
            text.set_bbox({"facecolor": "white", "edgecolor": "none", "pad": 0.8})

    def _start(self, day: dt.date | None) -> float:
        return self.first if day is None else day.toordinal()

    def _at(self, day: float) -> float:
        """Centimetres from the left edge to a day."""
        share = (day - self.first) / (self.last - self.first)
        return self.left + share * (self.right - self.left)
