"""Stage 4b: times of day: "14:30", "half past two", "three pm"."""

from __future__ import annotations

import re

from ...grammar.schema import DateWords, NumberWords
from ..numbers import read_number

_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})(am|pm)?$")
_AMPM = re.compile(r"(\d{1,2})(am|pm)$")


def read_clock(
    words: list[str], i: int, dates: DateWords, numbers: NumberWords
) -> tuple[str, int] | None:
    """A time of day that begins at ``words[i]``: ("HH:MM", words taken), or None."""
    n = len(words)
    word = words[i]
    found = _CLOCK.match(word)
    if found and (":" in word or "h" in word or found[3]):
        suffix = found[3] or (
            words[i + 1] if i + 1 < n and words[i + 1] in dates.clock.halves_glued else None
        )
        length = 2 if suffix and not found[3] else 1
        return _time(int(found[1]), int(found[2]), suffix, length)
    found = _AMPM.match(word)
    if found:
        return _time(int(found[1]), 0, found[2], 1)
    if word in dates.clock.noon:
        return "12:00", 1
    if word in dates.clock.parts or (word == "a" and i + 1 < n and words[i + 1] == "quarter"):
        j = i + (1 if word == "a" else 0)
        minutes = dates.clock.parts[words[j]]
        joint = words[j + 1] if j + 1 < n else ""
        if joint in dates.clock.joints:
            hour = read_number(words, j + 2, numbers) if j + 2 < n else None
            if hour and 1 <= hour.value <= 12 and hour.form in ("words", "digits"):
                end = j + 2 + hour.length
                if words[j] in dates.clock.counted and not _clock_company(words, i, end, dates):
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
            if _clock_company(words, i, end, dates):
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
        if after in dates.clock.halves and not (
            after == "am" and end + 1 < n and words[end + 1] == "i"
        ):
            return _time(int(number.value), 0, after, end + 1 - i)
        if after in numbers.tens or (after in dates.clock.minutes):
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
                and words[end + minute.length] in dates.clock.halves
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
        and words[i - 1] in dates.clock.leads
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


def _time(hour: int, minute: int, suffix: str | None, length: int) -> tuple[str, int] | None:
    if suffix:
        suffix = suffix.replace(".", "")
        if hour > 12:
            return None
        hour = hour % 12 + (12 if suffix == "pm" else 0)
    if hour > 23 or minute > 59:
        return None
    return f"{hour:02d}:{minute:02d}", length
