"""Stage 7, yards: names beside "yard" and "apiary", and places that name a yard."""

from __future__ import annotations

from .mentions import Mention
from .page import Page, base, capital, written


def yard_mentions(page: Page) -> list[Mention]:
    """Every yard that the note names, in order."""
    out: list[Mention] = []
    for k, item in enumerate(page.items):
        mention: Mention | None = None
        if "stand_place" in item.ids:
            mention = _before(page, k, with_noun=False) or _after(page, k)
        elif is_place(page, k):
            mention = _led(page, k)
            if mention is None and "yard_noun" in item.ids:
                mention = _before(page, k, with_noun=True)
            mention = mention or _place(page, k)
        elif item.word in page.lexicon.names.place_ends:
            mention = _led(page, k)
        if mention:
            out.append(mention)
    return out


def is_place(page: Page, k: int) -> bool:
    """Whether the word at ``k`` is one for a place, such as "lane" or "quarry"."""
    item = page.items[k]
    return "yard_noun" in item.ids or item.word in page.lexicon.names.places


def ends_place(page: Page, k: int) -> bool:
    """Whether the word at ``k`` may end a place's name, as "side" and "hall" do after another."""
    return is_place(page, k) or page.items[k].word in page.lexicon.names.place_ends


def _led(page: Page, k: int) -> Mention | None:
    """ "at orchard road", "down Beck Side", "reached mustard field": a place of several words."""
    items, words = page.items, page.lexicon.around.yards
    if k + 1 < page.n and (ends_place(page, k + 1) or items[k + 1].word in words.goes_on):
        return None
    first = k
    while first > 0 and k - first < 3 and _is_place_part(page, first - 1):
        first -= 1
    if first == k:
        return None
    own = items[first : k + 1]
    lead = page.word(first - 1)
    the = lead in page.lexicon.around.common.the
    if the:
        lead = page.word(first - 2)
    upper = any(capital(i) for i in own[:-1])
    named = upper or any(page.lexicon.unlisted(i.word) for i in own[:-1])
    if lead not in (words.on_the_way if named else words.arrived) and not (the and upper):
        return None
    return Mention(first, k + 1, " ".join(written(i) for i in own), kind="yard", strength=0.8)


def _is_place_part(page: Page, k: int) -> bool:
    """Whether the word at ``k`` can stand in a place's name before its last word."""
    item, lexicon = page.items[k], page.lexicon
    if not base(item).isalpha() or item.word in lexicon.not_names:
        return False
    if item.word in lexicon.around.yards.on_the_way:
        return False
    if item.kind == "name" or is_place(page, k):
        return True
    if capital(item):
        return not page.opens_sentence(k) and item.kind in ("word", "term")
    return item.kind == "word" and (
        lexicon.unlisted(item.word) or item.word in lexicon.names.likely
    )


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
        if not with_noun and k >= 2 and _begins_name(page, k - 2):
            first = k - 2
    name = " ".join(written(i) for i in items[first : k + 1 if with_noun else k])
    if not name or name.lower() in lexicon.around.yards.empty:
        return None
    return Mention(first, k + 1, name, kind="yard", strength=0.8)


def _begins_name(page: Page, k: int) -> bool:
    """ "grange hall yard", "Sheep Wash yd": whether the word at ``k`` is the first of two."""
    item, lexicon = page.items[k], page.lexicon
    if not item.word.isalpha() or item.word in lexicon.not_names:
        return False
    if capital(item) and capital(page.items[k + 1]):
        return item.kind in ("word", "name")
    return item.kind == "word" and (lexicon.unlisted(item.word) or is_place(page, k))


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
    coined = item.kind == "word" and page.lexicon.unlisted(item.word)
    if not upper and not coined and not (item.word in words.sides and lead in words.before_sides):
        return False
    if lead not in words.leads and not page.opens_sentence(j):
        return False
    if lead in page.lexicon.around.common.the and not upper and not _is_arrival(page, j - 1):
        # "a swarm off the school roof"
        return False
    return upper or not item.word.endswith(words.endings)


def _is_arrival(page: Page, k: int) -> bool:
    """Whether the word at ``k`` opens a sentence or follows a word of going or being somewhere."""
    words = page.lexicon.around.yards
    return page.opens_sentence(k) or page.word(k - 1) in (words.on_the_way | words.turning)


def _place(page: Page, k: int) -> Mention | None:
    """ "out at the quarry", "at the gravel pit": a place that names the yard."""
    items, lexicon = page.items, page.lexicon
    words = lexicon.around.yards
    after = items[k + 1] if k + 1 < page.n else None
    first = k - 1 if page.word(k - 1) in lexicon.place_leads else k
    if after is not None and ends_place(page, k + 1):
        return None
    if items[k].word not in lexicon.names.places and first == k:
        return None
    lead = page.word(first - 2)
    # "up in the haggard": "in" alone may lead to any place where a thing was put
    led = lead in words.to_place or (
        lead in lexicon.around.settle.within and page.word(first - 3) in words.stepping
    )
    if page.word(first - 1) not in lexicon.around.common.the or not led:
        return None
    if after is not None and after.word in words.spots:
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
        part = item.kind == "word" or "yard_noun" in item.ids
        if item.kind != "name" and not (capital(item) and part):
            break
        last += 1
    if last == j:
        return None
    return Mention(k, last, " ".join(i.raw for i in items[j:last]), kind="yard", strength=0.8)
