"""Stage 4b and 8: day expressions and clock times.

A :class:`Day` is what the words say, not yet a date: a plan's Thursday lies ahead, a memory's
behind. :func:`resolve` turns it into a date once standing is known. Weekdays, ordinals, numeric
and relative days are read here; nothing else is taken for a date.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Literal

from ..grammar.schema import DateWords, NumberWords
from .numbers import read_number

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$")
_NUMERIC = re.compile(r"(\d{1,2})[/.-](\d{1,2})(?:[/.-](\d{4}|\d{2}))?\.?$")
_ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th)$")
_YEAR = re.compile(r"(?:19|20)\d\d$")
_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})(am|pm)?$")
_AMPM = re.compile(r"(\d{1,2})(am|pm)$")

Kind = Literal["weekday", "offset", "date", "day", "numeric", "month"]


@dataclass(frozen=True, slots=True)
class Day:
    """An unresolved day: ``kind`` says which of the other fields count."""

    kind: Kind
    length: int
    weekday: int = 0
    which: str = ""
    days: int = 0
    year: int | None = None
    month: int | None = None
    day: int | None = None
    first: int = 0
    second: int = 0


def read_day(words: list[str], i: int, dates: DateWords, numbers: NumberWords) -> Day | None:
    """The day expression that begins at ``words[i]``, or None."""
    word = words[i]
    n = len(words)
    for length in (4, 3, 2, 1):
        if i + length <= n:
            phrase = word if length == 1 else " ".join(words[i : i + length])
            if phrase in dates.relative:
                return Day("offset", length, days=dates.relative[phrase])
    found = _ISO.match(word)
    if found:
        return Day("date", 1, year=int(found[1]), month=int(found[2]), day=int(found[3]))
    found = _NUMERIC.match(word)
    if (found and "/" in word) or (found and found[3]) or (found and word.count(".") == 2):
        year = int(found[3]) if found[3] else None
        if year is not None and year < 100:
            year += 2000
        return Day("numeric", 1, first=int(found[1]), second=int(found[2]), year=year)
    for lead, which in (
        ("this", "this"),
        ("next", "next"),
        ("last", "last"),
        ("on", "on"),
        ("coming", "this"),
        ("the", "the"),
    ):
        if word == lead and i + 1 < n:
            got = _weekday(words[i + 1], dates, sure=True)
            if got is not None:
                return Day("weekday", 2, weekday=got, which=which)
    weekday = _weekday(word, dates, sure=False)
    if weekday is not None:
        length = 1
        which = ""
        if i + 1 < n and words[i + 1] in ("week",):
            return Day("weekday", 2, weekday=weekday, which="next-week")
        rest = _month_day(words, i + 1, dates, numbers) if i + 1 < n else None
        if i + 1 < n and words[i + 1] in (",", "the") and i + 2 < n:
            rest = _month_day(words, i + 2, dates, numbers)
            if rest:
                rest = _longer(rest, 1)
        if rest:
            return _longer(rest, 1)
        if i + 1 < n and words[i + 1] in (
            "morning",
            "afternoon",
            "evening",
            "night",
            "arvo",
            "lunchtime",
        ):
            length = 2
        return Day("weekday", length, weekday=weekday, which=which)
    if (
        word in ("a", "one")
        and i + 3 < n
        and words[i + 1] in ("week", "fortnight")
        and words[i + 2] in ("on", "from")
    ):
        got = _weekday(words[i + 3], dates, sure=True)
        if got is not None:
            extra = "week-on" if words[i + 1] == "week" else "fortnight-on"
            return Day("weekday", 4, weekday=got, which=extra)
    got_day = _month_day(words, i, dates, numbers)
    if got_day:
        return got_day
    return _relative_span(words, i, numbers)


def _longer(day: Day, by: int) -> Day:
    return Day(
        day.kind,
        day.length + by,
        day.weekday,
        day.which,
        day.days,
        day.year,
        day.month,
        day.day,
        day.first,
        day.second,
    )


def _weekday(word: str, dates: DateWords, *, sure: bool) -> int | None:
    got = dates.weekdays.get(word.rstrip("."))
    if not isinstance(got, int):
        return None
    risky = dates.weekdays.get("risky", ())
    if not sure and isinstance(risky, tuple) and word in risky:
        return None
    return got


def _month_day(words: list[str], i: int, dates: DateWords, numbers: NumberWords) -> Day | None:
    """ "the 4th", "14 July 2026", "July the fourteenth", "22 Aug"."""
    n = len(words)
    j = i
    lead = ""
    if words[j] in ("the", "on") and j + 1 < n:
        lead = words[j]
        j += 1
        if words[j] == "the" and j + 1 < n:
            lead, j = "the", j + 1
    month = dates.months.get(words[j].rstrip("."))
    if month is not None:
        k = j + 1
        if k < n and words[k] in (".", "the"):
            k += 1
        number = _day_number(words, k, numbers) if k < n else None
        if number is None:
            return None
        day, length, _ = number
        k += length
        year, used = _year(words, k)
        return Day("date", k + used - i, year=year, month=month, day=day)
    number = _day_number(words, j, numbers)
    if number is None:
        return None
    day, length, ordinal = number
    k = j + length
    if k < n and words[k] in ("of", ".", "day") and k + 1 < n:
        k += 1
        if words[k] == "of" and k + 1 < n:
            k += 1
    month = dates.months.get(words[k].rstrip(".")) if k < n else None
    if month is not None:
        k += 1
        if k < n and words[k] == "." and k + 1 < n:
            year, used = _year(words, k + 1)
            if used:
                k += 1
        year, used = _year(words, k)
        return Day("date", k + used - i, year=year, month=month, day=day)
    if ordinal and lead == "the":
        # "the tenth" alone is a day only where nothing that can be counted follows
        after = words[j + length] if j + length < n else ""
        if after in (
            "",
            ".",
            ",",
            ";",
            "\n",
            "so",
            "and",
            "then",
            "if",
            "for",
            "when",
            "but",
            "or",
            "she",
            "they",
            "we",
            "i",
            "at",
            "to",
            "will",
            "-",
            "out",
            "it",
            "in",
            "with",
            "of",
        ):
            return Day("day", j + length - i, day=day)
    return None


def _day_number(words: list[str], i: int, numbers: NumberWords) -> tuple[int, int, bool] | None:
    word = words[i]
    found = _ORDINAL.match(word)
    if found and 1 <= int(found[1]) <= 31:
        return int(found[1]), 1, True
    if word.isdecimal() and len(word) <= 2 and 1 <= int(word) <= 31:
        return int(word), 1, False
    if word in numbers.ordinals:
        return int(numbers.ordinals[word]), 1, True
    if word in numbers.tens and i + 1 < len(words) and words[i + 1] in numbers.ordinals:
        value = numbers.tens[word] + numbers.ordinals[words[i + 1]]
        if value <= 31:
            return int(value), 2, True
    got = read_number(words, i, numbers) if word in numbers.words or word in numbers.tens else None
    if got and 1 <= got.value <= 31 and got.form == "words" and got.value == int(got.value):
        return int(got.value), got.length, False
    return None


def _year(words: list[str], i: int) -> tuple[int | None, int]:
    if i < len(words) and _YEAR.match(words[i]):
        return int(words[i]), 1
    if i + 1 < len(words) and words[i] == "," and _YEAR.match(words[i + 1]):
        return int(words[i + 1]), 2
    if i < len(words) and words[i][:1] == "'" and words[i][1:].isdecimal():
        return 2000 + int(words[i][1:]), 1
    return None, 0


def _relative_span(words: list[str], i: int, numbers: NumberWords) -> Day | None:
    """ "in ten days", "three weeks ago", "a week from now", "ten days from now"."""
    n = len(words)
    j = i
    ahead = words[j] in ("in", "within")
    if ahead:
        j += 1
        while j < n and words[j] in ("about", "another", "around"):
            j += 1
    if j >= n:
        return None
    if words[j] in ("a", "an", "one", "another"):
        value, length = 1.0, 1
        if j + 1 < n and words[j + 1] == "couple":
            value, length = 2.0, 2
            if j + 2 < n and words[j + 2] == "of":
                length = 3
    else:
        number = read_number(words, j, numbers)
        if number is None or number.form == "ordinal":
            return None
        value, length = number.value, number.length
        if number.form == "set" and j + length < n and words[j + length] == "of":
            length += 1
    k = j + length
    if k >= n:
        return None
    factor = {
        "day": 1,
        "days": 1,
        "week": 7,
        "weeks": 7,
        "wk": 7,
        "wks": 7,
        "fortnight": 14,
        "weeks'": 7,
        "week's": 7,
        "days'": 1,
        "d": 1,
        "nights": 1,
    }.get(words[k])
    months = words[k] in ("month", "months")
    if factor is None and not months:
        return None
    k += 1
    if (words[k - 1] in ("weeks'", "week's", "days'") and k < n and words[k] == "time") or (
        ahead and k < n and words[k] in ("time", "'")
    ):
        k += 1
    days = int(value * (factor or 30))
    after = words[k] if k < n else ""
    if after == "ago":
        return Day("offset", k + 1 - i, days=-days, which="months" if months else "")
    if after in ("back",) and not ahead:
        return Day("offset", k + 1 - i, days=-days, which="months" if months else "")
    if after == "from" and k + 1 < n and words[k + 1] in ("now", "today"):
        return Day("offset", k + 2 - i, days=days, which="months" if months else "")
    if ahead or words[k - 1] == "time":
        return Day("offset", k - i, days=days, which="months-ahead" if months else "ahead")
    return None


def read_clock(
    words: list[str], i: int, dates: DateWords, numbers: NumberWords
) -> tuple[str, int] | None:
    """A time of day that begins at ``words[i]``: ("HH:MM", words taken), or None."""
    n = len(words)
    word = words[i]
    found = _CLOCK.match(word)
    if found and (":" in word or "h" in word or found[3]):
        suffix = found[3] or (words[i + 1] if i + 1 < n and words[i + 1] in ("am", "pm") else None)
        length = 2 if suffix and not found[3] else 1
        return _time(int(found[1]), int(found[2]), suffix, length)
    found = _AMPM.match(word)
    if found:
        return _time(int(found[1]), 0, found[2], 1)
    if word in dates.clock.noon:
        return "12:00", 1
    if word in ("quarter", "half", "twenty", "ten", "five") or (
        word == "a" and i + 1 < n and words[i + 1] == "quarter"
    ):
        j = i + (1 if word == "a" else 0)
        minutes = {"quarter": 15, "half": 30, "twenty": 20, "ten": 10, "five": 5}[words[j]]
        joint = words[j + 1] if j + 1 < n else ""
        if joint in ("past", "to", "after"):
            hour = read_number(words, j + 2, numbers) if j + 2 < n else None
            if hour and 1 <= hour.value <= 12 and hour.form in ("words", "digits"):
                end = j + 2 + hour.length
                if words[j] in ("twenty", "ten", "five") and not _clock_company(words, i, end):
                    return None
                h = int(hour.value)
                suffix, used = _suffix(words, end, dates)
                if joint == "to":
                    h, minutes = (h - 1) or 12, 60 - minutes
                return _time(h, minutes, suffix, end + used - i)
        if (
            words[j] == "half"
            and word != "a"
            and joint in numbers.words
            and 1 <= numbers.words[joint] <= 12
        ):
            end = j + 2
            if _clock_company(words, i, end):
                suffix, used = _suffix(words, end, dates)
                return _time(int(numbers.words[joint]), 30, suffix, end + used - i)
    number = read_number(words, i, numbers)
    if (
        number
        and number.form in ("words", "digits")
        and 1 <= number.value <= 12
        and number.value == int(number.value)
    ):
        end = i + number.length
        after = words[end] if end < n else ""
        two = " ".join(words[end : end + 2])
        if after in dates.clock.oclock or two in dates.clock.oclock:
            used = 1 if after in dates.clock.oclock else 2
            suffix, more = _suffix(words, end + used, dates)
            return _time(int(number.value), 0, suffix, end + used + more - i)
        if after in ("am", "pm", "a.m.", "p.m.") and not (
            after == "am" and end + 1 < n and words[end + 1] == "i"
        ):
            return _time(int(number.value), 0, after, end + 1 - i)
        if after in numbers.tens or (after in ("fifteen", "ten", "oh")):
            minute = read_number(words, end, numbers) if after != "oh" else None
            if minute and minute.value < 60:
                suffix, used = _suffix(words, end + minute.length, dates)
                if suffix and used > 1:
                    return _time(
                        int(number.value), int(minute.value), suffix, end + minute.length + used - i
                    )
            if (
                minute
                and minute.value < 60
                and end + minute.length < n
                and words[end + minute.length] in ("am", "pm", "a.m.", "p.m.")
            ):
                return _time(
                    int(number.value),
                    int(minute.value),
                    words[end + minute.length],
                    end + minute.length + 1 - i,
                )
    if (
        number
        and i
        and words[i - 1] in ("time", "at")
        and number.form == "words"
        and number.value <= 23
    ):
        end = i + number.length
        minute = read_number(words, end, numbers) if end < n else None
        if (
            minute
            and minute.form == "words"
            and 10 <= minute.value < 60
            and (words[i - 1] == "time" or number.value > 9)
        ):
            return _time(int(number.value), int(minute.value), None, end + minute.length - i)
    return None


def _clock_company(words: list[str], start: int, end: int) -> bool:
    """Whether a spoken time such as "half twelve" has words beside it that speak of time."""
    before = words[start - 1] if start else "."
    after = words[end] if end < len(words) else "."
    return before in (
        "at",
        "about",
        "around",
        "by",
        "time",
        ".",
        "\n",
        "till",
        "past",
        "gone",
        "from",
    ) or after in (
        "am",
        "pm",
        "in",
        "this",
        "on",
        "saturday",
        "sunday",
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "today",
        "yesterday",
    )


def _suffix(words: list[str], i: int, dates: DateWords) -> tuple[str | None, int]:
    for length in (3, 2, 1):
        phrase = " ".join(words[i : i + length])
        if phrase in dates.clock.am:
            return "am", length
        if phrase in dates.clock.pm:
            return "pm", length
    return None, 0


def _time(hour: int, minute: int, suffix: str | None, length: int) -> tuple[str, int] | None:
    if suffix:
        suffix = suffix.replace(".", "")
        if hour > 12:
            return None
        hour = hour % 12 + (12 if suffix == "pm" else 0)
    if hour > 23 or minute > 59:
        return None
    return f"{hour:02d}:{minute:02d}", length


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
