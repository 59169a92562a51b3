"""Stage 7, first source: names of the roster and of a table's cells."""

from __future__ import annotations

from collections.abc import Mapping

from ..items import Item
from ..likeness import SHORTEST, same_sound
from ..tables import Table
from .mentions import Mention, Roster
from .page import Page, base, capital, number_name

TABLE_DAY = 1000
"""Added to a line's number where each line of a table is a visit of its own day."""


def roster_mentions(page: Page, roster: Roster) -> list[Mention]:
    """Every place where a known colony or yard is named, also as a recogniser spells its sound."""
    out: list[Mention] = []
    spoken = [_spoken(item) for item in page.items]
    written = [base(item) for item in page.items]
    for kind, names in (("colony", roster.colonies), ("yard", roster.yards)):
        if not names:
            continue
        longest = max(len(n) for n in names)
        of_one_word = {key[0]: name for key, name in names.items() if len(key) == 1}
        for s in range(page.n):
            for length in range(min(longest, page.n - s), 0, -1):
                end = s + length
                keys = (tuple(spoken[s:end]), tuple(written[s:end]))
                key = next((key for key in keys if key in names), None)
                if key is not None and not _bare_number(page, key, s):
                    out.append(Mention(s, end, names[key], kind))
                    break
            else:
                if kind == "colony" and (name := _heard(page, s, of_one_word)):
                    out.append(Mention(s, s + 1, name, kind))
    return out


def _heard(page: Page, k: int, names: Mapping[str, str]) -> str | None:
    """The one known name that sounds like the word at ``k``, which is no word of the language."""
    item = page.items[k]
    word = base(item)
    if item.kind not in ("name", "word") or not word.isalpha() or len(word) < SHORTEST:
        return None
    if page.lexicon.rank(word) is not None or (page.typed and not capital(item)):
        return None
    return same_sound(word, names)


def _spoken(item: Item) -> str:
    if item.kind == "n" and float(item.value).is_integer():
        return number_name(item)
    return item.word


def _bare_number(page: Page, key: tuple[str, ...], k: int) -> bool:
    """Whether the name is a number that neither "hive" nor "#" goes before."""
    if len(key) > 1 or not key[0].isdecimal():
        return False
    before = page.items[k - 1] if k else None
    return before is None or not (
        "hive" in before.ids or "numbersign" in before.ids or before.word == "#"
    )


def table_mentions(page: Page, table: Table) -> list[Mention]:
    """The colonies and yards that the cells of a table name."""
    out: list[Mention] = []
    dated = any(cell.slot in ("date", "out") for cell in table.cells)
    for cell in table.cells:
        if cell.slot not in ("colony", "yard"):
            continue
        mention = _cell(page, cell.first, cell.last, cell.slot)
        if mention is None:
            continue
        if dated:
            mention.day = TABLE_DAY + cell.line
        out.append(mention)
    return out


def _cell(page: Page, first: int, last: int, slot: str) -> Mention | None:
    part = [
        i
        for i in page.items[first:last]
        if i.kind != "mark" and "hive" not in i.ids and "numbersign" not in i.ids
    ]
    if not part or len(part) > 4:
        return None
    name = " ".join(_cell_word(i) for i in part)
    if name.lower() in page.lexicon.around.common.sums:
        return None
    return Mention(first, last, name, kind=slot, head=True)


def _cell_word(item: Item) -> str:
    if item.kind == "n":
        return number_name(item)
    return item.raw if item.j - item.i == 1 and item.raw else item.word
