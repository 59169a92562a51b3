"""Stage 4b: times of day: "14:30", "1430h", "half past two", "three pm"."""

from __future__ import annotations

import re

from ...grammar.schema import DateWords, NumberWords
from ..numbers import read_number

_CLOCK = re.compile(r"(\d{1,2})([:.h])(\d{2})(am|pm)?$")
_AMPM = re.compile(r"(\d{1,2})(am|pm)$")
_MILITARY = re.compile(r"([01]\d|2[0-3])([0-5]\d)$")

DAYLIGHT = 6
"""Hours below this, told without a half of the day, are of the afternoon: nobody opens hives at
three in the morning."""

_NEAR = 7
"""Words to either side within which "evening" or "morning" settles the half of the day."""


def read_clock(
    words: list[str], i: int, dates: DateWords, numbers: NumberWords
) -> tuple[str, int] | None:
    """A time of day that begins at ``words[i]``: ("HH:MM", words taken), or None."""
    if words[i] in dates.clock.noon:
        return "12:00", 1
    return (
        _written(words, i, dates)
        or _parts_said(words, i, dates, numbers)
        or _hour_said(words, i, dates, numbers)
        or _hour_led(words, i, dates, numbers)
    )


def _written(words: list[str], i: int, dates: DateWords) -> tuple[str, int] | None:
    """ "14:30", "2.30 pm", "2:30pm", "3pm", "1430h"."""
    word = words[i]
    after = words[i + 1] if i + 1 < len(words) else ""
    found = _CLOCK.match(word)
    if found:
        half = found[4] or (after if after in dates.clock.halves else None)
        length = 2 if half and not found[4] else 1
        if found[2] != "." or half:
            hour, minute = int(found[1]), int(found[3])
            if half is None and not word.startswith("0"):
                half = _half_near(words, i, i + 1, hour, dates)
            return _time(hour, minute, half, length)
        return None
    found = _AMPM.match(word)
    if found:
        return _time(int(found[1]), 0, found[2], 1)
    found = _MILITARY.match(word)
    if found and after in dates.clock.military:
        return _time(int(found[1]), int(found[2]), None, 2)
    return None


def _parts_said(
    words: list[str], i: int, dates: DateWords, numbers: NumberWords
) -> tuple[str, int] | None:
    """ "half past two", "a quarter to three", "half twelve"."""
    n = len(words)
    article = words[i] == "a" and i + 1 < n and words[i + 1] == "quarter"
    j = i + 1 if article else i
    minutes = dates.clock.parts.get(words[j])
    if minutes is None or j + 1 >= n:
        return None
    joint = words[j + 1]
    if joint in dates.clock.joints:
        hour = read_number(words, j + 2, numbers) if j + 2 < n else None
        if hour is None or not 1 <= hour.value <= 12 or hour.form not in ("words", "digits"):
            return None
        end = j + 2 + hour.length
        if words[j] in dates.clock.counted and not _clock_company(words, i, end, dates):
            return None
        h = int(hour.value)
        if joint == "to":
            h, minutes = (h - 1) or 12, 60 - minutes
        return _said(words, i, end, h, minutes, dates)
    hour_value = numbers.words.get(joint, 0)
    if words[j] == "half" and not article and 1 <= hour_value <= 12:
        end = j + 2
        if _clock_company(words, i, end, dates):
            return _said(words, i, end, int(hour_value), 30, dates)
    return None


def _hour_said(
    words: list[str], i: int, dates: DateWords, numbers: NumberWords
) -> tuple[str, int] | None:
    """ "two o'clock", "two pm", "seven in the morning", "two fifteen in the afternoon"."""
    number = read_number(words, i, numbers)
    if (
        number is None
        or number.form not in ("words", "digits")
        or not 1 <= number.value <= 12
        or number.value != int(number.value)
    ):
        return None
    hour, end = int(number.value), i + number.length
    after = words[end] if end < len(words) else ""
    for used in (1, 2):
        if " ".join(words[end : end + used]) in dates.clock.oclock:
            return _said(words, i, end + used, hour, 0, dates)
    if after in dates.clock.halves and words[end : end + 2] != ["am", "i"]:
        return _time(hour, 0, after, end + 1 - i)
    half, used = _suffix(words, end, dates)
    if used > 2:
        return _time(hour, 0, half, end + used - i)
    if after in numbers.tens or after in dates.clock.minutes:
        minute = read_number(words, end, numbers) if after != "oh" else None
        if minute and minute.value < 60:
            half, used = _suffix(words, end + minute.length, dates)
            if half:
                length = end + minute.length + used - i
                return _time(hour, int(minute.value), half, length)
    return None


def _hour_led(
    words: list[str], i: int, dates: DateWords, numbers: NumberWords
) -> tuple[str, int] | None:
    """ "at ten fifteen", "time sixteen forty": hour and minutes that are only said."""
    if not i or words[i - 1] not in dates.clock.leads:
        return None
    number = read_number(words, i, numbers)
    if number is None or number.form != "words" or number.value > 23:
        return None
    end = i + number.length
    minute = read_number(words, end, numbers) if end < len(words) else None
    if (
        minute is None
        or minute.form != "words"
        or not 10 <= minute.value < 60
        or not (words[i - 1] == "time" or number.value > 9)
    ):
        return None
    return _time(int(number.value), int(minute.value), None, end + minute.length - i)


def _said(
    words: list[str], i: int, end: int, hour: int, minute: int, dates: DateWords
) -> tuple[str, int] | None:
    """A spoken time from ``words[i]`` to ``end``, with the half of the day as the words tell it."""
    half, used = _suffix(words, end, dates)
    if half is None:
        half = _half_near(words, i, end, hour, dates)
    return _time(hour, minute, half, end + used - i)


def _half_near(words: list[str], i: int, end: int, hour: int, dates: DateWords) -> str | None:
    """The half of the day that words near a time tell, else what daylight leaves."""
    if hour >= 12:
        return None
    for k in (*range(i - 1, max(-1, i - 1 - _NEAR), -1), *range(end, min(len(words), end + _NEAR))):
        if words[k] in dates.clock.early:
            return "am"
        if words[k] in dates.clock.late:
            return "pm"
    return "pm" if hour < DAYLIGHT else None


def _clock_company(words: list[str], start: int, end: int, dates: DateWords) -> bool:
    """Whether a spoken time such as "half twelve" has words beside it that speak of time."""
    before = words[start - 1] if start else "."
    after = words[end] if end < len(words) else "."
    return before in dates.clock.company_before or after in dates.clock.company_after


def _suffix(words: list[str], i: int, dates: DateWords) -> tuple[str | None, int]:
    for length in (3, 2, 1):
        phrase = " ".join(words[i : i + length])
        if phrase in dates.clock.am:
            return "am", length
        if phrase in dates.clock.pm:
            return "pm", length
    return None, 0


def _time(hour: int, minute: int, half: str | None, length: int) -> tuple[str, int] | None:
    if half:
        half = half.replace(".", "")
        if hour > 12:
            return None
        hour = hour % 12 + (12 if half == "pm" else 0)
    if hour > 23 or minute > 59:
        return None
    return f"{hour:02d}:{minute:02d}", length
