"""Stage 4b: day expressions.

A :class:`Day` is what the words say, not yet a date. Weekdays, ordinals, numeric and relative days
are read here; nothing else is taken for a date.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from ...grammar.schema import DateWords, NumberWords
from ..numbers import read_number

_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$")
_NUMERIC = re.compile(r"(\d{1,2})[/.-](\d{1,2})(?:[/.-](\d{4}|\d{2}))?\.?$")
_ROMAN = re.compile(r"(\d{1,2})\.([ivx]{1,4})(?:\.(\d{4}))?\.?$")
_ROMAN_MONTHS = ("i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii")
_ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th)$")
_YEAR = re.compile(r"(?:19|20)\d\d$")

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
    found = _ROMAN.match(word)
    if found and found[2] in _ROMAN_MONTHS:
        year = int(found[3]) if found[3] else None
        month = _ROMAN_MONTHS.index(found[2]) + 1
        return Day("date", 1, year=year, month=month, day=int(found[1]))
    dashed = _dashed(words, i, dates)
    if dashed is not None:
        return dashed
    found = _NUMERIC.match(word)
    if (found and "/" in word) or (found and found[3]) or (found and word.count(".") == 2):
        year = int(found[3]) if found[3] else None
        if year is not None and year < 100:
            year += 2000
        return Day("numeric", 1, first=int(found[1]), second=int(found[2]), year=year)
    which = dates.day.weekday_leads.get(word)
    if which is not None and i + 1 < n:
        # "the sun" is no Sunday
        got = _weekday(words[i + 1], dates, sure=which != "the")
        if got is not None:
            return Day("weekday", 2, weekday=got, which=which)
    weekday = _weekday(word, dates, sure=False)
    if weekday is not None:
        length = 1
        if i + 1 < n and words[i + 1] in dates.day.next_week:
            return Day("weekday", 2, weekday=weekday, which="next-week")
        rest = _month_day(words, i + 1, dates, numbers) if i + 1 < n else None
        if i + 1 < n and words[i + 1] in dates.day.before_number and i + 2 < n:
            rest = _month_day(words, i + 2, dates, numbers)
            if rest:
                rest = _longer(rest, 1)
        if rest:
            return _longer(rest, 1)
        if i + 1 < n and words[i + 1] in dates.day.parts:
            length = 2
        return Day("weekday", length, weekday=weekday)
    if (
        word in dates.span.one_week
        and i + 3 < n
        and words[i + 1] in dates.span.weeks
        and words[i + 2] in dates.span.counted_from
    ):
        got = _weekday(words[i + 3], dates, sure=True)
        if got is not None:
            extra = "week-on" if words[i + 1] == "week" else "fortnight-on"
            return Day("weekday", 4, weekday=got, which=extra)
    got_day = _month_day(words, i, dates, numbers)
    if got_day:
        return got_day
    return _relative_span(words, i, dates, numbers)


def _dashed(words: list[str], i: int, dates: DateWords) -> Day | None:
    """ "Mill yard 7-22, sugar roll": month and day with a dash, at the head of a line only.

    Elsewhere, and where either number might be the month, two numbers with a dash are a range.
    """
    if len(words) < i + 3 or words[i + 1] != "-" or not words[i + 2].isdecimal():
        return None
    if not words[i].isdecimal() or len(words[i]) > 2 or len(words[i + 2]) > 2:
        return None
    low, high = sorted((int(words[i]), int(words[i + 2])))
    if not 1 <= low <= 12 < high <= 31:
        return None
    if int(words[i]) == high and _paired_again(words, i):
        return None
    j = i - 1
    while j >= 0 and words[j].isalpha() and i - j <= 3:
        j -= 1
    if (i and j == i - 1) or (j >= 0 and words[j][0] != "\n"):
        # without a word before it, as in a list, it is a hive and its count
        return None
    after = words[i + 3] if i + 3 < len(words) else "\n"
    if after in dates.day.counted or after[0].isdecimal():
        return None
    return Day("numeric", 3, first=int(words[i]), second=int(words[i + 2]))


def _paired_again(words: list[str], i: int) -> bool:
    """ "15-1: 0, 15-2: 1": the first number has another partner, so both are hives of group 15."""
    return any(
        words[j] == words[i] and words[j + 1] == "-" and words[j + 2] not in ("", words[i + 2])
        for j in range(len(words) - 2)
        if words[j + 2].isdecimal()
    )


def _longer(day: Day, by: int) -> Day:
    return replace(day, length=day.length + by)


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
    if words[j] in dates.day.leads and j + 1 < n:
        lead = words[j]
        j += 1
        if words[j] == "the" and j + 1 < n:
            lead, j = "the", j + 1
    month = dates.months.get(words[j].rstrip("."))
    if month is not None:
        k = j + 1
        if k < n and words[k] in dates.day.after_month:
            k += 1
        number = _day_number(words, k, numbers) if k < n else None
        if number is None:
            return None
        day, length, ordinal = number
        if (lead == "the" or (i and words[i - 1] == "the")) and not ordinal:
            # "the July one" is a thing of July
            return None
        k += length
        year, used = _year(words, k)
        return Day("date", k + used - i, year=year, month=month, day=day)
    number = _day_number(words, j, numbers)
    if number is None:
        return None
    day, length, ordinal = number
    k = j + length
    if k < n and words[k] in dates.day.before_month and k + 1 < n:
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
        if after in dates.day.ends:
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
    ten, hyphen, rest = word.partition("-")
    if hyphen and ten in numbers.tens and rest in numbers.ordinals:
        value = numbers.tens[ten] + numbers.ordinals[rest]
        return (int(value), 1, True) if value <= 31 else None
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


def _relative_span(words: list[str], i: int, dates: DateWords, numbers: NumberWords) -> Day | None:
    """ "in ten days", "three weeks ago", "a week from now", "ten days from now"."""
    n = len(words)
    j = i
    ahead = words[j] in dates.span.ahead
    if ahead:
        j += 1
        while j < n and words[j] in dates.span.loose:
            j += 1
    if j >= n:
        return None
    if words[j] in dates.span.ones:
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
    factor = dates.span.days.get(words[k])
    months = words[k] in dates.span.months
    if factor is None and not months:
        return None
    k += 1
    if (words[k - 1] in dates.span.owning and k < n and words[k] == "time") or (
        ahead and k < n and words[k] in dates.span.time
    ):
        k += 1
    days = int(value * (factor or 30))
    after = words[k] if k < n else ""
    if after == "ago":
        return Day("offset", k + 1 - i, days=-days, which="months" if months else "")
    if after in dates.span.back and not ahead:
        return Day("offset", k + 1 - i, days=-days, which="months" if months else "")
    if after == "from" and k + 1 < n and words[k + 1] in dates.span.now:
        return Day("offset", k + 2 - i, days=days, which="months" if months else "")
    if ahead or words[k - 1] == "time":
        return Day("offset", k - i, days=days, which="months-ahead" if months else "ahead")
    return None
