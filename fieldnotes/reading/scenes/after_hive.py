"""Stage 7, explicit names: what stands after a hive noun ("hive 7", "hives A and B")."""

from __future__ import annotations

from ..items import Item
from .mentions import Mention
from .page import Page, capital, code_name, is_whole, number_name, written
from .runs import has_verb_ending

LONGEST_RANGE = 60
"""Hives that a range like "hives 1 to 12" may name."""

EVERYDAY = 1000
"""Rank below which a word is too common to name a hive without a capital."""

_NAMING = ("n", "name", "code", "letter", "word")


def after_hive(page: Page, k: int) -> list[Mention]:
    """The names after the hive noun at ``k``; several form a group."""
    j, named = _skip_links(page, k)
    if j >= page.n:
        return []
    item = page.items[j]
    plural = page.items[k].word in page.lexicon.around.hive.plural
    named = named or _is_introduced(page, k, j)
    if named and item.kind != "n" and capital(item):
        return [_called(page, k, j)]
    if is_whole(item) and (not page.counts(j, plural=plural) or _before_one_frame(page, j)):
        return _numbers(page, k, j, plural)
    if plural and item.kind == "n" and item.low is not None and item.form == "range":
        names = range(int(item.low), int(item.value) + 1)
        if len(names) <= LONGEST_RANGE:
            return [
                Mention(k if x == 0 else j, j + 1, str(name), group=k)
                for x, name in enumerate(names)
            ]
    if (code := code_name(item)) is not None:
        return _codes(page, k, j, plural, code)
    if _is_letter(page, item):
        return _letters(page, k, j, plural)
    if item.kind == "name":
        return _names(page, k, j, plural)
    if named or _is_coined(page, item) or _is_word_for_one(page, k, j):
        return _coined(page, k, j, named)
    return []


# -- from the noun to the name -----------------------------------------------------------------


def _skip_links(page: Page, k: int) -> tuple[int, bool]:
    """Where the name begins after "number", "called", "is" and the like; whether it was called."""
    items, words = page.items, page.lexicon.around.hive
    j, named = k + 1, False
    while j < page.n and (items[j].word in words.links or "numbersign" in items[j].ids):
        if not _leads_on(page, j):
            break
        named = named or items[j].word in words.calling
        j += 1
    return j, named


def _leads_on(page: Page, j: int) -> bool:
    """Whether the link at ``j`` leads on to a name: "is" alone does not, "is called" does."""
    words = page.lexicon.around.hive
    word = page.items[j].word
    after = page.items[j + 1] if j + 1 < page.n else None
    if word in words.no:
        return after is not None and after.kind in ("n", "code")
    if word not in words.being and word not in (":", "("):
        return True
    if after is None or after.kind not in _NAMING:
        return False
    if word in words.being:
        return after.kind == "name" or after.word in words.calling
    return word == ":" or after.kind == "name"


def _is_introduced(page: Page, k: int, j: int) -> bool:
    """ "that's the hive Larch" """
    around = page.lexicon.around
    return (
        j == k + 1
        and k > 1
        and page.items[k - 1].word in around.common.the
        and page.items[k - 2].word in around.hive.pointing
        and page.items[j].kind in ("word", "name")
    )


def _before_one_frame(page: Page, j: int) -> bool:
    """Whether the number at ``j`` names the hive of one frame: "hive seven brood frame"."""
    words = page.lexicon.around.hive
    following = page.items[j + 1].ids
    return not following.isdisjoint(words.one_frame) and following.isdisjoint(words.several_frames)


def _is_letter(page: Page, item: Item) -> bool:
    words = page.lexicon.around.hive
    return item.kind == "letter" or (
        item.kind in ("word", "term")
        and len(item.word) == 1
        and item.word.isalpha()
        and (item.word not in words.letter_words or item.raw in words.letter_capital)
    )


def _is_coined(page: Page, item: Item) -> bool:
    """Whether a word is known from nowhere, so that it may be a name."""
    return (
        item.kind == "word"
        and page.lexicon.unlisted(item.word)
        and item.word.isalpha()
        and len(item.word) > 2
    )


def _is_word_for_one(page: Page, k: int, j: int) -> bool:
    """ "hive sunshine had four": a word that is neither of the trade nor very common."""
    item, lexicon = page.items[j], page.lexicon
    rank = lexicon.rank(item.word)
    return (
        item.kind == "word"
        and item.word.isalpha()
        and len(item.word) > 2
        and item.word not in lexicon.known
        and (rank is None or rank >= EVERYDAY)
        and not has_verb_ending(page, item.word)
        and page.word(k - 1) not in lexicon.not_names
        and (page.word(j + 1) in lexicon.names.after or page.word(j + 1) == ":")
    )


# -- kinds of name -----------------------------------------------------------------------------


def _called(page: Page, k: int, j: int) -> Mention:
    """ "the hive called Old Red" """
    items = page.items
    last = j + 1
    while (
        last < page.n
        and last - j < 3
        and capital(items[last])
        and items[last].kind in ("word", "name", "letter")
    ):
        last += 1
    return Mention(k, last, " ".join(i.raw for i in items[j:last]))


def _numbers(page: Page, k: int, j: int, plural: bool) -> list[Mention]:
    """ "hive 7", "hive 7B", "hives 3, 4 and 5" """
    items, common = page.items, page.lexicon.around.common
    last = j + 1
    name = number_name(items[j])
    if last < page.n and items[last].kind == "letter" and items[last].i == items[j].j:
        name += items[last].raw
        last += 1
    out = [Mention(k, last, name)]
    while last + 1 < page.n and (
        items[last].word in common.lists or (plural and items[last].kind == "n")
    ):
        step = 0 if items[last].kind == "n" else 1
        if step and items[last + 1].word in common.ands and last + 2 < page.n:
            step = 2
        at = last + step
        if not is_whole(items[at]) or page.counts(at, plural=True) or _counts_in(page, at + 1):
            break
        if not plural and items[last].word == ",":
            break
        out.append(Mention(at, at + 1, number_name(items[at]), group=k))
        last = at + 1
    if len(out) > 1:
        out[0].group = k
    return out


def _counts_in(page: Page, k: int) -> bool:
    """ "none in hive 6 and two in hive 7": what goes before "in hive 7" is its count."""
    if page.word(k) not in page.lexicon.around.settle.within | {"under", "from"}:
        return False
    k += 1 + (page.word(k + 1) in page.lexicon.around.common.the)
    return k < page.n and not page.items[k].ids.isdisjoint(
        ("hive", "nuc", "numbersign", "breeding_hive")
    )


def _codes(page: Page, k: int, j: int, plural: bool, first: str) -> list[Mention]:
    """ "hive A4", "hives A4 and A5" """
    items = page.items
    out = [Mention(k, j + 1, first)]
    last = j + 1
    while (
        plural
        and last + 1 < page.n
        and items[last].word in page.lexicon.around.common.pair_list
        and (code := code_name(items[last + 1])) is not None
    ):
        out.append(Mention(last + 1, last + 2, code, group=k))
        out[0].group = k
        last += 2
    return out


def _letters(page: Page, k: int, j: int, plural: bool) -> list[Mention]:
    """ "hive B", "hive B2", "hives A, B and C" """
    items = page.items
    last = j + 1
    name = items[j].raw.upper() or items[j].word.upper()
    if plural:
        out = [Mention(k, last, name)]
        at = _next_of_list(page, last)
        while at is not None and (
            items[at].kind == "letter" or (len(items[at].raw) == 1 and items[at].raw.isupper())
        ):
            out[0].group = k
            out.append(Mention(at, at + 1, items[at].raw, group=k))
            at = _next_of_list(page, at + 1)
        if len(out) > 1:
            return out
    if page.names_number(last):
        name += number_name(items[last])
        last += 1
    return [Mention(k, last, name)]


def _names(page: Page, k: int, j: int, plural: bool) -> list[Mention]:
    """ "hive Larch", "hive Red Rose 2", "hives Larch and Willow" """
    items = page.items
    last = j + 1
    while last < page.n and items[last].kind == "name" and last - j < 3:
        last += 1
    name = " ".join(i.raw for i in items[j:last])
    if page.names_number(last):
        name += f" {number_name(items[last])}"
        last += 1
    out = [Mention(k, last, name)]
    at = _next_of_list(page, last) if plural else None
    while at is not None and (
        items[at].kind == "name" or (items[at].kind == "word" and capital(items[at]))
    ):
        out[0].group = k
        out.append(Mention(at, at + 1, items[at].raw, group=k))
        at = _next_of_list(page, at + 1)
    return out


def _next_of_list(page: Page, k: int) -> int | None:
    """The item after the comma or "and" at ``k``, or None where no list goes on there."""
    common = page.lexicon.around.common
    if k + 1 >= page.n or page.items[k].word not in common.letter_list:
        return None
    comma_and = page.items[k].word == "," and page.items[k + 1].word in common.ands
    return k + 2 if comma_and and k + 2 < page.n else k + 1


def _coined(page: Page, k: int, j: int, named: bool) -> list[Mention]:
    """ "hive quarrow", "hive quarrow bell" where the two words come together more than once."""
    items = page.items
    last = j + 1
    name = written(items[j])
    if last < page.n and items[last].word.isalpha() and _is_pair(page, j):
        name += f" {written(items[last])}"
        last += 1
    if page.names_number(last):
        name += f" {number_name(items[last])}"
        last += 1
    if named or not name.endswith(page.lexicon.around.hive.endings):
        return [
            Mention(
                k,
                last,
                name,
                strength=1.0 if named else 0.85 if _is_coined(page, page.items[j]) else 0.6,
            )
        ]
    return []


def _is_pair(page: Page, j: int) -> bool:
    """Whether the words at ``j`` and after it stand together more than once."""
    pair = (page.items[j].word, page.items[j + 1].word)
    pairs = zip(page.items, page.items[1:], strict=False)
    return sum((a.word, b.word) == pair for a, b in pairs) > 1
