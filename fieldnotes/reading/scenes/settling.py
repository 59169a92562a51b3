"""Stage 7, last: mentions settled against each other.

A name that also stands alone keeps its number as a value; two names joined by "or" become one to
ask about; a repaired name is replaced; a heading above other colonies names the yard.
"""

from __future__ import annotations

from itertools import pairwise

from ..items import Item, Row
from .mentions import Mention
from .page import Page, base
from .repairs import repair
from .yard_heads import settle_yards

FIRM = 0.9
"""Strength from which a name is certain."""

ORIGIN_REACH = 5
"""Items before "from" among which stands what came from there."""
_BROUGHT = frozenset(
    {"queen_cells", "frame", "fbrood", "brood_frame", "eggs", "larvae", "brood", "queen", "swarmed"}
)
"""Terms of what is brought from one colony to another."""
_SAMPLED = frozenset({"bee", "test", "sample", "mite"})
"""Terms that show that bees came from there for a sample."""


def settle(found: list[Mention], page: Page, row: Row) -> list[Mention]:
    """The mentions that remain of ``found``, in order."""
    _free_numbers(found, page)
    _free_listed_numbers(found, page)
    _name_whole(found, page)
    found = _either(found, page)
    found = repair(found, page, row)
    _group_neighbours(found, page)
    settle_yards(found, page)
    _set_aside(found, page)
    return found


# -- numbers beside names ----------------------------------------------------------------------


def _free_numbers(found: list[Mention], page: Page) -> None:
    """ "Larch 4" where Larch also stands alone: the 4 is a count."""
    alone = _alone(found, page)
    for m in found:
        root, _, number = m.name.rpartition(" ")
        if (
            m.kind != "colony"
            or m.strength >= FIRM
            or not root
            or not number.isdecimal()
            or m.last - m.first < 2
            or page.items[m.last - 1].kind != "n"
        ):
            continue
        stands_alone = root.lower() in alone
        if len(_kin(found, root)) > 1 and (not stands_alone or _labels_a_line(m, page)):
            continue
        if stands_alone or _is_plain_count(found, m, page):
            _free(found, m, root)


def _labels_a_line(m: Mention, page: Page) -> bool:
    """ "Verger 1: 35 mites": a numbered name at the head of its line, also of the yard's name."""
    return page.at_line_start(m.first) and page.word(m.last) == ":"


def _free(found: list[Mention], m: Mention, root: str) -> None:
    """Leave the number out of ``m``, and out of the name where it is named again without it."""
    for other in found:
        if other is not m and other.name == m.name and other.last - other.first == 1:
            other.name = root
    m.name, m.last = root, m.last - 1


def _alone(found: list[Mention], page: Page) -> set[str]:
    """Names that stand somewhere without a number."""
    items = page.items
    alone = {m.name.lower() for m in found if m.kind == "colony" and not m.name[-1:].isdecimal()}
    for k, item in enumerate(items):
        if item.kind != "name" or (k and items[k - 1].kind == "name"):
            continue
        if k + 1 >= page.n or items[k + 1].kind not in ("n", "name"):
            alone.add(base(item))
    return alone


def _kin(found: list[Mention], root: str) -> set[str]:
    """All numbered names of one root: "Station 1", "Station 2"."""
    return {
        o.name
        for o in found
        if o.kind == "colony" and o.name.rpartition(" ")[0].lower() == root.lower()
    }


def _is_plain_count(found: list[Mention], m: Mention, page: Page) -> bool:
    """Whether the clause ends after the number, in a note that names others without numbers."""
    ends = page.lexicon.around.settle.ends
    if not (
        m.last >= page.n or page.items[m.last].kind == "border" or page.items[m.last].word in ends
    ):
        return False
    return any(
        o is not m and o.kind == "colony" and not o.name[-1:].isdecimal() and o.strength < FIRM
        for o in found
    )


def _free_listed_numbers(found: list[Mention], page: Page) -> None:
    """ "Maggie 4, Pearl 0, Dot 12": the numbers are counts."""
    listed = [
        m
        for m in found
        if m.kind == "colony"
        and m.strength < FIRM
        and m.name.rpartition(" ")[2].isdecimal()
        and page.items[m.last - 1].kind == "n"
    ]
    roots = {m.name.rpartition(" ")[0].lower() for m in listed}
    starts = {m.first for m in found}
    if len(roots) < 2 or len(roots) != len(listed):
        return
    if all(_ends_in_list(m, starts, page) for m in listed):
        for m in listed:
            _free(found, m, m.name.rpartition(" ")[0])


def _ends_in_list(m: Mention, starts: set[int], page: Page) -> bool:
    return (
        m.last >= page.n
        or m.last in starts
        or page.items[m.last].kind == "border"
        or page.items[m.last].word in page.lexicon.around.settle.list_ends
    )


def _name_whole(found: list[Mention], page: Page) -> None:
    """ "left hive 6, right hive 2. Left one stung me": the short name is the longer one again."""
    nouns = page.lexicon.around.again.hive_nouns
    whole = {
        m.name.lower().rpartition(" ")[0]: m.name
        for m in found
        if m.kind == "colony" and m.name.lower().rpartition(" ")[2] in nouns
    }
    for m in found:
        if m.kind == "colony" and m.name.lower() in whole:
            m.name = whole[m.name.lower()]


# -- names beside names ------------------------------------------------------------------------


def _either(found: list[Mention], page: Page) -> list[Mention]:
    """ "that was Toque or Mitten": one colony, and which one is to be asked."""
    out: list[Mention] = []
    skip = False
    for i, one in enumerate(found):
        if skip:
            skip = False
            continue
        two = found[i + 1] if i + 1 < len(found) else None
        if two is not None and _is_either(one, two, page):
            one.alternatives = (one.name, two.name)
            one.strength = 0.3
            one.last = two.last
            skip = True
        out.append(one)
    return out


def _is_either(one: Mention, two: Mention, page: Page) -> bool:
    return (
        one.kind == two.kind == "colony"
        and one.name != two.name
        and two.first == one.last + 1
        and page.items[one.last].word in page.lexicon.around.common.ors
    )


def _group_neighbours(found: list[Mention], page: Page) -> None:
    """ "Larch and Willow had none": what is said is said of both."""
    named = [m for m in found if m.kind == "colony"]
    for one, two in pairwise(named):
        between = page.items[one.last : two.first]
        if two.group is None and not two.head and _joins(between, page):
            if one.group is None:
                one.group = one.first
            two.group = one.group
    for one, two in reversed(list(pairwise(named))):
        # "oak elm and rowan": spoken lists have no commas
        beside = one.last == two.first and one.name != two.name
        if beside and one.group is None and two.group == two.first:
            one.group = one.first
            for m in named:
                m.group = one.group if m.group == two.first else m.group


def _joins(between: list[Item], page: Page) -> bool:
    return len(between) == 1 and between[0].word in page.lexicon.around.common.pair_list


# -- names of colonies that are not visited ----------------------------------------------------


def _set_aside(found: list[Mention], page: Page) -> None:
    """ "the cell from hive 7": where something in another colony came from is not visited."""
    colonies = [m for m in found if m.kind == "colony"]
    if len({m.name for m in colonies}) < 2:
        return
    for m in colonies:
        if m.first > 1 and _is_origin(m, page):
            m.kind = "aside"


def _is_origin(m: Mention, page: Page) -> bool:
    told = page.lexicon.around.told
    k = m.first - 1
    if page.word(k) in page.lexicon.around.common.the:
        k -= 1
    if page.word(k) not in told.origin:
        return False
    sentence = _before_in_sentence(page, k)
    near = sentence[:ORIGIN_REACH]
    brought = any(i.word in told.brought or not i.ids.isdisjoint(_BROUGHT) for i in near)
    return brought and not any(i.kind == "vol" or not i.ids.isdisjoint(_SAMPLED) for i in sentence)


def _before_in_sentence(page: Page, k: int) -> list[Item]:
    """The items before ``k`` back to the start of its sentence, the nearest first."""
    out: list[Item] = []
    while k > 0 and page.items[k - 1].kind != "border":
        k -= 1
        out.append(page.items[k])
    return out
