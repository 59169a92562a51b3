"""Stage 4: the value that begins at a word: a day, a time, a number, a quantity with its unit."""

from __future__ import annotations

import re
from collections.abc import Callable

from ...grammar.load import Grammar
from ...grammar.pattern import VALUE_KINDS
from ...grammar.schema import Unit
from ..dates import Day, read_clock, read_day
from ..numbers import WARMEST, Number, celsius, read_number
from .row import Item

_DOTTED = re.compile(r"([1-9]|[0-3]\d)\.(\d{1,2})\.?$")
_SIGNS = "-\N{MINUS SIGN}"
_KIND_OF = {"volume": "vol", "mass": "mass", "temperature": "temp", "percent": "pct"}


class ValueReader:
    """Reads values with one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar
        self.around_days = grammar.items.days
        self.around_units = grammar.items.units
        self._between = {tuple(p.split()) for p in grammar.units.between.phrases}
        self._number_starts = frozenset(
            {*grammar.numbers.words, *grammar.numbers.tens, *grammar.numbers.multipliers,
             *grammar.numbers.sets, *grammar.numbers.fractions, *grammar.numbers.ordinals,
             "a", "an"}
        )  # fmt: skip
        self._day_starts = frozenset(
            {*grammar.dates.weekdays, *grammar.dates.months,
             *(p.split()[0] for p in grammar.dates.relative),
             "this", "next", "last", "on", "in", "within", "the", "a", "one", "coming", "an",
             "another"}
        ) | self._number_starts  # fmt: skip
        self._clock_starts = (
            frozenset({*grammar.dates.clock.noon, "quarter", "half"}) | self._number_starts
        )
        self.starts = self._day_starts | self._clock_starts | grammar.units.air.below_zero
        self.kind_symbol = {
            kind: grammar.symbols.of(frozenset({kind}), None) for kind in VALUE_KINDS
        }
        self._n = frozenset({"n"})

    def read(self, words: list[str], raw: list[str], starts: list[int], i: int) -> Item | None:
        grammar = self.grammar
        word = words[i]

        def make(kind: str, length: int) -> Item:
            last = i + length - 1
            sym = self.kind_symbol[kind]
            return Item(
                kind,
                sym,
                word if length == 1 else " ".join(words[i : i + length]),
                i,
                i + length,
                starts[i],
                starts[last] + len(raw[last]),
                raw=raw[i],
            )

        below = self._below_zero(words, raw, i, make)
        if below is not None:
            return below
        day: Day | None = None
        dotted = self._dotted(words, i)
        if dotted is not None:
            item = make("day", 1)
            item.day = dotted
            return item
        if (
            word == "in"
            and i
            and (
                words[i - 1] in self.around_days.lying
                or any(w in self.around_days.dropped for w in words[max(0, i - 6) : i])
            )
        ):
            pass
        elif word[0].isdecimal() or word in self._day_starts or "-" in word:
            day = read_day(words, i, grammar.dates, grammar.numbers)
            if day is not None and day.kind == "numeric" and day.length == 3:
                # "7-22" is a date only where nothing stands around the dash
                tight = starts[i + 2] + len(raw[i + 2]) - starts[i] == sum(map(len, raw[i : i + 3]))
                day = day if tight else None
        if (
            day is None
            and raw[i] in self.around_days.short
            and grammar.dates.weekdays.get(word) is not None
        ):
            after = words[i + 1] if i + 1 < len(words) else "\n"
            before = words[i - 1] if i else "\n"
            if (
                after in (",", ".", ":", "-", "\n")
                or after[0].isdecimal()
                or before in self.around_days.before_short
                or before[0] == "\n"
            ):
                weekday = grammar.dates.weekdays[word]
                if isinstance(weekday, int):
                    day = Day("weekday", 1, weekday=weekday)
        clock = None
        if word[0].isdecimal() or word in self._clock_starts:
            clock = read_clock(words, i, grammar.dates, grammar.numbers)
        if clock and (day is None or clock[1] >= day.length):
            item = make("clock", clock[1])
            item.form = clock[0]
            return item
        number: Number | None = None
        if (
            word[0].isdecimal()
            or word in self._number_starts
            or (not word[0].isascii())
            or "-" in word
        ):
            number = read_number(words, i, grammar.numbers)
        if (
            day is not None
            and day.kind == "numeric"
            and day.year is None
            and day.second == 10
            and any(w in self.around_days.scores for w in words[max(0, i - 3) : i])
        ):
            day = None
        if (
            day is not None
            and day.kind == "numeric"
            and day.year is None
            and number is not None
            and number.form == "fraction"
        ):
            unit = self._unit(words, raw, i + number.length, bare=number)
            if unit is not None and unit[0].dimension == "volume":
                return self._quantity(words, raw, i, number, unit, make)
        if day is not None and (number is None or day.length >= number.length):
            item = make("day", day.length)
            item.day = day
            return item
        if word in self.grammar.numbers.said.articles and number is None and i + 1 < len(words):
            unit = self._unit(words, raw, i + 1)
            if (
                unit
                and unit[0].dimension in ("volume", "duration", "mass")
                and words[i + 1] not in unit[0].risky
            ):
                return self._quantity(words, raw, i, Number(1.0, 1, "words"), unit, make)
            return None
        if number is None:
            return None
        if number.form == "ordinal":
            return self._ordinal(make("ord", number.length), number.value)
        unit = self._unit(words, raw, i + number.length, bare=number)
        if unit is not None:
            return self._quantity(words, raw, i, number, unit, make)
        if number.form == "fraction" and number.over:
            item = make("frac", number.length)
            item.value, item.over, item.form = number.value, number.over, "fraction"
            return item
        if number.form == "fraction" and number.value < 1:
            place = grammar.numbers.ordinals.get(word)
            return self._ordinal(make("ord", 1), place) if place else None
        item = make("n", number.length)
        item.value, item.form = number.value, number.form
        if number.length == 1:
            item.sym = grammar.symbols.of(self._n, word)
        return item

    def _dotted(self, words: list[str], i: int) -> Day | None:
        """ "14.07.", "14.7.": day and month where a line begins or after "on"; else a number."""
        found = _DOTTED.match(words[i])
        if found is None:
            return None
        before = words[i - 1] if i else "\n"
        if before in self.around_days.bullets and (i < 2 or words[i - 2][0] == "\n"):
            before = "\n"
        if before[0] != "\n" and before not in self.around_days.before_dotted:
            return None
        if len(found[2]) < 2 and words[i + 1 : i + 2] != ["."]:
            return None
        day, month = int(found[1]), int(found[2])
        return Day("date", 1, day=day, month=month) if day <= 31 and 1 <= month <= 12 else None

    def _ordinal(self, item: Item, value: float) -> Item:
        """A place in a row, "third"; patterns may name it by its word."""
        item.value, item.form = value, "ordinal"
        if item.j - item.i == 1:
            item.sym = self.grammar.symbols.of(frozenset({"ord"}), item.word)
        return item

    def _below_zero(
        self, words: list[str], raw: list[str], i: int, make: Callable[[str, int], Item]
    ) -> Item | None:
        """ "minus two degrees", "-6 C": a temperature below zero."""
        word = words[i]
        if word in self.grammar.units.air.below_zero and i + 1 < len(words):
            number = read_number(words, i + 1, self.grammar.numbers)
            length = 1
        elif word[0] in _SIGNS and word[1:2].isdecimal():
            number = read_number([word[1:]], 0, self.grammar.numbers)
            length = 0
        else:
            return None
        if number is None or number.form not in ("digits", "words"):
            return None
        number = Number(-number.value, number.length + length, number.form)
        unit = self._unit(words, raw, i + number.length, bare=number)
        if unit is None or unit[0].dimension != "temperature":
            return None
        return self._quantity(words, raw, i, number, unit, make)

    def _unit(
        self, words: list[str], raw: list[str], i: int, bare: Number | None = None
    ) -> tuple[Unit, int, int] | None:
        """The unit at ``words[i]``: the unit, where it begins and where it ends."""
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
            if j < n and raw[j] in self.around_units.capitals:
                rows = self.grammar.unit_lexicon.get(raw[j])
            for phrase, unit in rows or ():
                if tuple(words[j : j + len(phrase)]) != phrase and (raw[j],) != phrase:
                    continue
                if (
                    phrase[0] in unit.risky
                    and len(phrase) == 1
                    and not self._sure_unit(words, raw, j, bare, unit)
                ):
                    continue
                return unit, j, j + len(phrase)
        return None

    def _sure_unit(
        self, words: list[str], raw: list[str], j: int, number: Number | None, unit: Unit
    ) -> bool:
        """A risky unit surface counts only where the number beside it makes sense with it."""
        if number is None or number.form == "ordinal":
            return False
        word = raw[j]
        if word in self.around_units.scale_letters:
            after = words[j + 1] if j + 1 < len(words) else ""
            return number.form in ("digits", "words") and after not in self.around_units.frames
        if word == "c":
            return number.value <= 3
        if unit.id == "second":
            return number.value >= 5
        return True

    def _quantity(
        self,
        words: list[str],
        raw: list[str],
        i: int,
        number: Number,
        unit_found: tuple[Unit, int, int],
        make: Callable[[str, int], Item],
    ) -> Item:
        unit, _, end = unit_found
        value = number.value
        n = len(words)
        if (
            end + 2 < n
            and words[end] == "and"
            and words[end + 1] == "a"
            and words[end + 2] in self.around_units.parts_added
        ):
            value += self.grammar.numbers.fractions[words[end + 2]]
            end += 3
        elif end + 1 < n and unit.id == "minute" and unit.dimension == "duration":
            more = (
                read_number(words, end + (words[end] == "and"), self.grammar.numbers)
                if end < n
                and (
                    words[end] == "and"
                    or words[end][0].isdecimal()
                    or words[end] in self._number_starts
                )
                else None
            )
            k = end + (words[end] == "and") + (more.length if more else 0)
            if (
                more
                and more.form in ("words", "digits")
                and k < n
                and words[k] in self.around_units.seconds
                and more.value < 60
            ):
                value += more.value / 60
                end = k + 1
        elif unit.dimension == "temperature" and end < n and unit.id == "degrees":
            after = raw[end]
            if after in self.around_units.scales:
                rows = self.grammar.unit_lexicon.get(after if len(after) == 1 else after.lower())
                if rows:
                    unit = rows[0][1]
                    end += 1
        kind = _KIND_OF.get(unit.dimension, "n")
        if kind == "vol" and unit.id in ("tablespoon", "teaspoon", "dessertspoon"):
            kind = "spoon"
        if unit.dimension == "duration":
            kind = (
                "dur"
                if unit.id in ("second", "minute")
                else "hours"
                if unit.id == "hour"
                else "days"
            )
        item = make(kind, end - i)
        item.value, item.unit, item.form = value * unit.factor, unit, number.form
        if unit.dimension == "temperature":
            fahrenheit = unit.id == "fahrenheit" or (unit.id == "degrees" and value > WARMEST)
            item.value = celsius(value) if fahrenheit else value
        return item
