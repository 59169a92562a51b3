"""Stage 7, settling: names found as colonies that say where the colonies stand."""

from __future__ import annotations

from ..items import Item
from .mentions import Mention
from .page import Page
from .yard_lines import told_of_one, yard_line

CERTAIN = 0.9
NEARLY = 0.85
"""Strengths from which a name is no yard, at the head of a note and within it."""

_SAID_OF_COLONY = frozenset({"queen", "eggs", "mite", "larvae", "super"})  # ids of terms
_AFTER_HEADING = frozenset({"border", "mark", "day", "clock", "temp"})
_FACTS = ("sign", "temper", "active", "feed", "test")


def settle_yards(found: list[Mention], page: Page) -> None:
    """Turn the mentions that name a place into yards."""
    _places(found, page)
    colonies = [m for m in found if m.kind == "colony"]
    if any(m.kind == "yard" for m in found):
        return
    line = yard_line(page, colonies)
    if line is not None:
        _put(found, line)
        return
    if len({m.name.lower() for m in colonies}) >= 2 and _is_heading(colonies, page):
        colonies[0].kind = "yard"


def _put(found: list[Mention], yard: Mention) -> None:
    """Put ``yard`` in its place in ``found``, instead of what covers the same items."""
    found[:] = [m for m in found if m.last <= yard.first or m.first >= yard.last]
    found.append(yard)
    found.sort(key=_first)


def _first(mention: Mention) -> int:
    return mention.first


def _places(found: list[Mention], page: Page) -> None:
    """ "the green hive today in Knockaveen", "Quarry Cottage 28 Dec": where, not which."""
    around = page.lexicon.around
    colonies = [m for m in found if m.kind == "colony"]
    firm = any(m.strength >= NEARLY for m in colonies)
    for m in colonies:
        if m.strength >= NEARLY or any(o is not m and o.name == m.name for o in colonies):
            continue
        before = page.word(m.first - 1)
        others = len({o.name for o in colonies}) > 1
        placed = before in around.settle.within or (
            _is_place(page.items[m.last - 1], page) and page.at_line_start(m.first)
        )
        if (before in around.common.at and others) or (firm and placed):
            m.kind = "yard"


def _is_place(item: Item, page: Page) -> bool:
    return item.word in page.lexicon.names.places or "yard_noun" in item.ids


def _is_heading(colonies: list[Mention], page: Page) -> bool:
    """Whether the first of several names is the place where the others stand."""
    first, others = colonies[0], colonies[1:]
    around = page.lexicon.around
    if (
        first.strength >= CERTAIN
        or first.group is not None
        or first.name[-1:].isdecimal()
        or any(m.name == first.name for m in others)
    ):
        return False
    facts = _says_facts(first, others, page)
    before = page.word(first.first - 1)
    if before in around.common.at or (before in around.settle.toward and not facts):
        return True
    lone = first.first <= 3 or page.at_line_start(first.first)
    if not _ends_phrase(page, first.last):
        # "Regular readers will remember Gloria"
        return False
    if told_of_one(page, first.last, others[0].first):
        return False
    return lone and (not facts or _mostly_numbered(others)) and not _is_subject(first, page)


def _ends_phrase(page: Page, k: int) -> bool:
    """Whether a name that ends before ``k`` stands by itself, or beside a day or the weather."""
    return k >= page.n or page.items[k].kind in _AFTER_HEADING


def _says_facts(first: Mention, others: list[Mention], page: Page) -> bool:
    """Whether what stands between the first name and the next is said of a colony."""
    several = len({m.name for m in others}) >= 2
    return any(
        (i.kind in ("n", "vol", "frac") and not several)
        or not i.ids.isdisjoint(_SAID_OF_COLONY)
        or any(x.startswith(_FACTS) for x in i.ids)
        for i in page.items[first.last : others[0].first]
    )


def _mostly_numbered(others: list[Mention]) -> bool:
    numbered = sum(
        (m.name[-1:].isdecimal() and m.strength >= CERTAIN) or len(m.name) == 1 for m in others
    )
    return numbered >= max(1, len(others) * 0.6)


def _is_subject(m: Mention, page: Page) -> bool:
    """Whether the note goes on to speak of the name itself: "Larch had ..."."""
    return page.word(m.last) in page.lexicon.around.settle.subject
