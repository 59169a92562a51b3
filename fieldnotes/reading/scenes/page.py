"""The note as stage 7 looks at it: its items, and what can be asked of one place in it."""

from __future__ import annotations

import re

from ..items import Item
from .lexicon import SceneLexicon

_STAMPS = ("day", "clock", "temp")
_LINE_OPENERS = frozenset({"-", "*", "(", "[", "]", "+", ">", "→", ","})


def base(item: Item) -> str:
    """The word without a possessive ending."""
    return item.word.removesuffix("'s").removesuffix("'")


def raw_base(item: Item) -> str:
    """The word as written, without a possessive ending."""
    return (item.raw or item.word).removesuffix("'s").removesuffix("'")


LOUD = 5
SHORTEST_SHOUT = 3
"""A note is loud where more than one in so many of its longer words is in capitals."""
FLOWING = 25
"""Items to each end of a sentence or line from which a note is one flow of words."""

LONGEST_OPENING = 16
"""Dates, times and list marks that a line may begin with."""


def written(item: Item) -> str:
    """The word as written, or as read where several words were joined."""
    return item.raw or item.word


_SMALL_CODE = re.compile(r"[a-z]{1,2}-?\d{1,3}$")


def code_name(item: Item) -> str | None:
    """The name in a code such as "A4", or in one written small; None for other items."""
    if item.kind == "code":
        return item.raw
    return item.raw.upper() if item.kind == "word" and _SMALL_CODE.match(item.raw) else None


def capital(item: Item) -> bool:
    """Whether the word is written with a capital."""
    return item.raw[:1].isupper()


def number_name(item: Item) -> str:
    """The name that a number gives a hive."""
    return str(int(item.value))


def is_plain(item: Item) -> bool:
    """Whether the item is a number, and no range or bound."""
    return item.kind == "n" and item.low is None


def is_whole(item: Item) -> bool:
    """Whether the item is a whole number, and no range or bound."""
    return is_plain(item) and float(item.value).is_integer()


class Page:
    """The items of one note and the words of one grammar.

    ``typed`` is true where the note is written with capitals, so that a name without one is
    unlikely; ``flowing`` where hardly any sentence ends, as in what a recogniser writes down;
    ``loose`` where a word like "box" stands before several numbers, so that it means a
    hive everywhere; ``loud`` where much is written in capitals.
    """

    __slots__ = ("flowing", "items", "lexicon", "loose", "loud", "n", "typed")

    def __init__(self, items: list[Item], lexicon: SceneLexicon) -> None:
        self.items = items
        self.lexicon = lexicon
        self.n = len(items)
        self.typed = self._is_typed()
        self.flowing = FLOWING * sum(i.kind == "border" for i in items) < self.n
        self.loose = self._is_loose()
        long = [i.raw for i in items if len(i.raw) > SHORTEST_SHOUT and i.raw.isalpha()]
        self.loud = LOUD * sum(word.isupper() for word in long) > len(long)

    def _is_typed(self) -> bool:
        items = self.items
        keeper = self.lexicon.around.common.keeper
        return (
            any(
                i.kind in ("name", "word")
                and capital(i)
                and i.raw not in keeper
                and not self.opens_sentence(k)
                for k, i in enumerate(items)
            )
            or sum(capital(i) and i.raw not in keeper for i in items) >= 3
        )

    def _is_loose(self) -> bool:
        items = self.items
        numbers = {
            items[k + 1].value
            for k, i in enumerate(items[:-1])
            if "hive_loose" in i.ids and items[k + 1].kind == "n" and not self.counts(k + 1)
        }
        return len(numbers) >= 2

    def word(self, k: int) -> str:
        """The word at ``k``, or "" outside the note."""
        return self.items[k].word if 0 <= k < self.n else ""

    def is_trade(self, item: Item) -> bool:
        """Whether the item is a term of the trade."""
        return item.kind == "term"

    def counts(self, k: int, *, plural: bool = False) -> bool:
        """Whether the number at ``k`` counts what follows it, and so is no name."""
        if k + 1 >= self.n:
            return False
        common = self.lexicon.around.common
        following = self.items[k + 1]
        if following.ids & common.countable:
            if following.ids.isdisjoint(("mite", "bee", "super")):
                return True
            # "hive seven mites four": the number names the hive, another one counts
            after = self.items[k + 2] if k + 2 < self.n else None
            return after is None or not (after.kind == "n" or after.word in common.count_follows)
        if not plural and following.word in common.counting and not self._lists(k + 1):
            return True
        return following.word in common.dealt and self._is_dealt(k + 2)

    def _lists(self, k: int) -> bool:
        """ "hive 12 / alcohol / brood": the slash at ``k`` divides words, and no number."""
        return self.items[k].word == "/" and k + 1 < self.n and self.items[k + 1].kind == "term"

    def _is_dealt(self, k: int) -> bool:
        """ "six in 2, four in 3": whether ``k`` names the hive that the number before counts in."""
        if k >= self.n or not is_whole(self.items[k]):
            return False
        return k + 1 >= self.n or self.items[k + 1].ids.isdisjoint(
            self.lexicon.around.common.countable
        )

    def names_number(self, k: int) -> bool:
        """Whether a number stands at ``k`` that counts nothing and so may be part of a name."""
        return k < self.n and is_plain(self.items[k]) and not self.counts(k)

    def opens_sentence(self, k: int) -> bool:
        """Whether ``k`` is the first item of a sentence or line."""
        return k == 0 or self.items[k - 1].kind == "border"

    def at_line_start(self, k: int) -> bool:
        """Whether only dates, times and list marks stand before ``k`` on its line."""
        items = self.items
        j = k - 1
        while (
            j >= 0
            and k - j <= LONGEST_OPENING
            and (
                items[j].kind in _STAMPS
                or items[j].word in _LINE_OPENERS
                or self._dot_of_stamp(j)
                or self._counts_line(j)
            )
        ):
            j -= 1
        return j < 0 or (items[j].kind == "border" and items[j].word[0] == "\n")

    def _dot_of_stamp(self, k: int) -> bool:
        """ "12. Larch": the full stop of a date."""
        item = self.items[k]
        return (
            item.kind == "border"
            and item.word == "."
            and k > 0
            and self.items[k - 1].kind in _STAMPS
        )

    def _counts_line(self, k: int) -> bool:
        """ "1) Larch": the number and bracket that count the lines of a list."""
        j = k if self.items[k].word == ")" else k + 1
        return (
            0 < j < self.n
            and self.items[j].word == ")"
            and is_whole(self.items[j - 1])
            and (j < 2 or self.items[j - 2].kind == "border")
        )

    def at_clause_head(self, k: int) -> bool:
        """Whether ``k`` opens a sentence or stands at the head of a line."""
        return self.opens_sentence(k) or self.at_line_start(k)

    def at_clause_start(self, k: int) -> bool:
        """Whether ``k`` opens a sentence or follows a word that opens a clause."""
        openers = self.lexicon.around.common.clause_openers
        return self.opens_sentence(k) or self.items[k - 1].word in openers
