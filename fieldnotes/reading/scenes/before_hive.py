"""Stage 7, explicit names: what stands before a hive noun ("the blue hive", "Larch hive")."""

from __future__ import annotations

from .mentions import Mention
from .page import Page, base, capital, written
from .runs import SMALL_WORDS


def before_hive(page: Page, k: int) -> Mention | None:
    """The name before the hive noun at ``k``, if one stands there."""
    j = k - 1
    if j < 0 or page.items[k].word in page.lexicon.around.hive.no_name_before:
        return None
    if page.items[j].kind == "name" or _is_capital_word(page, k):
        return _named(page, k)
    if _is_title(page, k):
        return _title(page, k)
    if page.items[j].word in page.lexicon.descriptive:
        return _described(page, k)
    return _owned(page, k) or _spot(page, k) or _coined(page, k)


def _named(page: Page, k: int) -> Mention:
    """ "Larch hive", "Old Bess's hive" """
    items = page.items
    first = k - 1
    while first > 0 and k - first < 3 and items[first - 1].kind == "name":
        first -= 1
    raw = " ".join(i.raw for i in items[first:k])
    if raw.endswith("'s"):
        return Mention(first, k + 1, raw, strength=0.95)
    tail = f" {items[k].raw}" if capital(items[k]) or "nuc" in items[k].ids else ""
    return Mention(first, k + 1, raw + tail, strength=0.9)


def _is_capital_word(page: Page, k: int) -> bool:
    """ "Beta hive - 1/300": a known word written as a name amid a sentence."""
    item = page.items[k - 1]
    return (
        item.kind == "word"
        and capital(item)
        and page.items[k].raw.islower()
        and item.word.isalpha()
        and not page.opens_sentence(k - 1)
        and item.word not in page.lexicon.not_names
        and item.word not in page.lexicon.descriptive
        and item.word not in page.lexicon.around.common.pronouns
        and item.raw not in page.lexicon.around.common.keeper
    )


def _is_title(page: Page, k: int) -> bool:
    """Whether noun and word before it are both written with capitals: "Year Hive"."""
    before = page.items[k - 1]
    return (
        capital(page.items[k])
        and capital(before)
        and before.word not in page.lexicon.around.before_hive.capitals
    )


def _title(page: Page, k: int) -> Mention:
    """ "Second Year Hive" """
    items = page.items
    first = k - 1
    while (
        first > 0
        and k - first < 3
        and capital(items[first - 1])
        and items[first - 1].word not in page.lexicon.around.before_hive.stops
    ):
        first -= 1
    return Mention(first, k + 1, " ".join(i.raw for i in items[first : k + 1]), strength=0.95)


def _described(page: Page, k: int) -> Mention | None:
    """ "the blue hive", "swarm colony"; not "a blue hive", nor "Larch, the blue hive"."""
    items, words = page.items, page.lexicon.around.before_hive
    first = k - 1
    if first > 0 and items[first - 1].word in page.lexicon.descriptive:
        first -= 1
    lead = page.word(first - 1)
    if _describes_a_name(page, first) or _tells_size(page, first) or lead in words.any:
        return None
    noun = items[k].raw.lower().removesuffix("'s")
    name = " ".join(i.word for i in items[first:k]) + f" {noun}"
    return Mention(first, k + 1, name, strength=0.9)


def _describes_a_name(page: Page, first: int) -> bool:
    """ "Larch the blue hive": the colony was just named."""
    lexicon = page.lexicon
    if first < 2 or page.word(first - 1) not in lexicon.around.common.the:
        return False
    item = page.items[first - 2]
    return (
        item.kind == "name"
        or base(item) in lexicon.names.likely
        or (item.kind == "word" and lexicon.unlisted(item.word))
    )


def _tells_size(page: Page, first: int) -> bool:
    """ "the wee green hive" """
    around = page.lexicon.around
    lead = page.word(first - 1)
    return lead in around.before_hive.small or (
        page.word(first - 2) in around.common.the and lead in around.before_hive.sizes
    )


def _owned(page: Page, k: int) -> Mention | None:
    """ "rose's hive" where the name is one that keepers give."""
    item = page.items[k - 1]
    if (
        item.kind in ("word", "term")
        and item.raw.endswith("'s")
        and base(item) in page.lexicon.names.likely
    ):
        return Mention(k - 1, k + 1, item.raw, strength=0.95)
    return None


def _spot(page: Page, k: int) -> Mention | None:
    """ "the creek hive", "rose hive", "the well house hive", "gum tree hive": by place or plant."""
    names, words, j = page.lexicon.names, page.lexicon.around.before_hive, k - 1
    item = page.items[j]
    grows = item.word in words.growing
    if page.items[k].word.endswith("s") or item.kind not in ("word", "term"):
        return None
    if not (grows or item.word in names.spots | names.places | names.likely):
        return None
    if j and (grows or item.word in names.spots) and _goes_before_spot(page, j - 1):
        name = f"{written(page.items[j - 1])} {written(item)}"
        return Mention(j - 1, k + 1, name, strength=0.9 if grows else 0.8)
    if page.word(j - 1) in words.any or item.word in page.lexicon.not_names:
        return None
    return Mention(j, k + 1, f"{written(item)} {page.items[k].word}", strength=0.8)


def _goes_before_spot(page: Page, k: int) -> bool:
    """Whether the word at ``k`` may be the first of a name such as "gum tree": no small word."""
    lexicon, item = page.lexicon, page.items[k]
    if item.kind not in ("word", "term", "name") or not item.word.isalpha():
        return False
    if item.word in lexicon.not_names or item.word in lexicon.names.exclaimed:
        return False
    if base(item) in lexicon.names.likely or page.word(k - 1) in lexicon.around.common.the:
        return True
    rank = lexicon.rank(item.word)
    return item.kind == "word" and (rank is None or rank >= SMALL_WORDS)


def _coined(page: Page, k: int) -> Mention | None:
    """ "the quarrow hive": a word known from nowhere, in the place of a name."""
    lexicon, j = page.lexicon, k - 1
    item, words = page.items[j], page.lexicon.around.before_hive
    if (
        item.kind == "word"
        and item.word not in lexicon.known
        and item.word not in lexicon.not_names
        and item.word.isalpha()
        and len(item.word) > 2
        and not item.word.endswith(words.endings)
        and (page.opens_sentence(j) or page.items[j - 1].word in words.leads)
    ):
        return Mention(j, k + 1, f"{item.raw} {page.items[k].word}", strength=0.75)
    return None
