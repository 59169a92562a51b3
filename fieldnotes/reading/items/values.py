"""Stage 4: the value that begins at a word: a day, a time, a number, a quantity with its unit."""

from __future__ import annotations

import re

from ...grammar.load import Grammar
from ...grammar.pattern import VALUE_KINDS
from ...grammar.schema import Unit
from ..dates import Day, read_clock, read_day
from ..numbers import Number, read_number
from .row import Item
from .spot import Spot
from .units import UnitReader

_DOTTED = re.compile(r"([1-9]|[0-3]\d)\.(\d{1,2})\.?$")
_SIGNS = "-\N{MINUS SIGN}"
_AFTER_ARTICLE = ("volume", "duration", "mass")


class ValueReader:
    """Reads values with one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar
        self.around_days = grammar.items.days
        self._number_starts = frozenset(
            {*grammar.numbers.words, *grammar.numbers.tens, *grammar.numbers.multipliers,
             *grammar.numbers.sets, *grammar.numbers.fractions, *grammar.numbers.ordinals,
             "a", "an"}
        )  # fmt: skip
        self.units = UnitReader(grammar, self._number_starts)
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

    def read(self, spot: Spot) -> Item | None:
        """The value that begins at the spot, or None. The longer of a day and a time is it."""
        below = self._below_zero(spot)
        if below is not None:
            return below
        dotted = self._dotted(spot)
        if dotted is not None:
            return self._day_item(spot, dotted)
        day = self._day(spot) or self._short_weekday(spot)
        clock = self._clock(spot)
        if clock is not None and (day is None or clock.j - clock.i >= day.length):
            return clock
        number = self._number(spot)
        if day is not None and self._is_score(spot, day):
            day = None
        if day is not None and number is not None and number.form == "fraction":
            volume = self._volume_of_fraction(spot, day, number)
            if volume is not None:
                return volume
        if day is not None and (number is None or day.length >= number.length):
            return self._day_item(spot, day)
        return self._one_of(spot) if number is None else self._of_number(spot, number)

    # -- days and times ----------------------------------------------------------------------

    def _day(self, spot: Spot) -> Day | None:
        word, i, raw = spot.word, spot.i, spot.raw
        if word == "in" and self._lies_in(spot):
            return None
        if not (word[0].isdecimal() or word in self._day_starts or "-" in word):
            return None
        day = read_day(spot.words, i, self.grammar.dates, self.grammar.numbers)
        if day is not None and day.kind == "numeric" and day.length == 3:
            # "7-22" is a date only where nothing stands around the dash
            end = spot.starts[i + 2] + len(raw[i + 2])
            if end - spot.starts[i] != sum(map(len, raw[i : i + 3])):
                return None
        return day

    def _lies_in(self, spot: Spot) -> bool:
        """Whether "in" says that a board lies, or that mites dropped in so many days."""
        around = self.around_days
        near = spot.near_before(6)
        return spot.i > 0 and (
            spot.before in around.lying
            or not around.dropped.isdisjoint(near)
            # "Boards: hive 3 12 in 3 days", but not "look at hive 3 in 3 days"
            or (
                self._is_number(spot.before)
                and around.planning.isdisjoint(near)
                and not around.boards.isdisjoint(spot.words)
            )
        )

    def _is_number(self, word: str) -> bool:
        numbers = self.grammar.numbers
        return word.isdecimal() or word in numbers.words or word in numbers.tens

    def _short_weekday(self, spot: Spot) -> Day | None:
        """ "Sat", "Wed": a day only beside a mark, a number, or at the head of a line."""
        weekday = self.grammar.dates.weekdays.get(spot.word)
        if spot.raw[spot.i] not in self.around_days.short or not isinstance(weekday, int):
            return None
        before, after = spot.before, spot.after
        if (
            after in (",", ".", ":", "-", "\n")
            or after[0].isdecimal()
            or before in self.around_days.before_short
            or before[0] == "\n"
        ):
            return Day("weekday", 1, weekday=weekday)
        return None

    def _dotted(self, spot: Spot) -> Day | None:
        """ "14.07.", "14.7.": day and month where a line begins or after "on"; else a number."""
        words, i = spot.words, spot.i
        found = _DOTTED.match(spot.word)
        if found is None:
            return None
        before = spot.before
        if before in self.around_days.bullets and (i < 2 or words[i - 2][0] == "\n"):
            before = "\n"
        if before[0] != "\n" and before not in self.around_days.before_dotted:
            return None
        if len(found[2]) < 2 and words[i + 1 : i + 2] != ["."]:
            return None
        day, month = int(found[1]), int(found[2])
        return Day("date", 1, day=day, month=month) if day <= 31 and 1 <= month <= 12 else None

    def _is_score(self, spot: Spot, day: Day) -> bool:
        """ "temper 8/10" is no date."""
        return (
            day.kind == "numeric"
            and day.year is None
            and day.second == 10
            and not self.around_days.scores.isdisjoint(spot.near_before(3))
        )

    def _day_item(self, spot: Spot, day: Day) -> Item:
        item = self._item(spot, "day", day.length)
        item.day = day
        return item

    def _clock(self, spot: Spot) -> Item | None:
        if not (spot.word[0].isdecimal() or spot.word in self._clock_starts):
            return None
        found = read_clock(spot.words, spot.i, self.grammar.dates, self.grammar.numbers)
        if not found:
            return None
        item = self._item(spot, "clock", found[1])
        item.form = found[0]
        return item

    # -- numbers and quantities --------------------------------------------------------------

    def _number(self, spot: Spot) -> Number | None:
        word = spot.word
        if (
            word[0].isdecimal()
            or word in self._number_starts
            or not word[0].isascii()
            or "-" in word
        ):
            return read_number(spot.words, spot.i, self.grammar.numbers)
        return None

    def _below_zero(self, spot: Spot) -> Item | None:
        """ "minus two degrees", "-6 C": a temperature below zero."""
        word, i = spot.word, spot.i
        if word in self.grammar.units.air.below_zero and i + 1 < len(spot.words):
            number = read_number(spot.words, i + 1, self.grammar.numbers)
            length = 1
        elif word[0] in _SIGNS and word[1:2].isdecimal():
            number = read_number([word[1:]], 0, self.grammar.numbers)
            length = 0
        else:
            return None
        if number is None or number.form not in ("digits", "words"):
            return None
        number = Number(-number.value, number.length + length, number.form)
        found = self._unit_after(spot, number)
        if found is None or found[0].dimension != "temperature":
            return None
        return self._quantity(spot, number, found)

    def _volume_of_fraction(self, spot: Spot, day: Day, number: Number) -> Item | None:
        """ "1/2 cup" is an amount, whatever the day it could be."""
        if day.kind != "numeric" or day.year is not None:
            return None
        found = self._unit_after(spot, number)
        if found is None or found[0].dimension != "volume":
            return None
        return self._quantity(spot, number, found)

    def _one_of(self, spot: Spot) -> Item | None:
        """ "a cup", "an hour": one of a unit."""
        if spot.word not in self.grammar.numbers.said.articles or spot.after == "\n":
            return None
        found = self.units.find(spot.words, spot.raw, spot.i + 1)
        if found is None or found[0].dimension not in _AFTER_ARTICLE:
            return None
        if spot.after in found[0].risky:
            return None
        return self._quantity(spot, Number(1.0, 1, "words"), found)

    def _of_number(self, spot: Spot, number: Number) -> Item | None:
        """A number with its unit, or by itself."""
        if number.form == "ordinal":
            return self._ordinal(self._item(spot, "ord", number.length), number.value)
        found = self._unit_after(spot, number)
        if found is not None:
            return self._quantity(spot, number, found)
        if number.form == "fraction" and number.over:
            item = self._item(spot, "frac", number.length)
            item.value, item.over, item.form = number.value, number.over, "fraction"
            return item
        if number.form == "fraction" and number.value < 1:
            place = self.grammar.numbers.ordinals.get(spot.word)
            return self._ordinal(self._item(spot, "ord", 1), place) if place else None
        item = self._item(spot, "n", number.length)
        item.value, item.form = number.value, number.form
        if number.length == 1:
            item.sym = self.grammar.symbols.of(self._n, spot.word)
        return item

    def _ordinal(self, item: Item, value: float) -> Item:
        """A place in a row, "third"; patterns may name it by its word."""
        item.value, item.form = value, "ordinal"
        if item.j - item.i == 1:
            item.sym = self.grammar.symbols.of(frozenset({"ord"}), item.word)
        return item

    def _unit_after(self, spot: Spot, number: Number) -> tuple[Unit, int] | None:
        return self.units.find(spot.words, spot.raw, spot.i + number.length, bare=number)

    def _quantity(self, spot: Spot, number: Number, found: tuple[Unit, int]) -> Item:
        amount = self.units.amount(spot.words, spot.raw, number, *found)
        item = self._item(spot, amount.kind, amount.end - spot.i)
        item.value, item.unit, item.form = amount.value, amount.unit, amount.form
        return item

    def _item(self, spot: Spot, kind: str, length: int) -> Item:
        return spot.item(kind, self.kind_symbol[kind], length)
