"""Stage 8: the date that a day expression means, once the standing of its clause is known.

A plan's Thursday lies ahead, a memory's behind.
"""

from __future__ import annotations

import datetime as dt

from .day import Day


def resolve(day: Day, written: dt.date, *, ahead: bool, day_first: bool | None) -> dt.date | None:
    """The date meant, or None where it is ambiguous or no day of the calendar.

    ``ahead`` is True in a plan: weekdays and day numbers then lie after ``written``.
    """
    try:
        if day.kind == "offset":
            if day.which.startswith("months"):
                return _add_months(written, round(day.days / 30))
            return written + dt.timedelta(days=day.days)
        if day.kind == "weekday":
            return _resolve_weekday(day, written, ahead)
        if day.kind == "date" and day.month and day.day:
            return _nearest_year(day, written, ahead)
        if day.kind == "day" and day.day:
            return _resolve_day_number(day.day, written, ahead)
        if day.kind == "numeric":
            return _resolve_numeric(day, written, ahead, day_first)
    except (ValueError, OverflowError):
        return None
    return None


def _add_months(date: dt.date, months: int) -> dt.date:
    index = date.year * 12 + date.month - 1 + months
    year, month = divmod(index, 12)
    for last in (date.day, 30, 29, 28):
        try:
            return dt.date(year, month + 1, min(date.day, last))
        except ValueError:
            continue
    return date


def _resolve_weekday(day: Day, written: dt.date, ahead: bool) -> dt.date | None:
    gap = (day.weekday - written.weekday()) % 7
    if day.which == "week-on":
        return written + dt.timedelta(days=(gap or 7) + 7)
    if day.which == "fortnight-on":
        return written + dt.timedelta(days=(gap or 7) + 14)
    if day.which == "last":
        return written - dt.timedelta(days=(-gap) % 7 or 7)
    if day.which == "next-week":
        return written + dt.timedelta(days=7 - written.weekday() + day.weekday)
    if day.which == "next" and ahead:
        return None if gap else written + dt.timedelta(days=7)
    if ahead:
        return written + dt.timedelta(days=gap or 7)
    return written - dt.timedelta(days=(-gap) % 7)


def _nearest_year(day: Day, written: dt.date, ahead: bool) -> dt.date:
    assert day.month
    assert day.day
    if day.year:
        return dt.date(day.year, day.month, day.day)
    found = dt.date(written.year, day.month, day.day)
    if ahead and found < written:
        return dt.date(written.year + 1, day.month, day.day)
    if not ahead and found > written + dt.timedelta(days=1):
        return dt.date(written.year - 1, day.month, day.day)
    return found


def _resolve_day_number(number: int, written: dt.date, ahead: bool) -> dt.date:
    if ahead:
        month = written if number >= written.day else _add_months(written.replace(day=1), 1)
    else:
        month = written if number <= written.day else _add_months(written.replace(day=1), -1)
    return month.replace(day=number)


def numeric_readings(day: Day, written: dt.date) -> dict[bool, dt.date]:
    """Both readings of an all-numeric date, by whether the day comes first."""
    out: dict[bool, dt.date] = {}
    for day_first in (True, False):
        d, m = (day.first, day.second) if day_first else (day.second, day.first)
        try:
            if day.year:
                out[day_first] = dt.date(day.year, m, d)
            else:
                found = dt.date(written.year, m, d)
                out[day_first] = found
        except ValueError:
            continue
    return out


def _resolve_numeric(
    day: Day, written: dt.date, ahead: bool, day_first: bool | None
) -> dt.date | None:
    options = numeric_readings(day, written)
    if day_first is not None and day_first in options:
        options = {day_first: options[day_first]}
    dates = set(options.values())
    if len(dates) > 1:
        fits = {d for d in dates if (d >= written if ahead else d <= written)}
        dates = fits or dates
    if len(dates) != 1:
        return None
    found = dates.pop()
    if day.year is None and not ahead and found > written + dt.timedelta(days=31):
        return found.replace(year=found.year - 1)
    if day.year is None and ahead and found < written - dt.timedelta(days=31):
        return found.replace(year=found.year + 1)
    return found
