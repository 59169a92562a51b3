"""Stage 4: the unit after a number, and what the two come to."""

from __future__ import annotations

from typing import NamedTuple

from ...grammar.load import Grammar
from ...grammar.schema import Unit
from ..numbers import WARMEST, Number, celsius, read_number

_KIND_OF = {"volume": "vol", "mass": "mass", "temperature": "temp", "percent": "pct"}
_SPOONS = frozenset({"tablespoon", "teaspoon", "dessertspoon"})
_DURATIONS = {"second": "dur", "minute": "dur", "hour": "hours"}


FEWEST, SHORTEST = 5, 15
"""Seconds below which "5 s" and "seven second" are none: digits, and words."""


class Amount(NamedTuple):
    """A number with its unit: the kind of item, the value in canonical units, where it ends."""

    kind: str
    value: float
    unit: Unit
    end: int
    form: str


class UnitReader:
    """Reads units with one grammar."""

    def __init__(self, grammar: Grammar, number_starts: frozenset[str]) -> None:
        self.grammar = grammar
        self.around = grammar.items.units
        self._number_starts = number_starts
        self._between = {tuple(p.split()) for p in grammar.units.between.phrases}

    def find(
        self, words: list[str], raw: list[str], i: int, bare: Number | None = None
    ) -> tuple[Unit, int] | None:
        """The unit that the words from ``i`` name, and where it ends.

        ``bare`` is the number before it; words such as "of a" may stand between.
        """
        n = len(words)
        for skip in (0, 1, 2, 3):
            if skip and tuple(words[i : i + skip]) not in self._between:
                if skip == 1 and tuple(words[i : i + 2]) in self._between:
                    continue
                break
            if (
                skip
                and i + skip <= n
                and words[i + skip - 1] in self.grammar.numbers.said.articles
                and bare is not None
                and bare.form != "fraction"
            ):
                break
            j = i + skip
            rows = self.grammar.unit_lexicon.get(words[j]) if j < n else None
            if j < n and raw[j] in self.around.capitals:
                rows = self.grammar.unit_lexicon.get(raw[j])
            for phrase, unit in rows or ():
                if tuple(words[j : j + len(phrase)]) != phrase and (raw[j],) != phrase:
                    continue
                risky = phrase[0] in unit.risky and len(phrase) == 1
                if not risky or self._is_sure(words, raw, j, bare, unit):
                    return unit, j + len(phrase)
        return None

    def _is_sure(
        self, words: list[str], raw: list[str], j: int, number: Number | None, unit: Unit
    ) -> bool:
        """A risky unit surface counts only where the number beside it makes sense with it."""
        if number is None or number.form == "ordinal":
            return False
        word = raw[j]
        if word in self.around.scale_letters:
            after = words[j + 1] if j + 1 < len(words) else ""
            return number.form in ("digits", "words") and after not in self.around.frames
        if word == "c":
            return number.value <= 3
        if unit.id == "second":
            # "a sixty second shake", but "hive seven second super on"
            return number.value >= (SHORTEST if number.form == "words" else FEWEST)
        return True

    def amount(
        self, words: list[str], raw: list[str], number: Number, unit: Unit, end: int
    ) -> Amount:
        """What ``number`` of ``unit`` comes to, with what is added after it at ``end``."""
        value = number.value
        if (half := self._added_part(words, end)) is not None:
            value += half
            end += 3
        elif unit.id == "minute":
            seconds, end = self._added_seconds(words, end)
            value += seconds / 60
        elif unit.id == "degrees" and end < len(words) and raw[end] in self.around.scales:
            scale = raw[end] if len(raw[end]) == 1 else raw[end].lower()
            if rows := self.grammar.unit_lexicon.get(scale):
                unit = rows[0][1]
                end += 1
        whole = value * unit.factor
        if unit.dimension == "temperature":
            fahrenheit = unit.id == "fahrenheit" or (unit.id == "degrees" and value > WARMEST)
            whole = celsius(value) if fahrenheit else value
        return Amount(_kind(unit), whole, unit, end, number.form)

    def _added_part(self, words: list[str], end: int) -> float | None:
        """ "and a half" after a unit."""
        part = words[end + 2] if end + 2 < len(words) else ""
        if words[end : end + 2] == ["and", "a"] and part in self.around.parts_added:
            return self.grammar.numbers.fractions[part]
        return None

    def _added_seconds(self, words: list[str], end: int) -> tuple[float, int]:
        """The seconds of "one minute thirty seconds", and where the whole ends."""
        if end + 1 >= len(words):
            return 0.0, end
        start = end + (words[end] == "and")
        begins = words[start][:1].isdecimal() or words[start] in self._number_starts
        if start == end and not begins:
            return 0.0, end
        more = read_number(words, start, self.grammar.numbers)
        if more is None or more.form not in ("words", "digits") or more.value >= 60:
            return 0.0, end
        last = start + more.length
        if last < len(words) and words[last] in self.around.seconds:
            return more.value, last + 1
        return 0.0, end


def _kind(unit: Unit) -> str:
    if unit.dimension == "duration":
        return _DURATIONS.get(unit.id, "days")
    if unit.id in _SPOONS and unit.dimension == "volume":
        return "spoon"
    return _KIND_OF.get(unit.dimension, "n")
