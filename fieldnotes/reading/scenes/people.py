"""Stage 7: names of people, who are no colonies."""

from __future__ import annotations

from .page import Page, base

_LONGEST = 5
"""Items of a phrase beside a name at most."""


def people(page: Page) -> set[str]:
    """First words of names that are no colony's: who writes, and who does what only people do."""
    return _writers(page) | _doers(page)


def writes(page: Page, first: int, last: int) -> bool:
    """ "[18:02] Ebba:" is who writes, not a colony."""
    return (
        page.word(last) == ":"
        and page.word(first - 1) == "]"
        and first >= 2
        and page.items[first - 2].kind in ("clock", "day")
    )


def _writers(page: Page) -> set[str]:
    """Who writes in a chat: names with a colon at the head of lines, some more than once."""
    items = page.items
    heads: list[str] = []
    lines = 0
    for k in range(page.n):
        if k and not (items[k - 1].kind == "border" and items[k - 1].word[0] == "\n"):
            continue
        lines += 1
        j = k
        while j < page.n and (items[j].word in ("[", "]") or items[j].kind in ("clock", "day")):
            j += 1
        if page.word(j + 1) != ":":
            continue
        if items[j].word.isalpha() and items[j].kind in ("name", "word"):
            heads.append(items[j].word)
    if len(heads) >= 3 and len(heads) >= 0.6 * lines and len(set(heads)) < len(heads):
        return set(heads)
    return set()


def _doers(page: Page) -> set[str]:
    """Names of which the note says what only people do, or whom the keeper rings or asks."""
    items, names = page.items, page.lexicon.names
    ands = page.lexicon.around.common.ands
    found: set[str] = set()
    for k, item in enumerate(items):
        if item.kind != "name":
            continue
        with_another = page.word(k - 1) in ands and k > 1 and base(items[k - 2]) in found
        if (
            page.word(k + 1) in names.speaks
            or page.word(k - 1) in names.hailed
            or _acts(page, k)
            or _is_greeted(page, k)
            or with_another
            or _beside_keeper(page, k)
        ):
            found.add(base(item))
    return found


def _acts(page: Page, k: int) -> bool:
    """ "Joseph is doing the sampling": whether the words after ``k`` are said of people only."""
    words = _plain(page, k + 1, k + 1 + _LONGEST)
    return any(_begins(words, phrase.split()) for phrase in page.lexicon.names.does)


def _is_greeted(page: Page, k: int) -> bool:
    """ "thank you Luis": whether the words before ``k`` speak to somebody."""
    words = _plain(page, max(0, k - _LONGEST), k)
    return any(_begins(words[::-1], phrase.split()[::-1]) for phrase in page.lexicon.names.greeted)


def _plain(page: Page, first: int, last: int) -> list[str]:
    """The single words of the items ``first`` to ``last``."""
    return [word for item in page.items[first:last] for word in item.word.split()]


def _begins(words: list[str], phrase: list[str]) -> bool:
    return words[: len(phrase)] == phrase


def _beside_keeper(page: Page, k: int) -> bool:
    """ "Peg and I did three", "me and Peg", "Peg here, ...": whether a person stands at ``k``."""
    ands, names = page.lexicon.around.common.ands, page.lexicon.names
    if page.word(k + 1) in names.present and page.word(k + 2) in names.present_ends:
        return True
    after = page.word(k + 1) in ands and page.word(k + 2) in names.keeper
    return after or (page.word(k - 1) in ands and page.word(k - 2) in names.keeper)
