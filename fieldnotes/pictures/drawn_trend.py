"""A colony over time, drawn: counts with their ranges, levels, treatments, the line of growth."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from .axis import day_ticks, tick_words, ticks, top_of_trend
from .drawn_above import Above
from .drawn_points import PointPlan, draw_points
from .notes import level_note, line_note, plain_short, range_note
from .packing import pushed_apart
from .sheet import Sheet
from .shown import shown
from .style import (
    DECORATION,
    EDGE_CM,
    FONT_PT,
    HEIGHT_CM,
    LINE_CM,
    LINE_COLOURS,
    SHAPE_WORDS,
    TEXT_COLOURS,
)
from .trend import Trend

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Annotation

_PLOT_CM = 4.3
"""The least height of the plot itself."""
_GROWTH = "growth"


def draw_trend(trend: Trend) -> Figure:
    """The figure of one colony over time."""
    return _Drawing(trend).figure()


class _Drawing:
    """Lays the words out first, then sets the height, then draws."""

    def __init__(self, trend: Trend) -> None:
        self.trend = trend
        self.top = top_of_trend(trend)
        self.methods = list(dict.fromkeys(shown(p.method) for p in trend.points if p.method))
        self.first, self.last = _padded(trend)
        self.inside: list[Annotation] = []
        """Words written inside the plot already, which the figures of counts leave free."""
        texts = [trend.title, *self.methods, *(p.label for p in trend.points)]
        texts += [t.active for t in trend.treated] + [m.words for m in trend.marks]
        texts += [level.guideline for level in trend.levels]
        self.sheet = Sheet("".join(map(shown, texts)))

    def figure(self) -> Figure:
        """Draw everything and return the figure."""
        sheet, trend = self.sheet, self.trend
        values = ticks(self.top, 6)
        names = tick_words(values)
        left = EDGE_CM + max(map(sheet.length, names)) + 0.3
        self.right = sheet.width - EDGE_CM - self._right_words()
        above = Above(sheet, trend, (left, self.right), (self.first, self.last))
        room = sheet.width - 2 * EDGE_CM
        how = f", {self.methods[0]}" if len(self.methods) == 1 else ""
        unit = sheet.wrapped(trend.unit + how, room)
        foot = [line for note in self._notes() for line in sheet.wrapped(note, room)]
        head = EDGE_CM + LINE_CM * (1 + len(unit)) + above.height
        below = 0.95 + LINE_CM * len(foot) + EDGE_CM
        sheet.set_height(max(HEIGHT_CM, head + _PLOT_CM + below))
        sheet.head(shown(trend.title), unit)
        sheet.foot(foot)
        bottom = sheet.height - below
        axes = sheet.axes(left, head, self.right, bottom)
        self._frame(axes, values, names)
        self._line(axes)
        above.draw(axes, head)
        self._levels(axes)
        self._beside(head, bottom)
        shapes = {name: turn for turn, name in enumerate(self.methods)}
        draw_points(axes, sheet, PointPlan(trend, self.top, shapes, self.inside))
        return sheet.figure

    def _right_words(self) -> float:
        """The room that the words beside the plot take."""
        words = [f"{level.kind} {plain_short(level.figure.value or 0)}" for level in
                 self.trend.levels]  # fmt: skip
        words += [_GROWTH] if self._line_reaches_edge() else []
        return max((self.sheet.length(each) + 0.35 for each in words), default=0.2)

    def _notes(self) -> list[str]:
        shapes = ""
        if len(self.methods) > 1:
            told = zip(SHAPE_WORDS, self.methods, strict=False)
            shapes = ", ".join(f"{shape}: {name}" for shape, name in told)
            shapes = f"{shapes[0].upper()}{shapes[1:]}."
        ranges = f"{range_note('upright lines')} {line_note(self.trend)}".strip()
        return [note for note in (shapes, level_note(self.trend.levels), ranges) if note]

    def _frame(self, axes: Axes, values: list[float], names: list[str]) -> None:
        """Axes from zero with a light grid, days below."""
        axes.set_xlim(self.first, self.last)
        axes.set_ylim(0, self.top)
        days = day_ticks(self.trend.first, self.trend.last, 7)
        axes.set_xticks([day.toordinal() for day, _ in days], [words for _, words in days])
        axes.set_yticks(values, names)
        axes.tick_params(labelsize=FONT_PT, color=LINE_COLOURS["axis"], length=3)
        for label in (*axes.get_xticklabels(), *axes.get_yticklabels()):
            label.set_fontfamily(self.sheet.families)
        axes.yaxis.grid(True, color=DECORATION["grid"], linewidth=0.6)
        axes.set_axisbelow(True)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        for side in ("left", "bottom"):
            axes.spines[side].set_color(LINE_COLOURS["axis"])

    def _line(self, axes: Axes) -> None:
        line = self.trend.line
        if not line:
            return
        days = [each.day.toordinal() for each in line]
        low, high = ([getattr(x.figure, end) for x in line] for end in ("low", "high"))
        axes.fill_between(days, low, high, color=DECORATION["band"], linewidth=0, zorder=1)
        for edge in (low, high):
            axes.plot(days, edge, color=LINE_COLOURS["edge"], linewidth=0.5, zorder=2)
        middle = [x.figure.value or 0.0 for x in line]
        axes.plot(days, middle, color=LINE_COLOURS["growth"], linewidth=1.2, zorder=3,
                  linestyle=(0, (5, 1.5, 1, 1.5)), gid="growth")  # fmt: skip
        if not self._line_reaches_edge():
            end = min(middle[-1], self.top)
            self.inside.append(axes.annotate(
                _GROWTH, (days[-1], end), xytext=(4, 0), textcoords="offset points", zorder=6,
                va="center" if end < self.top else "top", fontsize=FONT_PT,
                family=self.sheet.families, color=TEXT_COLOURS["quiet"],
                bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.4},
            ))  # fmt: skip

    def _line_reaches_edge(self) -> bool:
        """Whether the line ends at the right edge, so that its words stand beside the plot."""
        line = self.trend.line
        if not line:
            return False
        days = (self.trend.last - line[-1].day).days / (self.last - self.first)
        return days * (self.sheet.width - 3) < self.sheet.length(_GROWTH) + 0.5

    def _levels(self, axes: Axes) -> None:
        for level in self.trend.levels:
            dashes = "-" if level.kind == "act" else (0, (4, 2))
            width = 1.6 if level.kind == "act" else 1.1
            axes.axhline(level.figure.value or 0, color=LINE_COLOURS[level.kind], linestyle=dashes,
                         linewidth=width, zorder=3.5, gid=level.kind)  # fmt: skip

    def _beside(self, head: float, bottom: float) -> None:
        """Words to the right of the plot at the heights of the levels and of the line's end."""
        told = [
            (level.figure.value or 0, f"{level.kind} {plain_short(level.figure.value or 0)}",
             level.kind)
            for level in self.trend.levels
        ]  # fmt: skip
        if self._line_reaches_edge():
            told.append((self.trend.line[-1].figure.value or 0, _GROWTH, "quiet"))
        wanted = [bottom - min(v / self.top, 1) * (bottom - head) for v, _, _ in told]
        places = pushed_apart(wanted, LINE_CM * 0.95, head, bottom)
        for (_, words, colour), want, y in zip(told, wanted, places, strict=True):
            self.sheet.write(self.right + 0.3, y, words, color=colour)
            if abs(want - y) > 0.05:
                self.sheet.lead(self.right + 0.03, want, self.right + 0.25, y)


def _padded(trend: Trend) -> tuple[float, float]:
    """The ends of the axis of days, with a little room beside the first and the last."""
    first, last = trend.first.toordinal(), trend.last.toordinal()
    room = max((last - first) * 0.02, dt.timedelta(days=1).days)
    return first - room, last + room
