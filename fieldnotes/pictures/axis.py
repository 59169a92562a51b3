"""Steps for the axes of a picture: round numbers for figures, calendar days for time."""

from __future__ import annotations

import datetime as dt
import math

from .shown import MONTHS, day_short
from .trend import Trend
from .yard_dots import YardDots

_ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)
_DAY_STEPS = (1, 2, 7, 14)
_MONTH_STEPS = (1, 2, 3, 6, 12)
_ROOM = 1.12
"""Room above the greatest figure, as a factor."""
_STRETCH = 2.5
"""How far above the greatest figure or level the limits of ranges may stretch a scale."""
_SHORTEST = 0.01
"""No sample tells figures below this apart, so that no scale is shorter."""


def top_of(values: list[float], highs: list[float]) -> float:
    """The upper end of a scale from zero: all ``values``, and of ``highs`` what leaves them room.

    A range that would press everything else together runs off the scale, and is drawn so.
    """
    greatest = max(values, default=0.0)
    stretched = max(highs, default=0.0)
    if greatest > 0:
        stretched = min(stretched, _STRETCH * greatest)
    return max((max(greatest, stretched) or 1.0) * _ROOM, _SHORTEST)


def top_of_trend(trend: Trend) -> float:
    """The upper end of the scale of a trend."""
    values = [p.figure.value or 0 for p in trend.points]
    values += [level.figure.value or 0 for level in trend.levels]
    last = trend.points[-1].day
    values += [each.figure.value or 0 for each in trend.line if each.day <= last]
    highs = [p.figure.high or 0 for p in trend.points]
    highs += [each.figure.high or 0 for each in trend.line]
    return top_of(values, highs)


def top_of_yard(yard: YardDots) -> float:
    """The upper end of the scale of a yard."""
    values = [dot.value for dot in yard.dots]
    values += [level.figure.value or 0 for level in yard.levels]
    highs = [dot.figure.high or 0 for dot in yard.dots]
    return top_of(values, highs)


def ticks(top: float, most: int) -> list[float]:
    """Round numbers from 0 up to ``top``, at most ``most`` of them, and at least two.

    >>> ticks(7.3, 5), ticks(0.9, 4)
    ([0.0, 2.0, 4.0, 6.0], [0.0, 0.5])
    """
    rough = top / max(most - 1, 1)
    unit = 10.0 ** math.floor(math.log10(rough))
    step = next(unit * part for part in _ROUND if unit * part >= rough * (1 - 1e-9))
    if step > top:  # one step is wanted at least
        step = max(unit * part for part in (0.5, *_ROUND) if unit * part <= top)
    return [round(step * turn, 10) for turn in range(int(top / step + 1e-9) + 1)]


def tick_words(values: list[float]) -> list[str]:
    """The numbers of ``ticks`` as short as they can stand beside each other."""
    places = 0
    while places < 4 and any(abs(round(v, places) - v) > 1e-9 for v in values):
        places += 1
    return [f"{value:.{places}f}" for value in values]


def day_ticks(first: dt.date, last: dt.date, most: int) -> list[tuple[dt.date, str]]:
    """Calendar days between two days with their words, at most ``most`` of them.

    Days or weeks within a few weeks, else the first of months; the year is told at the first tick
    and wherever it changes.
    """
    days = _days_between(first, last, most) or [first]
    words = []
    year: int | None = None
    monthly = all(day.day == 1 for day in days) and len(days) > 1
    for day in days:
        said = MONTHS[day.month - 1] if monthly else day_short(day)
        words.append(f"{said} {day.year}" if day.year != year else said)
        year = day.year
    return list(zip(days, words, strict=True))


def _days_between(first: dt.date, last: dt.date, most: int) -> list[dt.date]:
    whole = (last - first).days
    for step in _DAY_STEPS:
        if whole // step + 1 <= most:
            return [first + dt.timedelta(days=day) for day in range(0, whole + 1, step)]
    for step in _MONTH_STEPS:
        months = _months(first, last, step)
        if 0 < len(months) <= most:
            return months
    years = range(first.year + 1, last.year + 1)
    step = max(1, -(-len(years) // most))
    return [dt.date(year, 1, 1) for year in years[::step]]


def _months(first: dt.date, last: dt.date, step: int) -> list[dt.date]:
    """The first days of every ``step``-th month, counted from January."""
    months = range(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    days = [dt.date(month // 12, month % 12 + 1, 1) for month in months if month % step == 0]
    return [day for day in days if first <= day <= last]
