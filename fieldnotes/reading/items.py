"""Stage 3 and 4: the note as a row of items: terms, values, words and marks.

An item is the unit of all later stages. Each has a character, so that the row is also a string on
which the patterns of the grammar run (see :mod:`fieldnotes.grammar.pattern`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from spacy.tokens import Doc

from ..grammar.load import Grammar, Lexicon
from ..grammar.pattern import MARKS
from ..grammar.schema import Cue, Heard, Pseudo, Unit
from .dates import Day, read_clock, read_day
from .numbers import Number, read_number

_CODE = re.compile(r"[A-Za-z]{1,3}-?\d{1,3}[A-Za-z]?$")
_NUMBERED = re.compile(r"\d{1,2}[ABDEKNPRXYZ]$")
_DOTTED = re.compile(r"\d{1,2}\.\d{2}\.?$")
_SMALL = frozenset(
    [
        "nil",
        "none",
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
        "twenty",
    ]
)
_LYING = frozenset(
    {"were", "was", "been", "lay", "left", "sat", "stayed", "had", "laid", "it", "them"}
)
_DROPPED = frozenset(
    {
        "insert",
        "board",
        "boards",
        "tray",
        "trays",
        "sheet",
        "drop",
        "fall",
        "mites",
        "mite",
        "dropped",
        "fell",
        "inserts",
        "varroa",
    }
)
_SHORT_DAYS = frozenset(
    {"Mon", "Tue", "Tues", "Wed", "Weds", "Thu", "Thur", "Thurs", "Fri", "Sat", "Sun"}
)
_MOOD = frozenset({"temper", "temperament", "mood", "score", "out", "gentleness"})
_BEFORE_DATE = frozenset({"on", "of", "from", "since", "until", "till", "by", "to", "vom", "bis"})
_BORDERS = frozenset(".;!?\n")
_KIND_OF = {"volume": "vol", "mass": "mass", "temperature": "temp", "percent": "pct"}
_NONE: frozenset[str] = frozenset()


@dataclass(slots=True)
class Item:
    """One term, value, word or mark of the note.

    ``kind`` is a value kind (see ``VALUE_KINDS``), or "term", "word", "name", "mark", "border".
    ``i``, ``j`` are token indices, ``start``, ``end`` offsets into the clean text.
    ``value`` is in the canonical unit; ``low`` and ``high`` are set for ranges and bounds.
    """

    kind: str
    sym: str
    word: str
    i: int
    j: int
    start: int
    end: int
    ids: frozenset[str] = _NONE
    value: float = 0.0
    low: float | None = None
    high: float | None = None
    hedged: bool = False
    open: bool = False
    unit: Unit | None = None
    day: Day | None = None
    form: str = ""
    over: float = 0.0
    raw: str = ""


@dataclass(slots=True)
class CueHit:
    """A standing cue found at tokens ``i`` to ``j``."""

    cue: Cue | Pseudo
    i: int
    j: int


Hit = tuple[frozenset[str], int, int]
"""Ids found at tokens ``i`` to ``j`` of an overlay."""


@dataclass(slots=True)
class Row:
    """A whole note as items; ``symbols[k]`` is the character of ``items[k]``."""

    text: str
    words: list[str]
    items: list[Item]
    symbols: str
    cues: list[CueHit]
    ops: list[Hit]
    steps: list[Hit]
    corrected: dict[int, str] = field(default_factory=dict)
    gaps: frozenset[int] = frozenset()
    """Tokens that begin a new column: after a tab or a run of spaces."""


def _match(
    index: Lexicon, words: list[str], i: int, limit: int = 99
) -> tuple[int, frozenset[str]] | None:
    """The longest phrase of at most ``limit`` words that begins at ``words[i]``."""
    by_second = index.get(words[i])
    if by_second is None:
        return None
    if limit > 1 and i + 1 < len(words):
        for phrase, ids in by_second.get(words[i + 1], ()):
            n = len(phrase)
            if n <= limit and (n == 2 or tuple(words[i : i + n]) == phrase):
                return n, ids
    single = by_second.get("")
    return (1, single[0][1]) if single else None


def by_word(heard: Iterable[Heard]) -> dict[str, list[Heard]]:
    """Mishearings by the word that was written."""
    rows: dict[str, list[Heard]] = {}
    for row in heard:
        rows.setdefault(row.text, []).append(row)
    return rows


def mend(words: list[str], rows: dict[str, list[Heard]]) -> dict[int, str]:
    """Words misheard by a recogniser, by index, with the word meant, where the company is right."""
    out: dict[int, str] = {}
    for i, word in enumerate(words):
        found = rows.get(word)
        if found is None:
            continue
        before = words[i - 1] if i else ""
        after = words[i + 1] if i + 1 < len(words) else ""
        for heard in found:
            if heard.after and before not in heard.after:
                continue
            if heard.before and after not in heard.before:
                continue
            if after in heard.unless_before or before in heard.unless_after:
                continue
            if heard.needs and not any(w in heard.needs for w in words[i + 1 : i + 4]):
                continue
            out[i] = heard.means
            break
    return out


class ItemBuilder:
    """Builds rows with one grammar; everything that depends on the grammar only is made once."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar
        self._heard = by_word(grammar.mishearings.heard)
        hedges = grammar.numbers.hedges
        self._before = {tuple(p.split()) for p in hedges.before}
        self._after = {tuple(p.split()) for p in hedges.after}
        self._over = {tuple(p.split()) for p in hedges.over}
        self._under = {tuple(p.split()) for p in hedges.under}
        self._open = {tuple(p.split()) for p in hedges.open}
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
        symbols = grammar.symbols
        self._kind_symbol = {}
        from ..grammar.pattern import VALUE_KINDS

        for kind in VALUE_KINDS:
            self._kind_symbol[kind] = symbols.of(frozenset({kind}), None)
        self._possessives = frozenset(
            word
            for word, by_second in grammar.lexicon.items()
            if any(
                ids & {"hive", "nuc", "queen", "stand_place"} for _, ids in by_second.get("", ())
            )
        )
        self._w = frozenset({"w"})
        self._n = frozenset({"n"})
        self._name = frozenset({"name"})

    # -- the row ---------------------------------------------------------------------------------

    def build(self, doc: Doc, text: str) -> Row:
        """Return the row of items of a tokenized text."""
        raw: list[str] = []
        starts: list[int] = []
        spaces: list[bool] = []
        for token in doc:
            part = token.text
            if part.isspace():
                if "\n" not in part:
                    continue
                part = "\n\n" if part.count("\n") > 1 else "\n"
            raw.append(part)
            starts.append(token.idx)
            spaces.append(bool(token.whitespace_))
        words = [self._plain_possessive(w.lower()) for w in raw]
        corrected = mend(words, self._heard)
        for i, means in corrected.items():
            words[i] = means
        items: list[Item] = []
        i, n = 0, len(words)
        while i < n:
            item = self._item(words, raw, starts, i)
            if item is None:
                i += 1
                continue
            items.append(item)
            i = item.j
        items = self._join(items, words, spaces)
        symbols = "".join([item.sym for item in items])
        cues, ops, steps = self._overlays(words)
        gaps = (
            frozenset(
                t
                for t in range(1, n)
                if starts[t] - starts[t - 1] - len(raw[t - 1]) >= 2 or text[starts[t] - 1] == "\t"
            )
            if "\t" in text or "  " in text
            else frozenset()
        )
        return Row(text, words, items, symbols, cues, ops, steps, corrected, gaps)

    def _plain_possessive(self, word: str) -> str:
        """ "hive's" and "two's" are hive and two; other words keep their ending."""
        if word[-2:] == "'s":
            base = word[:-2]
            if (
                base in self._possessives
                or base in self.grammar.numbers.words
                or base in self.grammar.dates.weekdays
                or base
                in (
                    "today",
                    "yesterday",
                    "month",
                    "week",
                    "year",
                    "autumn",
                    "spring",
                    "summer",
                    "season",
                )
            ):
                return base
        return word

    def _overlays(self, words: list[str]) -> tuple[list[CueHit], list[Hit], list[Hit]]:
        """Standing cues, repair words and steps: they lie over the items and may share words."""
        cues: list[CueHit] = []
        steps: list[Hit] = []
        step_lexicon = self.grammar.step_lexicon
        ops: list[Hit] = []
        cue_lexicon, repair_lexicon = self.grammar.cue_lexicon, self.grammar.repair_lexicon
        free = 0
        for i, word in enumerate(words):
            rows = cue_lexicon.get(word)
            if rows is not None and i >= free:
                taken = 0
                for phrase, cue in rows:
                    n = len(phrase)
                    if n < taken:
                        break
                    if n == 1 or tuple(words[i : i + n]) == phrase:
                        if taken and isinstance(cues[-1].cue, Pseudo):
                            break
                        cues.append(CueHit(cue, i, i + n))
                        taken = n
                if taken:
                    free = i + taken
            if word in repair_lexicon:
                found = _match(repair_lexicon, words, i)
                if found and "filler" not in found[1]:
                    ops.append((found[1], i, i + found[0]))
            if word in step_lexicon:
                step = _match(step_lexicon, words, i)
                if step:
                    steps.append((step[1], i, i + step[0]))
        return cues, ops, steps

    def _item(self, words: list[str], raw: list[str], starts: list[int], i: int) -> Item | None:
        word = words[i]
        grammar = self.grammar
        symbols = grammar.symbols
        if word[0] == "\n":
            return Item("border", "\n", word, i, i + 1, starts[i], starts[i] + len(raw[i]))
        found = _match(grammar.lexicon, words, i) if word in grammar.lexicon else None
        if found is not None and found[0] > 1:
            # a phrase does not reach over the gap between two columns
            for t in range(i, i + found[0] - 1):
                if starts[t + 1] - starts[t] - len(raw[t]) >= 2:
                    found = _match(grammar.lexicon, words, i, t + 1 - i)
                    break
        first = word[0]
        value: Item | None = None
        if (
            first.isdecimal()
            or not first.isascii()
            or word in self._day_starts
            or word in self._clock_starts
            or first in "@."
            or ("-" in word and len(word) > 6 and word.partition("-")[0] in grammar.numbers.tens)
        ):
            value = self._value(words, raw, starts, i)
        if found is not None and (
            value is None or value.j - i <= found[0] or (value.kind == "ord" and found[0] > 1)
        ):
            length, ids = found
            end = starts[i + length - 1] + len(raw[i + length - 1])
            if (
                length == 1
                and word in ("m", "b", "e", "q", "f", "n", "tau")
                and not self._letter_is_term(words, raw, i)
            ):
                found = None
            elif length == 1 and word == "in" and value is not None:
                pass
            else:
                sym = symbols.of(ids, word if length == 1 else None)
                return Item(
                    "term",
                    sym,
                    word if length == 1 else " ".join(words[i : i + length]),
                    i,
                    i + length,
                    starts[i],
                    end,
                    ids,
                    raw=raw[i],
                )
        if value is not None:
            return value
        if word in grammar.repair_lexicon:
            op = _match(grammar.repair_lexicon, words, i)
            if op and "filler" in op[1] and not (op[0] == 1 and word in ("right", "well", "like")):
                return None if op[0] == 1 else self._skip(words, raw, starts, i, op[0])
        end = starts[i] + len(raw[i])
        if (len(word) == 1 and word in _BORDERS) or word.startswith(".."):
            if word == "?":
                return Item("mark", "?", word, i, i + 1, starts[i], end)
            return Item("border", "\n", word, i, i + 1, starts[i], end)
        if len(word) == 1 and word in MARKS:
            return Item("mark", word, word, i, i + 1, starts[i], end)
        part = raw[i]
        if (_CODE.match(part) and part[0].isupper()) or _NUMBERED.match(part):
            return Item("code", self._kind_symbol["code"], word, i, i + 1, starts[i], end, raw=part)
        if (
            len(part) == 1
            and part.isupper()
            and (part not in ("I", "A") or (part == "A" and self._letter_a(words, i)))
        ):
            return Item(
                "letter",
                symbols.of(frozenset({"letter"}), word),
                word,
                i,
                i + 1,
                starts[i],
                end,
                raw=part,
            )
        if part[0].isupper() and word not in grammar.known_words and (len(part) > 1):
            return Item(
                "name", symbols.of(self._name, word), word, i, i + 1, starts[i], end, raw=part
            )
        return Item("word", symbols.of(self._w, word), word, i, i + 1, starts[i], end, raw=part)

    @staticmethod
    def _letter_a(words: list[str], i: int) -> bool:
        """A capital A is a name only at the head of a line, or beside a hive, number or mark."""
        before = words[i - 1] if i else "\n"
        after = words[i + 1] if i + 1 < len(words) else "\n"
        if before in ("hive", "colony", "nuc") or after in (":", "=", "-", "|", "\n"):
            return True
        return (before[0] in "\n." or before in (":", ",", "and")) and (
            after[:1].isdecimal() or after in _SMALL
        )

    def _skip(self, words: list[str], raw: list[str], starts: list[int], i: int, n: int) -> Item:
        end = starts[i + n - 1] + len(raw[i + n - 1])
        return Item("filler", "", " ".join(words[i : i + n]), i, i + n, starts[i], end)

    @staticmethod
    def _letter_is_term(words: list[str], raw: list[str], i: int) -> bool:
        """One-letter shorthand is a term only beside a number, a mark or another shorthand."""
        before = words[i - 1] if i else "\n"
        after = words[i + 1] if i + 1 < len(words) else "\n"
        if words[i] in ("m", "b", "f"):
            return (
                before[:1].isdecimal()
                or before[-1:] in "½"
                or (
                    words[i] == "f"
                    and (
                        after[:1].isdecimal()
                        or before == "\n"
                        or after in ("bees", "brood", "stores")
                    )
                )
            )
        shorthand = {
            "e",
            "l",
            "b",
            "q",
            "/",
            "+",
            ",",
            "✓",
            "✗",
            ":",
            "|",
            "\n",
            ".",
            "-",
            "=",
            "seen",
            "not",
        }
        return raw[i].isupper() and before in shorthand and after in shorthand

    # -- values ----------------------------------------------------------------------------------

    def _value(self, words: list[str], raw: list[str], starts: list[int], i: int) -> Item | None:
        grammar = self.grammar
        word = words[i]

        def make(kind: str, length: int) -> Item:
            last = i + length - 1
            sym = self._kind_symbol[kind]
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

        day: Day | None = None
        if _DOTTED.match(word) and (
            not i or words[i - 1] in _BEFORE_DATE or words[i - 1][0] == "\n"
        ):
            first, second = word.rstrip(".").split(".")
            if 1 <= int(first) <= 31 and 1 <= int(second) <= 12:
                item = make("day", 1)
                item.day = Day("date", 1, day=int(first), month=int(second))
                return item
        if (
            word == "in"
            and i
            and (words[i - 1] in _LYING or any(w in _DROPPED for w in words[max(0, i - 6) : i]))
        ):
            pass
        elif word[0].isdecimal() or word in self._day_starts:
            day = read_day(words, i, grammar.dates, grammar.numbers)
        if day is None and raw[i] in _SHORT_DAYS and grammar.dates.weekdays.get(word) is not None:
            after = words[i + 1] if i + 1 < len(words) else "\n"
            before = words[i - 1] if i else "\n"
            if (
                after in (",", ".", ":", "-", "\n")
                or after[0].isdecimal()
                or before in (",", "on", "till", "until")
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
            and any(w in _MOOD for w in words[max(0, i - 3) : i])
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
        if word in ("a", "an") and number is None and i + 1 < len(words):
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
            item = make("ord", number.length)
            item.value, item.form = number.value, "ordinal"
            if number.length == 1:
                item.sym = grammar.symbols.of(frozenset({"ord"}), word)
            return item
        unit = self._unit(words, raw, i + number.length, bare=number)
        if unit is not None:
            return self._quantity(words, raw, i, number, unit, make)
        if number.form == "fraction" and number.over:
            item = make("frac", number.length)
            item.value, item.over, item.form = number.value, number.over, "fraction"
            return item
        if number.form == "fraction" and number.value < 1:
            return None
        item = make("n", number.length)
        item.value, item.form = number.value, number.form
        if number.length == 1:
            item.sym = grammar.symbols.of(self._n, word)
        return item

    def _unit(
        self, words: list[str], raw: list[str], i: int, bare: Number | None = None
    ) -> tuple[Unit, int, int] | None:
        """The unit at ``words[i]``: the unit, where it begins and where it ends."""
        n = len(words)
        for skip in (0, 1, 2, 3):
            if skip and tuple(words[i : i + skip]) not in self._between:
                if skip == 1 and i < n and tuple(words[i : i + 2]) in self._between:
                    continue
                if skip >= 2 or i >= n:
                    break
                break
            if (
                skip
                and i + skip <= n
                and words[i + skip - 1] in ("a", "an")
                and bare is not None
                and bare.form != "fraction"
            ):
                break
            j = i + skip
            rows = self.grammar.unit_lexicon.get(words[j]) if j < n else None
            if j < n and raw[j] in ("C", "F", "T"):
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

    @staticmethod
    def _sure_unit(
        words: list[str], raw: list[str], j: int, number: Number | None, unit: Unit
    ) -> bool:
        """A risky unit surface counts only where the number beside it makes sense with it."""
        if number is None or number.form == "ordinal":
            return False
        word = raw[j]
        if word in ("C", "F"):
            after = words[j + 1] if j + 1 < len(words) else ""
            return number.form in ("digits", "words") and after not in ("stores", "bees", "brood")
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
            and words[end + 2] in ("half", "quarter")
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
                and words[k] in ("seconds", "secs", "sec", "s")
                and more.value < 60
            ):
                value += more.value / 60
                end = k + 1
        elif unit.dimension == "temperature" and end < n and unit.id == "degrees":
            after = raw[end]
            if after in ("C", "F", "Celsius", "Fahrenheit", "celsius", "fahrenheit"):
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
            fahrenheit = unit.id == "fahrenheit" or (unit.id == "degrees" and value > 45)
            item.value = (value - 32) * 5 / 9 if fahrenheit else value
        return item

    # -- joining ---------------------------------------------------------------------------------

    def _join(self, items: list[Item], words: list[str], spaces: list[bool]) -> list[Item]:
        """Take hedges into their numbers, join ranges, drop fillers."""
        out: list[Item] = []
        k, n = 0, len(items)
        while k < n:
            item = items[k]
            if item.kind == "filler":
                k += 1
                continue
            if item.kind == "n" and item.form == "words" and not self._names_hives(out):
                k = self._aloud(items, k)
                item = items[k]
            if item.kind in ("n", "dur", "vol", "spoon", "days", "hours", "mass", "pct", "temp"):
                k = self._range(items, k, spaces, out)
                item = items[k]
                self._hedge_before(out, item, words)
                k += self._hedge_after(items, k, item, words)
            out.append(item)
            k += 1
        return out

    @staticmethod
    def _names_hives(out: list[Item]) -> bool:
        """Whether a run of numbers follows "hives" and so names them."""
        for item in reversed(out[-8:]):
            if "hive" in item.ids or "nuc" in item.ids:
                return True
            if not (item.kind == "n" or item.word in (",", "and", "&", "number", "no")):
                return False
        return False

    @staticmethod
    def _aloud(items: list[Item], k: int) -> int:
        """Counting aloud, "one two three four": only the last number counts; its index."""
        last, n, run = k, len(items), 1
        while True:
            j = last + 1
            while j < n and (items[j].word in (",", "and", "-") or items[j].word.startswith("..")):
                j += 1
            if (
                j >= n
                or items[j].kind != "n"
                or items[j].form != "words"
                or items[j].value != items[last].value + 1
            ):
                break
            last, run = j, run + 1
        if run < 3:
            return k
        items[last].start, items[last].i = items[k].start, items[k].i
        return last

    def _range(self, items: list[Item], k: int, spaces: list[bool], out: list[Item]) -> int:
        """Join "3-4", "three or four", "2 to 3 minutes" into the second item; return its index."""
        first = items[k]
        if k + 2 >= len(items):
            return k
        joint, second = items[k + 1], items[k + 2]
        if second.kind not in (
            "n",
            "dur",
            "vol",
            "spoon",
            "days",
            "hours",
            "mass",
            "pct",
            "temp",
        ) or first.kind not in ("n", second.kind):
            return k
        tight = joint.word == "-" and not spaces[first.j - 1]
        loose = joint.word in ("or", "to") or (
            joint.word == "and" and out and out[-1].word == "between"
        )
        if not (tight or loose):
            return k
        low = (
            first.value
            if first.kind == second.kind or second.unit is None
            else first.value * second.unit.factor
        )
        if second.kind == "temp" and first.kind == "n":
            low = (first.value - 32) * 5 / 9 if second.value < first.value - 15 else first.value
        if not low < second.value or (second.kind == "n" and second.value > 6 * low + 10):
            return k
        if joint.word == "to" and out and out[-1].word in ("from",) and second.kind == "n":
            return k
        if loose and joint.word == "and" and out:
            second.i, second.start = out[-1].i, out[-1].start
            out.pop()
        else:
            second.i, second.start = first.i, first.start
        second.low, second.high = low, second.value
        second.form = "range-or" if joint.word == "or" else "range"
        if second.kind == "n":
            second.sym = self._kind_symbol["n"]
        return k + 2

    def _hedge_before(self, out: list[Item], item: Item, words: list[str]) -> None:
        for _ in range(2):
            for length in (3, 2, 1):
                if len(out) < length:
                    continue
                phrase = tuple(part for o in out[-length:] for part in o.word.split())
                if phrase in self._before:
                    item.hedged = True
                    item.open = item.open or phrase in self._open
                elif phrase in self._over and item.kind in ("n", "pct"):
                    item.low, item.form = item.value, "over"
                elif phrase in self._under and item.kind in ("n", "pct"):
                    item.high, item.form = item.value, "under"
                else:
                    continue
                del out[-length:]
                break
            else:
                return

    def _hedge_after(self, items: list[Item], k: int, item: Item, words: list[str]) -> int:
        if (
            item.kind == "n"
            and k + 1 < len(items)
            and items[k + 1].word == "+"
            and items[k + 1].start == item.end
        ):
            item.low, item.form = item.value, "over"
            return 1
        for length in (4, 3, 2, 1):
            nxt = items[k + 1 : k + 1 + length]
            if len(nxt) < length:
                continue
            phrase = tuple(part for o in nxt for part in o.word.split())
            if (
                phrase == ("?",)
                and (k + 2 >= len(items) or items[k + 2].kind == "border")
                and any(
                    w in ("what", "how", "who", "did", "is", "was")
                    for w in words[max(0, item.i - 6) : item.i]
                )
            ):
                continue
            if phrase in self._after:
                item.hedged = True
                item.open = item.open or phrase in self._open
                return length
        return 0


def words_of(items: Iterable[Item]) -> str:
    """The words of some items, for messages."""
    return " ".join(item.word for item in items)
