"""Stage 7, three digits as they are spoken: "tag one eighteen", "hive two oh four"."""

from __future__ import annotations

from dataclasses import dataclass

from ..items import Item, Row
from .mentions import Mention
from .page import Page, is_whole

_DIGITS = 9
_TENS = range(10, 100)


@dataclass(frozen=True, slots=True)
class _Spoken:
    """A digit and the rest at items ``k`` and ``k + 1``; ``zero`` where "oh" stands between.

    ``named`` where a word such as "hive" or "tag" stands before it.
    """

    k: int
    digit: int
    name: str
    zero: bool
    named: bool


def spoken_hundreds(page: Page, row: Row, taken: set[int]) -> list[Mention]:
    """Hives named by three digits, because several of one hundred stand in the note.

    With "oh" between, one after a word such as "hive" is enough: nobody counts like that.
    """
    found = [
        spoken
        for k in range(page.n - 1)
        if taken.isdisjoint((k, k + 1)) and (spoken := _spoken(page, row, k)) is not None
    ]
    meant: set[int] = set()
    for digit in {spoken.digit for spoken in found}:
        kin = [spoken for spoken in found if spoken.digit == digit]
        named = [spoken for spoken in kin if spoken.named]
        if named and (any(s.zero for s in named) or len({s.name for s in kin}) > 1):
            meant.add(digit)
    return [_mention(page, spoken) for spoken in found if spoken.digit in meant]


def _spoken(page: Page, row: Row, k: int) -> _Spoken | None:
    one, two = page.items[k : k + 2]
    if not (_in_words(one) and _in_words(two)) or not 1 <= one.value <= _DIGITS:
        return None
    between = row.words[one.j : two.i]
    zero = len(between) == 1 and between[0] in page.lexicon.around.codes.zeros
    if (zero and two.value > _DIGITS) or (not zero and (between or two.value not in _TENS)):
        return None
    if page.counts(k + 1):
        return None
    named = k > 0 and _is_hive_noun(page, page.items[k - 1])
    return _Spoken(k, int(one.value), f"{int(one.value)}{int(two.value):02d}", zero, named)


def _in_words(item: Item) -> bool:
    return is_whole(item) and item.form == "words" and not item.hedged


def _is_hive_noun(page: Page, item: Item) -> bool:
    return not item.ids.isdisjoint(("hive", "numbersign", "hive_loose"))


def _mention(page: Page, spoken: _Spoken) -> Mention:
    first = spoken.k - 1 if spoken.named else spoken.k
    return Mention(first, spoken.k + 2, spoken.name, head=page.at_line_start(first))
