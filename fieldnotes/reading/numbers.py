"""Stage 4a: numbers in words and digits. Pure functions over a list of lower-case words."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..grammar.schema import NumberWords

_DIGITS = re.compile(r"\d{1,9}$")
_GROUPED = re.compile(r"\d{1,3}(?:,\d{3}){1,3}$")
_DECIMAL = re.compile(r"(\d{0,9})[.,](\d{1,4})$")
_FRACTION = re.compile(r"(\d{1,3})/(\d{1,4})$")
_GLYPH = re.compile(r"(\d{0,3})([½⅓⅔¼¾⅛⅕⅙])$")
_ORDINAL = re.compile(r"(\d{1,3})(?:st|nd|rd|th)$")


@dataclass(frozen=True, slots=True)
class Number:
    """A number read at some word: its value, the words it takes, and how it was written.

    ``form`` is one of "digits", "words", "fraction", "ordinal", "set".
    """

    value: float
    length: int
    form: str
    over: float = 0.0
    """The denominator where two whole numbers stand as a fraction, as in 3/300."""


WARMEST = 45
"""Degrees above which a temperature without a scale is in Fahrenheit."""


def celsius(fahrenheit: float) -> float:
    """Degrees Celsius of degrees Fahrenheit."""
    return (fahrenheit - 32) * 5 / 9


def read_number(words: list[str], i: int, names: NumberWords) -> Number | None:
    """The longest number that begins at ``words[i]``, or None."""
    word = words[i]
    first = word[0]
    if first.isdecimal() or first in ".," or not first.isascii():
        return _digits(words, i, names)
    if word in names.words or word in names.tens or word in names.multipliers:
        return _spoken(words, i, names)
    if tens := _hyphened(word, names):
        return Number(tens, 1, "words")
    if word in names.fractions:
        return Number(names.fractions[word], 1, "fraction")
    if word in names.sets:
        return Number(names.sets[word], 1, "set")
    if word in names.ordinals:
        return Number(names.ordinals[word], 1, "ordinal")
    if word in names.said.articles and i + 1 < len(words):
        after = words[i + 1]
        if after in names.fractions and after not in names.said.not_parts:
            return Number(names.fractions[after], 2, "fraction")
        if after in names.sets and (after != "score" or words[i + 2 : i + 3] == ["of"]):
            return Number(names.sets[after], 2, "set")
        if after in names.multipliers:
            rest = _spoken(words, i + 1, names)
            return Number(rest.value, rest.length + 1, "words") if rest else None
    return None


def _digits(words: list[str], i: int, names: NumberWords) -> Number | None:
    word = words[i]
    value: float
    if _DIGITS.match(word):
        value = float(word)
        after = words[i + 1] if i + 1 < len(words) else ""
        if after in names.multipliers:
            return Number(value * names.multipliers[after], 2, "digits")
        part = _FRACTION.match(after)
        if part and int(part[1]) < int(part[2]) <= 8:
            return Number(value + int(part[1]) / int(part[2]), 2, "fraction")
        if len(after) == 1 and after in names.fractions and value <= 3:
            return Number(value + names.fractions[after], 2, "fraction")
        if after == "and" and i + 3 < len(words) and words[i + 2] == "a":
            fraction = names.fractions.get(words[i + 3])
            if fraction:
                return Number(value + fraction, 4, "fraction")
        if after in names.sets and names.sets[after] == 12:
            return Number(value * 12, 2, "digits")
        return Number(value, 1, "digits")
    if _GROUPED.match(word):
        return Number(float(word.replace(",", "")), 1, "digits")
    found = _DECIMAL.match(word)
    if found:
        return Number(float(f"{found[1] or 0}.{found[2]}"), 1, "digits")
    found = _FRACTION.match(word)
    if found and int(found[2]):
        return Number(int(found[1]) / int(found[2]), 1, "fraction", float(found[2]))
    found = _GLYPH.match(word)
    if found:
        return Number(float(found[1] or 0) + names.fractions[found[2]], 1, "fraction")
    found = _ORDINAL.match(word)
    if found:
        return Number(float(found[1]), 1, "ordinal")
    return None


def _hyphened(word: str, names: NumberWords) -> float | None:
    """The value of "twenty-five"."""
    ten, dash, unit = word.partition("-")
    if dash and ten in names.tens and unit in names.words and 0 < names.words[unit] < 10:
        return names.tens[ten] + names.words[unit]
    return None


def _leaves_out_hundred(words: list[str], j: int, hundreds: float, names: NumberWords) -> bool:
    """ "three fifty bees": whether the tens at ``j`` follow hundreds that are left unsaid."""
    after = words[j + 1] if j + 1 < len(words) else ""
    return 0 < hundreds < 10 and after in names.said.hundreds_of


def _spoken(words: list[str], i: int, names: NumberWords) -> Number | None:
    """Number words: "twenty four", "a hundred and six", "two and a half", "six point five"."""
    total = current = 0.0
    j, n = i, len(words)
    last = "start"
    while j < n:
        word = words[j]
        if "-" in word and j == i:
            break
        if word in names.words:
            if last == "unit" or (last == "ten" and not 0 < names.words[word] < 10):
                break
            current += names.words[word]
            last = "unit"
        elif word in names.tens:
            if last == "unit" and _leaves_out_hundred(words, j, current, names):
                # "three fifty bees"
                current *= 100
            elif last in ("unit", "ten"):
                break
            current += names.tens[word]
            last = "ten"
        elif word in names.multipliers:
            if last == "times" and names.multipliers[word] <= 100:
                break
            current = (current or 1) * names.multipliers[word]
            if names.multipliers[word] >= 1000:
                total, current = total + current, 0.0
            last = "times"
        elif (
            word == "and"
            and last == "times"
            and j + 1 < n
            and (words[j + 1] in names.words or words[j + 1].partition("-")[0] in names.tens)
        ):
            pass
        elif last == "times" and (tens := _hyphened(word, names)):
            current += tens
            last = "unit"
        else:
            break
        j += 1
    if j == i:
        return None
    value = total + current
    if (
        j + 2 < n
        and words[j] == "and"
        and words[j + 1] == "a"
        and words[j + 2] in names.said.parts_added
    ):
        return Number(value + names.fractions[words[j + 2]], j + 3 - i, "fraction")
    if j + 1 < n and words[j] == "point":
        digits, k = "", j + 1
        while k < n and names.words.get(words[k], 10) < 10:
            digits += str(int(names.words[words[k]]))
            k += 1
        if digits:
            return Number(value + float("0." + digits), k - i, "words")
    if (
        j < n
        and words[j] in names.fractions
        and words[j] in names.said.parts_counted
        and value in (1, 2, 3)
    ):
        return Number(value * names.fractions[words[j]], j + 1 - i, "fraction")
    if j < n and words[j] in names.sets and names.sets[words[j]] == 12 and value < 10:
        return Number(value * 12, j + 1 - i, "words")
    return Number(value, j - i, "words")
