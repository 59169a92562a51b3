"""Stage 7, settling: a yard's name by itself at the head of a note: "5 June, Mill Bank, 22C."."""

from __future__ import annotations

from collections.abc import Iterator

from ..items import Item
from .mentions import Mention
from .page import Page, capital, is_whole, written
from .yards import ends_place, is_place

OPENING = 24
"""Items at the beginning of a note among which the yard's name is looked for."""
LONGEST_NAME = 3
SURE = 0.7
"""Strength from which a colony's name keeps a later phrase from naming the yard."""

_STAMPS = ("day", "clock", "temp")
_SAID_OF_ONE = frozenset({"queen", "eggs", "larvae"})  # ids of terms
_SAID_OF_ONE_FAMILIES = ("sign", "temper", "feed")


def yard_line(page: Page, colonies: list[Mention]) -> Mention | None:
    """The yard that a phrase of the note's opening names, before the first of its ``colonies``.

    ``colonies`` are the mentions of colonies; one that covers the phrase itself does not count.
    """
    for first, last in _phrases(page):
        first = _past_leads(page, first, last)
        if not 0 < last - first <= LONGEST_NAME:
            continue
        if any(m.first <= first < m.last and m.group is not None for m in colonies):
            # "Juniper & Mabel: calm": a list of colonies
            return None
        others = [m for m in colonies if m.last <= first or m.first >= last]
        others = [m for m in others if m.strength >= SURE] or others
        if not others or others[0].first < first:
            return None
        if told_of_one(page, last, others[0].first):
            # "Byre, in since Sunday: 5 mites": a colony, whatever its name
            continue
        if _names_place(page, first, last) or _is_lone_name(page, first, last, others):
            name = " ".join(written(i) for i in page.items[first:last])
            return Mention(first, last, name, kind="yard", strength=0.7)
    return None


def _phrases(page: Page) -> Iterator[tuple[int, int]]:
    """Item ranges of the opening, between marks, borders and stamps of day, time and weather."""
    start = 0
    for k, item in enumerate(page.items[:OPENING]):
        if item.kind in _STAMPS or item.kind in ("mark", "border"):
            if k > start and item.word not in (":", "="):
                yield start, k
            start = k + 1


def _past_leads(page: Page, first: int, last: int) -> int:
    """Where the name begins after "at the" and the like."""
    common, words = page.lexicon.around.common, page.lexicon.around.yards
    while first < last and page.word(first) in (common.the | words.on_the_way):
        first += 1
    return first


def _names_place(page: Page, first: int, last: int) -> bool:
    """ "Mill Lane", "Shed row", "quarry bottom", "Plot 22", "Paddock": a word for a place in it."""
    *parts, end = page.items[first:last]
    if len(parts) == 1 and is_whole(end):
        return is_place(page, first) and capital(parts[0])
    if not ends_place(page, last - 1):
        return False
    if not parts:
        return is_place(page, first) and (capital(end) or _opens_note(page, first))
    return all(_may_be_part(page, i) for i in parts) and (
        capital(parts[0]) or is_place(page, first) or page.lexicon.unlisted(parts[0].word)
    )


def _opens_note(page: Page, k: int) -> bool:
    """Whether only leads ("the", "at") stand before ``k``."""
    return _past_leads(page, 0, k) == k


def _may_be_part(page: Page, item: Item) -> bool:
    lexicon = page.lexicon
    return (
        item.word.isalpha()
        and item.word not in lexicon.calendar
        and (item.kind in ("name", "word") or "yard_noun" in item.ids)
        and (item.word not in lexicon.headings or capital(item))
    )


def _is_lone_name(page: Page, first: int, last: int, others: list[Mention]) -> bool:
    """ "Lindely, 4 degrees.": a name that no list knows, and nothing said of it as of a colony."""
    lexicon = page.lexicon
    own = page.items[first:last]
    if page.items[last].kind == "mark" and page.items[last].word != ",":
        # "Larch - alcohol wash, ...": the head of a line that tells of Larch
        return False
    if not all(capital(i) and i.kind == "name" and lexicon.unlisted(i.word) for i in own):
        return False
    name = {i.word for i in own}
    return not any(name & set(m.name.lower().split()) for m in others)


def told_of_one(page: Page, first: int, last: int) -> bool:
    """Whether items ``first`` to ``last`` tell a count of mites or what is seen in one colony."""
    return any(
        not item.ids.isdisjoint(_SAID_OF_ONE)
        or any(i.startswith(_SAID_OF_ONE_FAMILIES) for i in item.ids)
        or ("mite" in item.ids and page.items[k - 1].kind == "n")
        for k, item in enumerate(page.items[first:last], first)
    )
