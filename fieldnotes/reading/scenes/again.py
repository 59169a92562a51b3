"""Stage 7, further mentions: names, letters and numbers that the note has made known."""

from __future__ import annotations

from dataclasses import dataclass, field

from .mentions import Mention
from .page import Page, base, capital, is_whole, raw_base


@dataclass(slots=True)
class _Known:
    """What the mentions found so far make known, and the last number named."""

    names: dict[str, Mention] = field(default_factory=dict)
    parts: dict[str, list[Mention]] = field(default_factory=dict)
    numbers: set[str] = field(default_factory=set)
    last_number: int = -1

    @property
    def letters(self) -> int:
        return sum(len(n) == 1 for n in self.names)


def mentions_again(page: Page, taken: set[int], found: list[Mention]) -> list[Mention]:
    """Mentions outside ``taken`` of what ``found`` has named."""
    known = _known(page, found)
    if not known.names and not known.numbers:
        return []
    letters = known.letters
    numbered = {
        k: int(m.name)
        for m in found
        if m.kind == "colony" and m.name.isdecimal()
        for k in range(m.first, m.last)
    }
    out: list[Mention] = []
    for k in range(page.n):
        known.last_number = numbered.get(k, known.last_number)
        if k in taken:
            continue
        name = _named_again(page, k, known, letters)
        if name is None and page.items[k].kind == "n" and _is_number_again(page, k, known):
            name = str(int(page.items[k].value))
            known.last_number = int(name)
        if name is not None:
            out.append(Mention(k, k + 1, name, strength=0.9))
    return out


def _known(page: Page, found: list[Mention]) -> _Known:
    nouns = page.lexicon.around.again.hive_nouns
    known = _Known()
    for m in found:
        if m.kind != "colony":
            continue
        if m.name.isdecimal():
            known.numbers.add(m.name)
            continue
        known.names[m.name.lower()] = m
        words = m.name.lower().split()
        if len(words) > 1:
            known.parts.setdefault(words[0], []).append(m)
            if words[-1] in nouns:
                known.parts.setdefault(" ".join(words[:-1]), []).append(m)
    return known


def _named_again(page: Page, k: int, known: _Known, letters: int) -> str | None:
    """The name that the word at ``k`` repeats, or the letter that goes on with other letters."""
    item = page.items[k]
    word = base(item)
    mention = known.names.get(word)
    if mention is None:
        other = page.lexicon.around.again.other_letters
        if item.kind == "letter" and letters >= 2:
            listed = page.word(k - 1) in page.lexicon.around.common.pair_list
            if item.raw not in other or (listed and page.items[k - 2].kind == "letter"):
                return item.raw
    elif item.kind != "border" and (len(word) != 1 or raw_base(item).isupper()):
        return mention.name
    if item.kind in ("name", "word", "term") and capital(item) and word in known.parts:
        whole = known.parts[word]
        if len({m.name for m in whole}) == 1 and not _is_yard(page, k + 1):
            return whole[0].name
    return None


def _is_yard(page: Page, k: int) -> bool:
    return k < page.n and not page.items[k].ids.isdisjoint(("stand_place", "yard_noun"))


# -- numbers -----------------------------------------------------------------------------------


def _is_number_again(page: Page, k: int, known: _Known) -> bool:
    """Whether the number at ``k`` names a hive again, or the next hive in the row.

    What is said of the next hive makes its number known; its place at the head of a line does not.
    """
    item = page.items[k]
    if not known.numbers or not is_whole(item) or item.hedged:
        return False
    value = int(item.value)
    named = str(value) in known.numbers
    in_list = len(known.numbers) >= 2 and _tells_of_a_line(page, k)
    if not named and value != known.last_number + 1 and not in_list:
        return False
    if page.counts(k):
        return False
    if in_list:
        known.numbers.add(str(value))
        return True
    if len(known.numbers) >= 2 and _heads_a_line(page, k):
        return True
    told = named and (_is_told(page, k) or _is_returned_to(page, k) or _is_turned_to(page, k))
    if not told and not (_speaks(page, k) and _opens(page, k, known)):
        return False
    between_marks = page.word(k + 1) in ("-", "=", ":") and page.word(k - 1) in ("=", ":")
    if between_marks or not (named or known.last_number >= 0):
        return False
    known.numbers.add(str(value))
    return True


def _tells_of_a_line(page: Page, k: int) -> bool:
    """ "12 had nowt", "4 gone": at the head of a line of its own, what is said of a hive."""
    return page.word(k + 1) in page.lexicon.around.again.verbs and page.at_line_start(k)


def _is_returned_to(page: Page, k: int) -> bool:
    """ "back to two" """
    words = page.lexicon.around.again
    return page.word(k - 1) in words.to and page.word(k - 2) in words.back


def _is_turned_to(page: Page, k: int) -> bool:
    """ "uh 53 I put the strips in it": what the keeper did there follows."""
    if page.word(k + 1) not in page.lexicon.around.again.keeper or k + 2 >= page.n:
        return False
    return not page.items[k + 2].ids.isdisjoint(("act.start", "act.end", "add", "remove"))


def _heads_a_line(page: Page, k: int) -> bool:
    return (
        k + 1 < page.n
        and page.items[k + 1].kind in ("word", "term", "mark")
        and page.at_line_start(k)
    )


def _is_told(page: Page, k: int) -> bool:
    """ "opened 4": the hive, unless it is supers that are counted."""
    again = page.lexicon.around.again
    if page.word(k - 1) in again.gave and page.word(k + 1) in again.given:
        # "gave three a frame of eggs"
        return True
    if page.word(k - 1) not in page.lexicon.names.listing:
        return False
    after = page.items[k + 1] if k + 1 < page.n else None
    return after is None or after.kind != "term" or "super" not in after.ids


def _speaks(page: Page, k: int) -> bool:
    """Whether what follows the number is said of a hive."""
    if k + 1 >= page.n:
        return False
    after = page.items[k + 1]
    return (
        after.word in page.lexicon.names.after
        or after.word in page.lexicon.around.again.speaks
        or page.items[k].raw.endswith("'s")
        or any(i.startswith("method") for i in after.ids)
    )


def _opens(page: Page, k: int, known: _Known) -> bool:
    """Whether what goes before the number lets a hive's name follow."""
    if page.opens_sentence(k):
        return True
    words, value = page.lexicon.around.again, int(page.items[k].value)
    before = page.items[k - 1]
    follows = (
        value == known.last_number + 1
        and before.kind not in ("n", "vol")
        and before.word not in words.breaks
    )
    has_verb = str(value) in known.numbers and page.word(k + 1) in words.verbs
    return follows or has_verb or before.word in words.opens
