"""Stage 7, scored names: how much a word, and its place, speak for a colony's name."""

from __future__ import annotations

from ..items import Item
from .page import Page, base, capital

_MARKS_AT_HEAD = {":": 1.2, "-": 0.7, "=": 0.8, "→": 0.8, "|": 0.6, ",": 0.2, "(": 0.3}
NAME_KINDS = frozenset({"word", "name", "term", "letter"})
"""Kinds of item that a name without a hive noun may begin with."""
_FACTS = ("method", "test", "sample", "queen", "eggs", "mite", "hive", "sign", "temper")


def word_score(page: Page, k: int, head: bool) -> float | None:
    """How much the word at ``k``, of ``NAME_KINDS``, looks like a name; None if it cannot be one.

    ``head`` is true at the head of a sentence or line, where a capital says little.
    """
    item = page.items[k]
    word = base(item)
    if not _may_be_name(page, item, word, head):
        return None
    names = page.lexicon.names
    upper = capital(item)
    unlisted = page.lexicon.unlisted(word)
    ends = word.endswith(page.lexicon.around.scored.endings)
    if upper and not unlisted and item.kind == "word" and _number_follows(page, k):
        return 1.0
    if upper and word in names.lead and k + 1 < page.n and makes_pair(page, k, page.items[k + 1]):
        return 1.5
    if word in names.likely:
        if not unlisted:
            return 1.1 if upper else 0.7
        return 1.6 if upper else 1.5
    if unlisted:
        if not upper:
            return 0.2 if ends else 0.8
        if not head:
            return 1.7
        return 0.4 if ends else 1.2
    if upper and not head and item.kind == "word":
        return 0.6
    if upper and head and word in names.lead:
        return 0.3
    return None


def _may_be_name(page: Page, item: Item, word: str, head: bool) -> bool:
    lexicon = page.lexicon
    if len(word) < 2 or not word.replace("-", "").replace("'", "").isalpha():
        return False
    if "'" in item.word and not item.word.endswith("'s"):
        return False
    if word in lexicon.around.common.pronouns or word in lexicon.calendar:
        return False
    if word in lexicon.names.person and word not in lexicon.names.lead:
        return False
    if item.kind == "term" and word not in lexicon.names.likely:
        return False
    if not capital(item):
        return word not in lexicon.headings and word not in lexicon.not_names
    if not head:
        return True
    return word not in lexicon.headings and (
        word not in lexicon.not_names or word in lexicon.names.lead
    )


def makes_pair(page: Page, k: int, second: Item) -> bool:
    """Whether the ordinary word ``second`` ends the name begun at ``k``: "Old Mate".

    The first word must be one that begins names or that no list knows.
    """
    lexicon, first = page.lexicon, page.items[k]
    word = base(second)
    return (
        (first.word in lexicon.names.lead or lexicon.unlisted(base(first)))
        and second.kind in ("word", "name")
        and second.i == first.j
        and capital(second)
        and second.raw not in lexicon.around.common.keeper
        and len(word) > 2
        and word not in lexicon.headings
        and word not in lexicon.calendar
        and word not in lexicon.names.before
    )


def _number_follows(page: Page, k: int) -> bool:
    """ "Station 4: ..." """
    return page.names_number(k + 1) and page.word(k + 2) in (":", "-", "=", "|")


def place_score(page: Page, k: int, last: int, head: bool, occurrences: dict[str, int]) -> float:
    """How much the place of the name at items ``k`` to ``last`` speaks for a colony's name."""
    item = page.items[k]
    score = 0.0
    if page.at_line_start(k):
        score += 0.4
    if head:
        score += 0.3
    if k:
        score = _before(page, k, score)
    if page.typed and not capital(item):
        score -= 0.8
    score = _person_before(page, k, score)
    if page.items[last - 1].raw.endswith("'s"):
        score += 0.5
    score += _after(page, last, head)
    if head and last - k == 1 and base(item) not in page.lexicon.names.likely:
        # "Dip in a scoop", "Armed with a lens": verbs that open a sentence are not on the lists
        score -= 0.9 if page.word(last) in page.lexicon.around.scored.after_verbs else 0.0
    if occurrences.get(base(item), 1) > 1:
        score += 0.5
    return score


def _before(page: Page, k: int, score: float) -> float:
    around = page.lexicon.around
    word = page.items[k - 1].word
    if word in page.lexicon.names.before:
        score += 0.6
    if word in around.common.at:
        # "looked at Larch" against "at Oakhill", a place
        score += 0.9 if page.word(k - 2) in around.scored.looking else -0.3
    return score


def _person_before(page: Page, k: int, score: float) -> float:
    if not k:
        return score
    words = page.lexicon.around.scored
    before = page.items[k - 1]
    if before.word in page.lexicon.names.person:
        score -= 1.5
    if before.kind in ("n", "ord", "vol", "spoon") or before.word in words.against:
        score -= 0.3 if before.word in words.joining else 0.8
    return score


def _after(page: Page, last: int, head: bool) -> float:
    after = page.items[last] if last < page.n else None
    if after is None or after.kind == "border":
        return 0.1 if head else -0.2
    if after.kind == "mark":
        return _MARKS_AT_HEAD.get(after.word, 0.0) if head else 0.1
    if after.word in page.lexicon.names.after:
        return 0.5
    if after.kind in ("vol", "day", "clock") or any(i.startswith(_FACTS) for i in after.ids):
        return 0.6
    if after.word in page.lexicon.names.person:
        return -1.2
    return 0.0
