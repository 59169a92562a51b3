"""The lines of words below a picture, and the picture told in words for those who cannot see it."""

from __future__ import annotations

from ..estimate.counts import plain
from ..estimate.dated import on
from .shown import day_short, shown
from .trend import Level, Treated, Trend
from .yard_dots import YardDots


def level_note(levels: tuple[Level, ...]) -> str:
    """The levels with the guidelines that name them; empty without one."""
    parts = []
    for name in dict.fromkeys(level.guideline for level in levels):
        of_name = sorted((x for x in levels if x.guideline == name), key=lambda x: x.kind)
        said = " and ".join(f"{x.kind} {round(x.figure.value or 0, 2):g}" for x in of_name)
        parts.append(f"{said} by {shown(name)}" if name else said)
    if not parts:
        return ""
    return f"Levels: {'; '.join(parts)}."


def range_note(lines: str) -> str:
    """What the bars of the picture are."""
    return f"{lines.capitalize()}: likely range, 95 %."


def line_note(trend: Trend) -> str:
    """What the line and its shade are; empty without one."""
    if not trend.line:
        return ""
    return f"Shaded: where the line of growth likely runs, {trend.range_percent} %."


def trend_in_words(trend: Trend) -> str:
    """All that the picture shows, count by count."""
    parts = []
    for point in trend.points:
        how = f", {shown(point.method)}" if point.method else ""
        ends = _ends(point.figure.low, point.figure.high)
        note = f", {shown(point.label)}" if point.label else ""
        parts.append(f"{on(point.day)}: {plain(point.figure.value or 0)}{ends}{how}{note}")
    found = [f"{trend.unit[0].upper()}{trend.unit[1:]}. {'; '.join(parts)}."]
    found.append(level_note(trend.levels))
    if trend.line:
        end = trend.line[-1]
        ends = _ends(end.figure.low, end.figure.high)
        found.append(
            f"The line of growth reaches {plain(end.figure.value or 0)}{ends} on {on(end.day)}."
        )
    found += [f"{_treated(each)}." for each in trend.treated]
    found += [f"{shown(mark.words)} on {on(mark.day)}." for mark in trend.marks]
    return " ".join(part for part in found if part)


def yard_in_words(yard: YardDots) -> str:
    """All that the picture shows, colony by colony."""
    parts = []
    for dot in yard.ranked:
        out = ", stands out" if dot.stands_out else ""
        ends = _ends(dot.figure.low, dot.figure.high)
        parts.append(f"{shown(dot.colony)}: {plain(dot.value)}{ends}{out}")
    found = [f"{yard.unit[0].upper()}{yard.unit[1:]}. {'; '.join(parts)}."]
    if yard.mean is not None:
        ends = _ends(yard.mean.low, yard.mean.high)
        found.append(f"All together: {plain(yard.mean.value or 0)}{ends}.")
    found += [level_note(yard.levels), not_sampled_note(yard)]
    return " ".join(part for part in found if part)


def not_sampled_note(yard: YardDots) -> str:
    """The colonies that were not sampled; empty where all were."""
    if not yard.not_sampled:
        return ""
    return f"Not sampled: {', '.join(shown(name) for name in yard.not_sampled)}."


def _treated(treated: Treated) -> str:
    begins = "" if treated.first is None else f" from {on(treated.first)}"
    ends = "" if treated.last is None else f" to {on(treated.last)}"
    return f"Treated with {shown(treated.active)}{begins}{ends}"


def _ends(low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return ""
    if high is None:
        return f" (at least {plain(low or 0)})"
    return f" (at most {plain(high)})" if low is None else f" ({plain(low)} to {plain(high)})"


def treated_words(treated: Treated) -> str:
    """The active ingredient with its days in words."""
    name, first, last = shown(treated.active), treated.first, treated.last
    if first is None and last is not None:
        return f"{name} until {day_short(last)}"
    if last is None and first is not None:
        return f"{name} from {day_short(first)}"
    if first == last and first is not None:
        return f"{name} {day_short(first)}"
    if first is None or last is None:
        return name
    return f"{name} {day_short(first)} to {day_short(last)}"


def plain_short(value: float) -> str:
    """A level without digits that say nothing.

    >>> plain_short(3.0), plain_short(0.5)
    ('3', '0.5')
    """
    return f"{round(value, 2):g}"
