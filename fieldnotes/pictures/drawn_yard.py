"""The colonies of a yard on one scale, drawn: a dot and a likely range for each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..estimate.basis import Figure
from ..estimate.counts import plain
from .axis import tick_words, ticks, top_of_yard
from .notes import level_note, not_sampled_note, plain_short, range_note
from .packing import Words, rows_of
from .sheet import Sheet
from .shown import shown
from .style import DECORATION, EDGE_CM, FONT_PT, LINE_CM, LINE_COLOURS
from .yard_dots import YardDots

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Drawn

_ROW_CM = 0.55
_LONGEST_NAME_CM = 4.5
_TOGETHER = "all together"
_OUT = "stands out"
_GAP_CM = 0.25


def draw_yard(yard: YardDots) -> Drawn:
    """The figure of a yard, as tall as its colonies need."""
    rows = [(shown(dot.colony), dot.figure, dot.stands_out) for dot in yard.ranked]
    if yard.mean is not None:
        rows.append((_TOGETHER, yard.mean, False))
    texts = [yard.title, *yard.not_sampled, *(level.guideline for level in yard.levels)]
    sheet = Sheet("".join(shown(text) for text in texts) + "".join(name for name, _, _ in rows))
    names = [sheet.cut(name, _LONGEST_NAME_CM) for name, _, _ in rows]
    values = [plain(f.value or 0) + (f" {_OUT}" if out else "") for _, f, out in rows]
    left = EDGE_CM + max(map(sheet.length, names)) + 0.3
    right = sheet.width - EDGE_CM - max(map(sheet.length, values)) - 0.35
    top = top_of_yard(yard)
    above = _level_words(sheet, yard, left, right, top)
    stacked = rows_of([place for _, place, _ in above], _GAP_CM)
    room = sheet.width - 2 * EDGE_CM
    unit = sheet.wrapped(yard.unit, room)
    notes = [not_sampled_note(yard), level_note(yard.levels), range_note("lines across")]
    foot = [line for note in notes for line in sheet.wrapped(note, room)]
    head = EDGE_CM + LINE_CM * (1 + len(unit)) + LINE_CM * (max(stacked, default=-1) + 1) + 0.3
    below = 0.95 + LINE_CM * len(foot) + EDGE_CM
    sheet.set_height(head + _ROW_CM * len(rows) + below)
    sheet.head(shown(yard.title), unit)
    sheet.foot(foot)
    bottom = sheet.height - below
    axes = sheet.axes(left, head, right, bottom)
    _frame(axes, sheet, len(rows), top)
    for level in yard.levels:
        dashes = "-" if level.kind == "act" else (0, (4, 2))
        axes.axvline(level.figure.value or 0, color=LINE_COLOURS[level.kind], linestyle=dashes,
                     linewidth=1.4, zorder=2, gid=level.kind)  # fmt: skip
    for (words, place, kind), row in zip(above, stacked, strict=True):
        sheet.write(place.start, head - 0.3 - LINE_CM * row, words, color=kind)
    for number, (name, value) in enumerate(zip(names, values, strict=True)):
        y = head + _ROW_CM * (number + 0.5)
        sheet.write(left - 0.2, y, name, ha="right")
        sheet.write(right + 0.25, y, value)
        together = yard.mean is not None and number == len(rows) - 1
        _row(axes, rows[number][1], number, top, together=together)
    return sheet.figure


def _level_words(
    sheet: Sheet, yard: YardDots, left: float, right: float, top: float
) -> list[tuple[str, Words, str]]:
    """The words of levels above their lines, by their place across the sheet."""
    found = []
    for level in yard.levels:
        value = level.figure.value or 0
        words = f"{level.kind} {plain_short(value)}"
        length = sheet.length(words)
        at = left + value / top * (right - left)
        start = max(EDGE_CM, min(at - length / 2, sheet.width - EDGE_CM - length))
        found.append((words, Words(at, start, start + length), level.kind))
    return found


def _frame(axes: Axes, sheet: Sheet, rows: int, top: float) -> None:
    """A level scale from zero with a light grid; the first row is the highest."""
    values = ticks(top, 8)
    axes.set_xlim(0, top)
    axes.set_ylim(rows - 0.5, -0.5)
    axes.set_xticks(values, tick_words(values))
    axes.set_yticks([])
    axes.tick_params(labelsize=FONT_PT, color=LINE_COLOURS["axis"], length=3)
    for label in axes.get_xticklabels():
        label.set_fontfamily(sheet.families)
    axes.xaxis.grid(True, color=DECORATION["grid"], linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(LINE_COLOURS["axis"])


def _row(axes: Axes, figure: Figure, row: int, top: float, *, together: bool) -> None:
    """The dot of one colony and its range; the whole yard is a diamond."""
    value = figure.value or 0.0
    low = value if figure.low is None else figure.low
    high = value if figure.high is None else figure.high
    colour = LINE_COLOURS["count"]
    axes.plot([low, min(high, top)], [row, row], color=colour, linewidth=1.3, zorder=3,
              solid_capstyle="butt", gid="range")  # fmt: skip
    for end, sign in ((low, "|"), (high, "|") if high <= top else (top, ">")):
        axes.plot([end], [row], marker=sign, markersize=5, color=colour, linestyle="none",
                  zorder=3, clip_on=False)  # fmt: skip
    axes.plot([value], [row], marker="D" if together else "o", markersize=6, color=colour,
              markeredgecolor="white", markeredgewidth=0.7, linestyle="none", zorder=4,
              clip_on=False, gid="count")  # fmt: skip
