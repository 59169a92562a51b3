"""Stage 7, number lists: bare numbers, letters and colours that name hives by their place.

A list shows by its repetition: one "11 - 4 mites" may be anything, two of them name hives. Each
mention found gets a shape, and a shape that stands alone is dropped.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from itertools import pairwise

from ..items import Item
from .explicit import number_run
from .mentions import Mention
from .page import Page, is_whole, number_name, written

HIGHEST_HEAD = 2000
HIGHEST_IN_SEQUENCE = 3000
"""Below these a number may name a hive at the head of a line, or in a sequence."""

OPENING = 12
"""Items at the beginning of a note among which a lone number likely says which hive it is about."""
LIKELY = 0.6
"""The strength of such a number."""

FORM_LINES = 3
FIELD_WORDS = 7
"""Lines that make a form, and items of its line within which a field's name ends."""

_LONE_SHAPES = frozenset({":", "|", "-", ")", ",", "."})
Shaped = tuple[Mention, str]


def number_heads(page: Page, taken: set[int], strong: bool) -> list[Mention]:
    """Bare numbers or letters that name hives: "11 - 4 mites", "3: none", "A 14".

    ``strong`` is true where the note names a colony for certain; then a lone shape is no name.
    """
    found: list[Shaped] = []
    for k in range(page.n):
        if k not in taken and page.at_line_start(k):
            head = _line_head(page, k)
            if head:
                found.append(head)
    for k, item in enumerate(page.items):
        if item.kind == "n" and k not in taken and is_whole(item):
            spoken = (
                _spoken_number(page, k) or _inline_number(page, k, taken) or _counted_at(page, k)
            )
            if spoken:
                found.append(spoken)
    found += _letters(page, taken)
    found += _sequence_numbers(page, taken)
    found += _colours(page, taken)
    found += _listed_numbers(page, taken)
    if strong:
        found = _without_form(page, found)
    shapes = Counter(shape for _, shape in found)
    alone = not strong and len(found) == 1
    if alone and found[0][1] == "sentence" and found[0][0].first < OPENING:
        # "Memo. Fourteen, under the oak. ...": likely, and to be asked about
        found[0][0].strength = LIKELY
        return [found[0][0]]
    kept: dict[int, Mention] = {}
    for m, shape in found:
        if shapes[shape] >= 2 or shape == "list" or (alone and shape in _LONE_SHAPES):
            kept.setdefault(m.first, m)
    return list(kept.values())


def _without_form(page: Page, found: list[Shaped]) -> list[Shaped]:
    """``found`` without the numbers that only count the lines of a form under a colony's name.

    "H3, CO2 sample", and below it "1. mass of bees = 42 g", "2. mites = 5", "3. returned: yes".
    """
    lines = [m for m, shape in found if m.head and shape in (".", ")")]
    counted = [m.name for m in lines] == [str(i) for i in range(1, len(lines) + 1)]
    fields = sum(_is_field(page, m.last) for m in lines)
    if len(lines) < FORM_LINES or not counted or fields < len(lines) - 1:
        return found
    counting = {m.first for m in lines}
    kept = [(m, shape) for m, shape in found if m.first not in counting]
    for m in lines:
        m.kind = "aside"
    return kept + [(m, "list") for m in lines]


def _is_field(page: Page, k: int) -> bool:
    """Whether the line from item ``k`` on is the name of a field and its value."""
    for j in range(k, min(page.n, k + FIELD_WORDS)):
        if page.items[j].kind == "border" and j > k:
            return False
        if page.word(j) in ("=", ":"):
            return True
    return False


# -- the head of a line ------------------------------------------------------------------------


def _line_head(page: Page, k: int) -> Shaped | None:
    item = page.items[k]
    after = page.items[k + 1] if k + 1 < page.n else None
    if after is None:
        return None
    if is_whole(item) and item.value < HIGHEST_HEAD:
        return _number_head(page, k, after)
    single = item.kind == "term" and len(item.word) == 1 and item.raw.isupper()
    if (item.kind == "letter" or single) and after.kind in ("n", "term", "mark"):
        return Mention(k, k + 1, item.raw, head=True), "letter"
    return None


def _number_head(page: Page, k: int, after: Item) -> Shaped | None:
    item = page.items[k]
    if _is_lettered(page, k, after):
        name = number_name(item) + after.word
        return Mention(k, k + 2, name, head=True), page.items[k + 2].word
    if after.word == ")" and _is_capital(page, k + 2):
        # "1) Debit": the number only counts the lines
        return None
    mark = after.word if after.kind == "mark" or after.word == "." else ""
    if not mark and page.counts(k):
        return None
    if mark or after.kind in ("term", "n", "vol"):
        return Mention(k, k + 1, number_name(item), head=True), mark or "term"
    return None


def _is_capital(page: Page, k: int) -> bool:
    if k >= page.n:
        return False
    item = page.items[k]
    return item.kind in ("name", "word") and item.raw[:1].isupper()


def _is_lettered(page: Page, k: int, after: Item) -> bool:
    """ "4b: two mites" """
    return (
        after.start == page.items[k].end
        and len(after.word) == 1
        and after.word.isalpha()
        and page.word(k + 2) in (":", "-", "|")
    )


# -- within a line -----------------------------------------------------------------------------


def _spoken_number(page: Page, k: int) -> Shaped | None:
    """ "seven had four", "seven four, eight nil" """
    items, words = page.items, page.lexicon.around.heads
    # "four fifty": the second number belongs to the first
    spoken = k and items[k - 1].kind in ("n", "frac") and items[k - 1].word[:1].isalpha()
    if (
        k + 1 >= page.n
        or spoken
        or (items[k].word in words.pronouns and page.word(k - 1) in words.pointing)
    ):
        return None
    verb = items[k + 1].word in words.verbs
    j = k + 2 if verb else k + 1
    sentence = page.opens_sentence(k)
    mention = Mention(k, k + 1, number_name(items[k]))
    if (
        sentence
        and j + 1 < page.n
        and items[j].word in words.after_number
        and items[j].kind != "border"
    ):
        return mention, "sentence"
    # where no verb stands between, only at the head of a sentence
    if j < page.n and (verb or sentence) and _is_count(page, j):
        return mention, "had" if verb else "sentence"
    return None


def _counted_at(page: Page, k: int) -> Shaped | None:
    """ "thirty one two mites ... thirty three nineteen mites": a number right before a count."""
    if k + 2 >= page.n:
        return None
    number, count, counted = page.items[k : k + 3]
    beside = number.j == count.i and is_whole(count) and "mite" in counted.ids
    before = page.items[k - 1] if k else None
    if not beside or number.hedged or page.word(k - 1) in page.lexicon.around.again.breaks:
        return None
    if before is not None and (
        before.kind == "n" or before.ids & page.lexicon.around.common.countable
    ):
        return None
    return Mention(k, k + 1, number_name(number)), "counted"


def _is_count(page: Page, j: int) -> bool:
    """Whether a count stands at ``j`` right after the word before it."""
    item = page.items[j]
    return item.i == page.items[j - 1].j and (
        item.kind in ("n", "frac") or item.word in page.lexicon.around.common.none
    )


def _inline_number(page: Page, k: int, taken: set[int]) -> Shaped | None:
    """ "12 (4 mites), 13 (none)", "12: 4, 13: 0" amid a line."""
    items = page.items
    if k == 0 or k + 2 >= page.n or page.at_line_start(k):
        return None
    before, after, value = items[k - 1], items[k + 1], items[k + 2]
    if after.word not in ("(", "=", ":", "-", ")") or before.word == "(":
        return None
    if before.kind == "name" and page.at_line_start(k - 1):
        # "Verger 1: 35 mites": the number is part of a name
        return None
    if before.word in (":", "=", "-") and k > 1 and (items[k - 2].kind == "n" or k - 2 in taken):
        # "11: 14 (9)", "H2: 0 (was 1)": the value of the hive before
        return None
    opens = (
        before.word in page.lexicon.around.heads.before_inline
        or before.kind == "border"
        or after.word == ")"
        or (after.word in (":", "=") and value.kind in ("n", "frac"))
    )
    if opens and value.kind in ("n", "term", "word", "frac", "vol"):
        # "31 (eggs), 32 (none)": the first of them heads the line
        shape = after.word if after.word == "(" else f"inline{after.word}"
        return Mention(k, k + 1, number_name(items[k])), shape
    return None


# -- letters, sequences, colours ---------------------------------------------------------------


def _letters(page: Page, taken: set[int]) -> list[Shaped]:
    """ "A four, B nil": at least two letters with a count."""
    items, words = page.items, page.lexicon.around.heads
    letters = [
        k
        for k, item in enumerate(items[:-1])
        if item.kind == "letter"
        and k not in taken
        and (items[k + 1].kind in ("n", "frac") or items[k + 1].word in words.after_letter)
    ]
    if len({items[k].raw for k in letters}) < 2:
        return []
    return [(Mention(k, k + 1, items[k].raw), "letters") for k in letters]


def _listed_numbers(page: Page, taken: set[int]) -> list[Shaped]:
    """ "3, 4 and 5 were calm", "got 3 and 4 both done": bare numbers that a verb is said of."""
    words = page.lexicon.around.heads
    out: list[Shaped] = []
    for k, item in enumerate(page.items):
        if item.kind != "n" or k in taken:
            continue
        if not (page.opens_sentence(k) or page.word(k - 1) in words.before_list):
            continue
        run = number_run(page, k)
        end = run[-1] + 1 if run else k
        told = page.word(end) in words.list_verbs
        if (len(run) >= 3 and told) or (len(run) == 2 and _says_both(page, end)):
            out += [(Mention(j, j + 1, number_name(page.items[j]), group=k), "list") for j in run]
    return out


def _says_both(page: Page, k: int) -> bool:
    """ "both calm", "were all calm" """
    words = page.lexicon.around.heads
    k += page.word(k) in words.list_verbs and page.word(k) not in words.together
    return page.word(k) in words.together


def _sequence_numbers(page: Page, taken: set[int]) -> list[Shaped]:
    out: list[Shaped] = []
    for run in _sequences(page, taken):
        group: int | None = None
        for k, after in pairwise([*run, page.n]):
            beside = after == k + 1
            # "60 61 62 got two strips each": what follows is said of them all
            group = (k if group is None else group) if beside else group
            out.append((Mention(k, k + 1, number_name(page.items[k]), group=group), "sequence"))
            group = group if beside else None
    return out


def _sequences(page: Page, taken: set[int]) -> list[list[int]]:
    """Numbers that run on by one through the note, "101 two 102 nil 103 six": they name hives."""
    items = page.items
    numbers = [
        k
        for k, i in enumerate(items)
        if k not in taken
        and is_whole(i)
        and not i.hedged
        and not page.counts(k)
        # "13 - 14": the count of the hive before
        and not (k > 1 and items[k - 1].word in ("-", ":", "=", "–") and page.at_line_start(k - 2))
    ]
    runs: list[list[int]] = []
    used: set[int] = set()
    places: dict[float, list[int]] = {}
    for k in numbers:
        places.setdefault(items[k].value, []).append(k)
    for k in numbers:
        if k in used:
            continue
        run = [k]
        while following := places.get(items[run[-1]].value + 1):
            at = bisect_right(following, run[-1])
            if at == len(following):
                break
            run.append(following[at])
        if _is_sequence(items, run):
            runs.append(run)
            used.update(run)
    return runs


def _is_sequence(items: list[Item], run: list[int]) -> bool:
    """Whether a run is long enough: small numbers follow each other by chance."""
    first = items[run[0]]
    tight = all(b - a <= 2 for a, b in pairwise(run))
    enough = 3 if first.value >= 20 or (tight and first.form == "digits") else 5
    # enough is 3 or more, so that a tight run of two never passes
    return len(run) >= enough and first.value < HIGHEST_IN_SEQUENCE


def _colours(page: Page, taken: set[int]) -> list[Shaped]:
    """ "green 4, blue 7": at least two such words with a count."""
    items, lexicon = page.items, page.lexicon
    colours = [
        k
        for k, item in enumerate(items[:-1])
        if item.word in lexicon.descriptive
        and k not in taken
        and page.names_number(k + 1)
        and page.word(k - 1) not in lexicon.around.heads.before_colour
    ]
    if len({items[k].word for k in colours}) < 2:
        return []
    return [
        (Mention(k, k + 1, written(items[k]), head=page.at_line_start(k)), "colour")
        for k in colours
    ]
