"""Counts in a drawn picture: a shape for each, its range upright, its figure beside it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Literal, NamedTuple

from ..estimate.counts import plain
from .sheet import Sheet
from .shown import shown
from .style import DPI, FONT_PT, LINE_COLOURS, SHAPES, TEXT_COLOURS
from .trend import Point, Trend

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.text import Annotation
    from matplotlib.transforms import Bbox

_Place = tuple[tuple[float, float], Literal["left", "right"], Literal["center", "bottom", "top"]]
_POINT = DPI / 72
"""Dots of the picture to a point of print."""
_REACH = 3.2 * _POINT
"""Half of the size of a shape, in dots."""


class PointPlan(NamedTuple):
    """The counts to draw, the upper end of the scale, and the shape of each method by number.

    ``inside`` are words that stand in the plot already.
    """

    trend: Trend
    top: float
    shapes: dict[str, int]
    inside: list[Annotation]


def draw_points(axes: Axes, sheet: Sheet, plan: PointPlan) -> None:
    """Draw all counts, then write as many figures beside them as have room."""
    for point in plan.trend.points:
        _draw(axes, point, plan)
    taken = [box for point in plan.trend.points for box in _boxes(axes, point, plan.top)]
    taken += [words.get_window_extent() for words in plan.inside]
    crossed = [_level_box(axes, level.figure.value or 0) for level in plan.trend.levels]
    points = plan.trend.points
    highest = max(points, key=lambda each: each.figure.value or 0)
    for point in dict.fromkeys([points[-1], highest, points[0], *points]):
        _write(axes, sheet, point, taken, crossed)


def _draw(axes: Axes, point: Point, plan: PointPlan) -> None:
    day, value = point.day.toordinal(), point.figure.value or 0.0
    low = value if point.figure.low is None else point.figure.low
    high = value if point.figure.high is None else point.figure.high
    colour = LINE_COLOURS["count"]
    axes.plot([day, day], [low, min(high, plan.top)], color=colour, linewidth=1.3, zorder=4,
              solid_capstyle="butt", gid="range")  # fmt: skip
    ends = [(low, "_"), (high, "_") if high <= plan.top else (plan.top, "^")]
    for end, sign in ends:
        axes.plot([day], [end], marker=sign, markersize=5, color=colour, linestyle="none",
                  zorder=4, clip_on=False)  # fmt: skip
    shape = SHAPES[plan.shapes.get(shown(point.method), 0) % len(SHAPES)]
    axes.plot([day], [value], marker=shape, markersize=6, color=colour, markeredgecolor="white",
              markeredgewidth=0.7, linestyle="none", zorder=5, clip_on=False,
              gid="count")  # fmt: skip


def _boxes(axes: Axes, point: Point, top: float) -> list[Bbox]:
    """Where a count and its range stand, in dots."""
    from matplotlib.transforms import Bbox

    day, value = point.day.toordinal(), point.figure.value or 0.0
    ends = [value if end is None else end for end in (point.figure.low, point.figure.high)]
    (x, y), (_, low), (_, high) = (
        axes.transData.transform((day, min(each, top))) for each in (value, *ends)
    )
    thin = 1.5 * _POINT
    return [
        Bbox.from_extents(x - _REACH, y - _REACH, x + _REACH, y + _REACH),
        Bbox.from_extents(x - thin, low, x + thin, high),
    ]


def _level_box(axes: Axes, value: float) -> Bbox:
    """Where the line of a level runs, in dots."""
    from matplotlib.transforms import Bbox

    frame = axes.get_window_extent()
    y = axes.transData.transform((0, value))[1]
    return Bbox.from_extents(frame.x0, y - _POINT, frame.x1, y + _POINT)


def _write(axes: Axes, sheet: Sheet, point: Point, taken: list[Bbox], crossed: list[Bbox]) -> None:
    """Write the figure of a count where it touches nothing, or not at all.

    Places off the lines of levels (``crossed``) are tried before places on them.
    """
    value = plain(point.figure.value or 0)
    texts = [f"{value} {shown(point.label)}"] if point.label else []
    frame = axes.get_window_extent()
    for words in [*texts, value]:
        for avoided in (taken + crossed, taken):
            for place in _places():
                text = _text(axes, sheet, point, words, place)
                box = text.get_window_extent().padded(0.8 * _POINT)
                inside = box.x0 >= frame.x0 and box.x1 <= frame.x1 and box.y0 >= frame.y0
                if inside and box.y1 <= frame.y1 and not box.count_overlaps(avoided):
                    text.set_bbox({"facecolor": "white", "edgecolor": "none", "pad": 0.4})
                    taken.append(box)
                    return
                text.remove()


def _text(axes: Axes, sheet: Sheet, point: Point, words: str, place: _Place) -> Annotation:
    offset, across, up = place
    return axes.annotate(
        words, (point.day.toordinal(), point.figure.value or 0), xytext=offset,
        textcoords="offset points", ha=across, va=up, fontsize=FONT_PT, parse_math=False,
        family=sheet.families, color=TEXT_COLOURS["text"], zorder=6,
    )  # fmt: skip


def _places() -> Iterator[_Place]:
    """Offsets in points from a count, with the side of the words that lies there."""
    yield (6, 0), "left", "center"
    yield (-6, 0), "right", "center"
    yield (4, 7), "left", "bottom"
    yield (4, -7), "left", "top"
    yield (-4, 7), "right", "bottom"
    yield (-4, -7), "right", "top"
