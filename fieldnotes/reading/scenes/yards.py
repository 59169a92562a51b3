"""Stage 7, yards: names beside "yard" and "apiary", and places that name a yard."""

from __future__ import annotations

from .mentions import Mention
from .page import Page, capital, written


def yard_mentions(page: Page) -> list[Mention]:
    """Every yard that the note names, in order."""
    out: list[Mention] = []
    for k, item in enumerate(page.items):
        mention: Mention | None = None
        if "stand_place" in item.ids:
            mention = _before(page, k, with_noun=False) or _after(page, k)
        elif "yard_noun" in item.ids:
            mention = _before(page, k, with_noun=True) or _place(page, k)
        elif item.word in page.lexicon.names.places:
            mention = _place(page, k)
        if mention:
            out.append(mention)
    return out


def _before(page: Page, k: int, *, with_noun: bool) -> Mention | None:
    """ "Oakhill apiary", "the home yard"; with the noun: "Oakhill farm"."""
    items, lexicon = page.items, page.lexicon
    first = k
    while first > 0 and k - first < 3 and items[first - 1].kind == "name":
        first -= 1
    if first == k:
        if not _may_name_yard(page, k - 1):
            return None
        if with_noun and not _stands_as_yard(page, k):
            return None
        first = k - 1
        before = items[k - 2] if k >= 2 else None
        if (
            before is not None
            and not with_noun
            and before.kind == "word"
            and before.word not in lexicon.known
            and before.word.isalpha()
        ):
            first = k - 2
    name = " ".join(written(i) for i in items[first : k + 1 if with_noun else k])
    if not name or name.lower() in lexicon.around.yards.empty:
        return None
    return Mention(first, k + 1, name, kind="yard", strength=0.8)


def _may_name_yard(page: Page, j: int) -> bool:
    """Whether the word at ``j``, before the yard noun, can be a name."""
    if j < 0:
        return False
    item, words = page.items[j], page.lexicon.around.yards
    if item.kind not in ("word", "term", "name", "code"):
        return False
    if not item.word.replace("-", "").isalpha() or item.word in words.no_names:
        return False
    return item.word not in page.lexicon.not_names or item.word in words.home


def _stands_as_yard(page: Page, k: int) -> bool:
    """Whether the word before the noun at ``k`` ("farm") makes a yard's name with it."""
    items, words = page.items, page.lexicon.around.yards
    j = k - 1
    item = items[j]
    lead = items[j - 1].word if j else "\n"
    upper = capital(items[k])
    coined = item.kind == "word" and item.word not in page.lexicon.known
    if not upper and not coined and not (item.word in words.sides and lead in words.before_sides):
        return False
    if lead not in words.leads and not page.opens_sentence(j):
        return False
    return upper or not item.word.endswith(words.endings)


def _place(page: Page, k: int) -> Mention | None:
    """ "out at the quarry", "at the gravel pit": a place that names the yard."""
    items, lexicon = page.items, page.lexicon
    words = lexicon.around.yards
    after = items[k + 1] if k + 1 < page.n else None
    first = k - 1 if page.word(k - 1) in lexicon.place_leads else k
    if after is not None and (after.word in lexicon.names.places or "yard_noun" in after.ids):
        return None
    if items[k].word not in lexicon.names.places and first == k:
        return None
    led = (
        page.word(first - 1) in lexicon.around.common.the and page.word(first - 2) in words.to_place
    )
    if not led or (after is not None and after.word in words.spots):
        return None
    name = " ".join(written(i) for i in items[first : k + 1])
    return Mention(first, k + 1, name, kind="yard", strength=0.7)


def _after(page: Page, k: int) -> Mention | None:
    """ "apiary of the Old Press", "yard at Oakhill", "apiary: Elm", "apiary Elm" """
    items, words = page.items, page.lexicon.around.yards
    j = k + 1
    while page.word(j) in words.links:
        j += 1
    if j >= page.n:
        return None
    named = items[k].word in words.apiary and capital(items[j]) and items[j].kind == "name"
    if j == k + 1 and not named:
        return None
    last = j
    while last < page.n and last - j < 3:
        item = items[last]
        if item.kind != "name" and not (capital(item) and item.kind in ("word", "term")):
            break
        last += 1
    if last == j:
        return None
    return Mention(k, last, " ".join(i.raw for i in items[j:last]), kind="yard", strength=0.8)
