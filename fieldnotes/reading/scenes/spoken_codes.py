"""Stage 7, codes without capitals: "a one had six a two had none", "h1 4", "b four: nil"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..items import Item
from .mentions import Mention
from .page import Page, is_whole, number_name

HIGHEST_SPOKEN = 99
"""Numbers above this are not spoken after a letter to name a hive."""

_SAID_OF_HIVES = ("temper", "sign", "queen", "method", "test", "sugar")  # how ids of terms begin
_HIVE_NOUNS = ("hive", "numbersign", "hive_loose")
_WRITTEN = re.compile(r"[a-z]{1,2}\d{1,3}$")


@dataclass(frozen=True, slots=True)
class _Code:
    """What may be a code at items ``first`` to ``last``; ``told`` where a hive's words follow.

    ``named`` where the letter was said by its name, "kay nine", which is hardly anything else.
    """

    first: int
    last: int
    letters: str
    number: str
    told: bool
    named: bool = False


def spoken_codes(page: Page, taken: set[int]) -> list[Mention]:
    """Letters with numbers that name hives, because several of a kind stand in the note.

    One alone counts at the head of a clause where what follows is said of a hive; after the
    article "a" never.
    """
    kin: dict[str, list[_Code]] = {}
    for k in range(page.n):
        code = _code(page, k)
        if code is not None and taken.isdisjoint(range(code.first, code.last)):
            kin.setdefault(code.letters, []).append(code)
    out: list[Mention] = []
    articles = page.lexicon.around.codes.articles
    for letters, codes in kin.items():
        told = {c.number for c in codes if c.told}
        lone = letters not in articles and any(
            c.named or (c.told and page.at_clause_head(c.first)) for c in codes
        )
        if len(told) >= 2 or lone:
            out.extend(
                Mention(
                    c.first,
                    c.last,
                    letters.upper() + c.number,
                    head=page.at_line_start(c.first),
                )
                for c in codes
                if c.number in told or letters not in articles
            )
    return sorted(out, key=lambda m: m.first)


def _code(page: Page, k: int) -> _Code | None:
    item = page.items[k]
    if item.kind == "word" and _WRITTEN.match(item.raw):
        letters = item.word.rstrip("0123456789")
        if letters in page.lexicon.around.codes.other:
            return None
        return _Code(k, k + 1, letters, item.word[len(letters) :], is_told(page, k + 1))
    if not _is_spoken(page, k, item):
        return None
    number = page.items[k + 1]
    noun = k > 0 and not page.items[k - 1].ids.isdisjoint(_HIVE_NOUNS)
    named = len(item.raw) > 1 or noun
    told = noun or is_told(page, k + 2)
    return _Code(k - noun, k + 2, item.word, number_name(number), told, named)


def _is_spoken(page: Page, k: int, item: Item) -> bool:
    """Whether a letter stands at ``k`` with the number that belongs to it: "b four"."""
    if len(item.word) != 1 or not item.word.isalpha() or k + 1 >= page.n:
        return False
    number = page.items[k + 1]
    codes = page.lexicon.around.codes
    if item.raw.isupper() and number.form != "words":
        return False
    return (
        (item.word not in codes.other or (item.raw.isupper() and item.word in codes.row_letters))
        and item.word not in page.lexicon.around.common.pronouns
        and is_whole(number)
        and not number.hedged
        and number.value <= HIGHEST_SPOKEN
        and not page.counts(k + 1)
    )


def is_told(page: Page, k: int) -> bool:
    """Whether the words at ``k`` are said of a hive: "had", ":", a count."""
    if k >= page.n:
        return False
    after = page.items[k]
    return (
        after.kind == "n"
        or after.word in page.lexicon.around.codes.told
        or any(i.startswith(_SAID_OF_HIVES) for i in after.ids)
    )
