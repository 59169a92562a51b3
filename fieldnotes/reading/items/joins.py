"""Stage 4c: items that belong together: counting aloud, ranges, and hedges with their number."""

from __future__ import annotations

from ...grammar.load import Grammar
from ..numbers import celsius
from .row import QUANTITIES, Item


def _phrases(phrases: tuple[str, ...]) -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(p.split()) for p in phrases)


_NAMING = frozenset({"hive", "nuc", "numbersign"})
"""Terms after which a run of numbers names hives."""
_BOARDS = frozenset({"method.board", "board.weak"})


MOST_MEASURES = 6
"""Measures of bees that make up one sample, at the most."""
GLUE = 4
"""Items that may stand between a number and the digits that spell it out."""


class Joiner:
    """Joins items with the words of one grammar."""

    def __init__(self, grammar: Grammar, number_symbol: str) -> None:
        self.words = grammar.items.joins
        hedges = grammar.numbers.hedges
        self._before = _phrases(hedges.before)
        self._after = _phrases(hedges.after)
        self._over = _phrases(hedges.over)
        self._under = _phrases(hedges.under)
        self._open = _phrases(hedges.open)
        self._repairs = _phrases(grammar.repairs.repair.phrases)
        self._number_symbol = number_symbol

    def join(self, items: list[Item], words: list[str], spaces: list[bool]) -> list[Item]:
        """Take hedges into their numbers, join ranges, drop fillers."""
        out: list[Item] = []
        k, n = 0, len(items)
        while k < n:
            item = items[k]
            if item.kind == "filler":
                k += 1
                continue
            if item.kind == "n" and (after := self._taken_back(items, k)):
                k = after
                continue
            if item.kind == "n" and item.form == "words" and not self._names_hives(out):
                k = self._aloud(items, k)
                item = items[k]
            if item.kind == "vol":
                self._several_measures(item, out, words)
            if item.kind in QUANTITIES:
                k = self._range(items, k, spaces, out)
                item = items[k]
                if item.kind == "n" and out and out[-1].word in self.words.either:
                    # "sicks or seven": whatever the first was, which of the two is open
                    item.hedged = item.open = True
                self._hedge_before(out, item)
                k += self._hedge_after(items, k, item, words)
            out.append(item)
            if item.kind == "n":
                k += self._spelled_out(items, k, item)
            if "mite" in item.ids and len(out) > 1 and out[-2].kind == "n":
                k += self._hedge_after(items, k, out[-2], words)
                k += self._spelled_out(items, k, out[-2])
            k += 1
        return out

    def _several_measures(self, item: Item, out: list[Item], words: list[str]) -> None:
        """ "two level half cups" are one amount: take the number before a measure into it."""
        if not words[item.j - 1].endswith("s") or not out:
            return
        k = len(out) - (2 if len(out) > 1 and out[-1].word in self.words.level else 1)
        number = out[k]
        if number.kind != "n" or not 2 <= number.value <= MOST_MEASURES or number.low is not None:
            return
        item.value *= number.value
        item.i, item.start = number.i, number.start
        del out[k:]

    def _taken_back(self, items: list[Item], k: int) -> int:
        """ "400, sorry, 300 bees", "two, no, three minutes": the index of the number that holds.

        0 where nothing is taken back, or only a later stage can tell: of two bare numbers.
        """
        j = k + 1 + (k + 1 < len(items) and items[k + 1].word == ",")
        for length in (3, 2, 1):
            words = [part for o in items[j : j + length] for part in o.word.split()]
            if tuple(words) in self._repairs:
                break
        else:
            return 0
        j += length
        j += j < len(items) and items[j].word == ","
        if j >= len(items) or items[j].kind not in QUANTITIES:
            return 0
        noun = items[j + 1] if j + 1 < len(items) else None
        own = items[j].kind != "n" or (noun is not None and "bee" in noun.ids)
        return j if own else 0

    def _spelled_out(self, items: list[Item], k: int, number: Item) -> int:
        """How many items after ``k`` spell a number out again.

        "Nineteen. One nine.", "thirty nine that's a three and a nine".
        """
        if number.form != "words" or not 10 <= number.value <= 99:
            return 0
        j = k
        for digit in divmod(number.value, 10):
            j = self._after_glue(items, j + 1)
            spelled = items[j] if j < len(items) else number
            if (spelled.kind, spelled.form, spelled.value) != ("n", "words", digit):
                return 0
        return j - k

    def _after_glue(self, items: list[Item], j: int) -> int:
        """The first item from ``j`` on that does not merely lead to a digit spelled out."""
        last = min(len(items), j + GLUE)
        while j < last and (
            items[j].kind in ("border", "mark", "filler") or items[j].word in self.words.spelling
        ):
            j += 1
        return j

    def _names_hives(self, out: list[Item]) -> bool:
        """Whether a run of numbers follows "hives", or "out of", and so names them."""
        if out and out[-1].word.rpartition(" ")[2] in self.words.into:
            return True
        for item in reversed(out[-8:]):
            if not item.ids.isdisjoint(_NAMING):
                return True
            if not (item.kind == "n" or item.word in self.words.lists):
                return False
        return False

    def _aloud(self, items: list[Item], k: int) -> int:
        """Counting aloud, "one two three four": only the last number counts; its index."""
        last, n, run = k, len(items), 1
        while True:
            j = last + 1
            while j < n and (items[j].word in self.words.aloud or items[j].word.startswith("..")):
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
        # "six, or seven"
        comma = (
            items[k + 1].word == ","
            and k + 3 < len(items)
            and items[k + 2].word in self.words.ranges
        )
        joint, second = items[k + 1 + comma], items[k + 2 + comma]
        if second.kind not in QUANTITIES or first.kind not in ("n", second.kind):
            return k
        tight = joint.word == "-" and not (spaces[first.j - 1] or spaces[joint.j - 1])
        loose = joint.word in self.words.ranges or (
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
            low = celsius(first.value) if second.value < first.value - 15 else first.value
        if not low < second.value or (second.kind == "n" and second.value > 6 * low + 10):
            return k
        if (
            joint.word == "to"
            and out
            and out[-1].word in self.words.not_ranges
            and second.kind == "n"
        ):
            return k
        if loose and joint.word == "and" and out:
            second.i, second.start = out[-1].i, out[-1].start
            out.pop()
        else:
            second.i, second.start = first.i, first.start
        second.low, second.high = low, second.value
        second.form = "range-or" if joint.word == "or" else "range"
        if second.kind == "n":
            second.sym = self._number_symbol
        return k + 2 + comma

    def _hedge_before(self, out: list[Item], item: Item) -> None:
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
                    if self._is_place(out[:-length]):
                        return
                    item.high, item.form = item.value, "under"
                else:
                    continue
                del out[-length:]
                break
            else:
                return

    def _is_place(self, before: list[Item]) -> bool:
        """ "a board under 12", "from under 12": where something lies, no bound."""
        return bool(before) and (
            before[-1].word in self.words.out_from or not before[-1].ids.isdisjoint(_BOARDS)
        )

    def _hedge_after(self, items: list[Item], k: int, item: Item, words: list[str]) -> int:
        """Take in the hedge after item ``k``, which is ``item`` or its noun; return its length."""
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
                and any(w in self.words.asking for w in words[max(0, item.i - 6) : item.i])
            ):
                continue
            if phrase in self._after:
                item.hedged = True
                item.open = item.open or phrase in self._open
                return length
        return 0
