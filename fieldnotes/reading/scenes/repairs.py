"""Stage 7, settling: names that the keeper corrects in the same breath."""

from __future__ import annotations

from collections.abc import Iterable

from ..items import Row
from .mentions import Mention
from .page import Page, code_name, number_name

REACH = 14
"""Items between a number and the one that repairs it."""


def repair(found: list[Mention], page: Page, row: Row) -> list[Mention]:
    """ "hive six no sorry that's seven": the second name takes the place of the first."""
    for m in found:
        if m.kind == "colony" and m.name[-1:].isdecimal() and m.last < page.n:
            after = _repair_end(m, page, row)
            if after is not None:
                _replace(m, after, page)
    inside: dict[int, list[Mention]] = {}
    for m in found:
        if m.kind == "colony":
            for k in range(m.first + 1, m.last):
                inside.setdefault(k, []).append(m)
    return [m for m in found if not _is_swallowed(m, inside.get(m.first, ()))]


def _repair_end(m: Mention, page: Page, row: Row) -> int | None:
    """The token after the words of repair that follow the mention, or None without any."""
    if page.items[m.last].kind == "n":
        # "number 9 four no that four was 10": the count is taken back, not the name
        return None
    token = page.items[m.last - 1].j
    return next(
        (j for names, i, j in row.ops if "repair" in names and token <= i <= token + 1), None
    )


def _replace(m: Mention, after: int, page: Page) -> None:
    """Give ``m`` the name that follows the repair, at once or after "it's" in the same sentence."""
    settle = page.lexicon.around.settle
    k = m.last
    end = min(page.n, m.last + REACH)
    while k < end and (page.items[k].i < after or page.items[k].word in settle.repair):
        k += 1
    if _rename(m, k, page):
        return
    while k < end and page.items[k].kind != "border":
        k += 1
        if page.word(k - 1) in settle.pointing and _rename(m, k, page):
            return


def _rename(m: Mention, k: int, page: Page) -> bool:
    """Whether a name of the same kind, a number or a code, stands at ``k``; ``m`` then takes it."""
    if k >= page.n:
        return False
    code = code_name(page.items[k])
    if m.name.isdecimal() and page.names_number(k):
        m.name, m.last = number_name(page.items[k]), k + 1
    elif not m.name.isdecimal() and code is not None:
        m.name, m.last = code, k + 1
    else:
        return False
    return True


def _is_swallowed(m: Mention, around: Iterable[Mention]) -> bool:
    """Whether the mention now lies within a repaired one; the hives of a range share an item."""
    return m.kind == "colony" and any(o.group is None or o.group != m.group for o in around)
