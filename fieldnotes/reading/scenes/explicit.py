"""Stage 7, explicit names: colonies named by a hive noun, a number sign or a code."""

from __future__ import annotations

from .after_hive import after_hive
from .before_hive import before_hive
from .mentions import Mention
from .page import Page, capital, is_whole, number_name

HIGHEST_NUMBER = 2000
"""Above this a number after "#" or "no." is no hive's."""
HIGHEST_IN_RUN = 400
"""Numbers of a run below this may name hives."""

_NUMBERED_THINGS = frozenset(
    {"frame", "brood_frame", "test", "box", "super", "method.board"}
)  # ids of terms


def explicit_mentions(page: Page, k: int) -> list[Mention]:
    """The colonies that the noun, sign or code at item ``k`` names."""
    item = page.items[k]
    if "hive" in item.ids:
        return _at_hive_noun(page, k)
    if item.word in page.lexicon.around.hive.box and _is_named_box(page, k):
        return [Mention(k - 1, k + 1, f"{page.items[k - 1].word} box", strength=0.7)]
    if "nuc" in item.ids:
        return _at_nuc(page, k)
    if "breeding_hive" in item.ids:
        return _at_breeding_hive(page, k)
    if "hive_loose" in item.ids and _is_loose_noun(page, k):
        number = number_name(page.items[k + 1])
        said = item.word in page.lexicon.around.hive.box
        return [Mention(k, k + 2, number if said else f"{item.raw} {number}", strength=0.9)]
    if capital(item) and _is_word_and_letter(page, k):
        return [Mention(k, k + 2, f"{item.raw} {page.items[k + 1].raw}", strength=0.9)]
    if item.word in page.lexicon.names.listing:
        run = number_run(page, k + 1)
        if len(run) >= 2:
            return [Mention(j, j + 1, number_name(page.items[j]), group=k) for j in run]
        if run and _has_board(page, k):
            return [Mention(k + 1, k + 2, number_name(page.items[k + 1]), strength=0.9)]
    if item.word in page.lexicon.around.told.origin and _is_board(page, k - 1):
        # "the board from 9"
        return [
            Mention(j, j + 1, number_name(page.items[j]), strength=0.9)
            for j in number_run(page, k + 1)[:1]
        ]
    if item.word == "#" or "numbersign" in item.ids:
        return _numbered(page, k)
    if item.kind == "code" and _is_code_name(page, k):
        return [Mention(k, k + 1, item.raw)]
    return []


# -- nouns -------------------------------------------------------------------------------------


def _at_hive_noun(page: Page, k: int) -> list[Mention]:
    items = page.items
    if k and items[k - 1].kind == "ord":
        return [Mention(k - 1, k + 1, f"{items[k - 1].word} {items[k].word}", strength=0.45)]
    described = (
        page.word(k - 1) in page.lexicon.descriptive
        and items[k].word in page.lexicon.around.hive.single
        and not (k + 1 < page.n and "numbersign" in items[k + 1].ids)
    )
    if described:
        # "the green hive seven": the colour names it, the number counts
        named = before_hive(page, k)
        if named:
            return [named]
    after = after_hive(page, k)
    if after:
        return after
    named = before_hive(page, k)
    return [named] if named else []


def _is_named_box(page: Page, k: int) -> bool:
    """ "my blue box", "Green box first."; "the top box" is a part of a hive."""
    around = page.lexicon.around
    before = page.word(k - 1)
    if before not in page.lexicon.descriptive or before in around.hive.box_parts:
        return False
    heads = (
        k > 0
        and page.opens_sentence(k - 1)
        and (
            k + 1 >= page.n
            or page.items[k + 1].kind == "border"
            or page.word(k + 1) in around.hive.box_heads
        )
    )
    return heads or page.word(k - 2) in around.common.owning


def _at_nuc(page: Page, k: int) -> list[Mention]:
    """ "nuc 3", "willow nuc", "the nuc" """
    after = after_hive(page, k)
    if after:
        for mention in after:
            if mention.strength >= 1:
                mention.name = f"nuc {mention.name}"
        return after
    named = before_hive(page, k)
    if named:
        return [named]
    return [Mention(k, k + 1, "the nuc", strength=0.9)] if _is_the_nuc(page, k) else []


def _at_breeding_hive(page: Page, k: int) -> list[Mention]:
    """ "breeder 14", "the cell builder": hives called by their part in breeding queens."""
    word = page.items[k].word
    number = page.items[k + 1] if k + 1 < page.n else None
    if number is not None and is_whole(number) and not page.counts(k + 1):
        return [Mention(k, k + 2, f"{word} {number_name(number)}")]
    common = page.lexicon.around.common
    owned = page.word(k - 1) in common.the or page.word(k - 1) in common.owning
    return [Mention(k, k + 1, word, strength=0.7)] if owned else []


def _is_the_nuc(page: Page, k: int) -> bool:
    around = page.lexicon.around
    word, after = page.items[k].word, page.word(k + 1)
    owned = word in around.hive.nuc and page.word(k - 1) in around.common.owning
    if owned and after not in around.hive.nuc_things:
        return True
    return (
        word in around.hive.nuc_head and page.at_clause_start(k) and after in (":", ",", "-", ".")
    )


def _is_loose_noun(page: Page, k: int) -> bool:
    """Whether a word that may mean a hive ("box 4") does so here."""
    return (page.at_clause_head(k) or page.loose) and page.names_number(k + 1)


def _is_word_and_letter(page: Page, k: int) -> bool:
    """ "Quarry B: ..." at the head of a clause."""
    item = page.items[k]
    return (
        len(item.raw) > 2
        and item.kind in ("name", "word")
        and page.at_clause_head(k)
        and k + 1 < page.n
        and page.items[k + 1].kind == "letter"
        and (
            k + 2 >= page.n
            or page.items[k + 2].kind == "border"
            or page.items[k + 2].word in (":", ",", "-")
        )
    )


# -- numbers and codes -------------------------------------------------------------------------


def number_run(page: Page, k: int) -> list[int]:
    """ "12 and 13", "1, 2 and 3" from item ``k`` on: whole numbers that count nothing."""
    common = page.lexicon.around.common
    run: list[int] = []
    while k < page.n and _is_run_number(page, k) and not (run and _is_of_next(page, k)):
        run.append(k)
        one, two = page.word(k + 1), page.word(k + 2)
        if k + 2 < page.n and one in common.pair_list and page.items[k + 2].kind == "n":
            if one == "," and _counts_down(page, k, k + 2):
                break
            k += 2
        elif k + 3 < page.n and _leads_on(one, two, page):
            k += 3
        elif _runs_on(page, k):
            k += 1
        else:
            break
    return run


def _is_of_next(page: Page, k: int) -> bool:
    """ "two from number two and one from number six": the one is counted in the next hive."""
    if k + 2 >= page.n or page.word(k + 1) not in page.lexicon.around.hive.count_in:
        return False
    return not page.items[k + 2].ids.isdisjoint(("hive", "numbersign"))


def _counts_down(page: Page, k: int, j: int) -> bool:
    """ "in fourteen, one tray": a smaller number with a word of its own is in no list."""
    smaller = page.items[j].value < page.items[k].value
    own = j + 1 < page.n and page.items[j + 1].kind in ("word", "term")
    return smaller and own and page.word(j + 1) not in page.lexicon.around.common.ands


def _leads_on(one: str, two: str, page: Page) -> bool:
    """ ", and" or "and then" before the next number."""
    common = page.lexicon.around.common
    return (one == "," and two in common.ands) or (one in common.ands and two in common.thens)


def _runs_on(page: Page, k: int) -> bool:
    """ "forty forty one and forty two": numbers by one, said in a row up to the last."""
    ahead = page.items[k : k + 4]
    if len(ahead) < 4 or ahead[2].word not in page.lexicon.around.common.ands:
        return False
    numbers = [ahead[0], ahead[1], ahead[3]]
    first = ahead[0].value
    return all(i.kind == "n" for i in numbers) and [i.value - first for i in numbers] == [0, 1, 2]


def _is_run_number(page: Page, k: int) -> bool:
    item = page.items[k]
    return (
        is_whole(item)
        and not item.hedged
        and item.value < HIGHEST_IN_RUN
        and not page.counts(k, plural=True)
    )


def _numbered(page: Page, k: int) -> list[Mention]:
    """ "#4", "no. 4", "number four", "#4 and 5" """
    items = page.items
    item = items[k]
    sign = item.word == "#"
    if k + 1 >= page.n:
        return []
    number = items[k + 1]
    if number.kind == "code" and sign:
        return [Mention(k, k + 2, number.raw)]
    if not is_whole(number) or number.value > HIGHEST_NUMBER:
        return []
    if _is_denial(page, k) or _numbers_a_thing(page, k) or _is_on_queen(page, k + 2):
        return []
    if sign and page.word(k - 1) in page.lexicon.around.common.none_left:
        return [Mention(k, k + 2, number_name(number), kind="aside")]
    if not sign and (page.counts(k + 1) or _counts_from(page, k + 2)):
        return []
    out = [Mention(k, k + 2, number_name(number), strength=1.0 if sign else 0.9)]
    run = _joined_run(page, k + 1)
    if len(run) > 1:
        out += [Mention(j, j + 1, number_name(items[j])) for j in run[1:]]
        for mention in out:
            mention.group = k
    return out


def _joined_run(page: Page, k: int) -> list[int]:
    """ "numbers one, two and four": the run up to its last "and"; after a comma alone may count."""
    run = number_run(page, k)
    while len(run) > 1 and page.word(run[-1] - 1) == ",":
        run.pop()
    return run


def _is_board(page: Page, k: int) -> bool:
    return k >= 0 and not page.items[k].ids.isdisjoint(("method.board", "board.weak"))


def _has_board(page: Page, k: int) -> bool:
    """ "board out from under 12": whether ``k`` stands between a board and the hive over it."""
    names = page.lexicon.names
    if page.items[k].word not in names.beneath:
        return False
    k -= 1
    while page.word(k) in names.out_from:
        k -= 1
    return _is_board(page, k)


def _is_denial(page: Page, k: int) -> bool:
    """ "no 4" without a capital or a preposition: there are not four."""
    words = page.lexicon.around.numbered
    item = page.items[k]
    if item.word not in words.no or item.raw in words.no_capital:
        return False
    if page.word(k - 1) == "," and page.items[k + 1].form != "words" and _ends(page, k + 2):
        # "Glebe, no 1. Eggs, larvae"
        return False
    return page.word(k - 1) not in words.after


def _ends(page: Page, k: int) -> bool:
    return k >= page.n or page.items[k].kind == "border" or page.items[k].word in (":", ",", "-")


def _counts_from(page: Page, k: int) -> bool:
    """ "number two from the wall": the number says where a comb hangs."""
    return page.word(k) in page.lexicon.around.numbered.counted_from and (
        page.word(k + 1) in page.lexicon.around.common.the
    )


def _is_on_queen(page: Page, k: int) -> bool:
    """ "number 61 on her back": the number of the queen's disc."""
    words = page.lexicon.around.numbered
    return page.word(k) in words.on and any(
        page.word(j) in words.queen_parts for j in range(k + 1, k + 3)
    )


def _numbers_a_thing(page: Page, k: int) -> bool:
    """ "frame number 4", "phone number": no hive is numbered."""
    if k == 0:
        return False
    before, words = page.items[k - 1], page.lexicon.around.numbered
    if before.word in page.lexicon.around.common.the and page.word(k - 2) in words.after:
        # "in the number 7"
        return False
    return not before.ids.isdisjoint(_NUMBERED_THINGS) or before.word in words.other_before


def _code_letters(raw: str) -> str:
    return raw.rstrip("0123456789").rstrip("-").lower()


def _is_code_name(page: Page, k: int) -> bool:
    """Whether a code like A4 names a hive; F4 may be a frame, P4 a page."""
    items, words = page.items, page.lexicon.around.codes
    raw = items[k].raw
    if not raw[0].isalpha():
        digits_first = sum(i.kind == "code" and i.raw[0].isdecimal() for i in items)
        return page.at_line_start(k) or digits_first > 1
    letters = _code_letters(raw)
    if any(page.word(j) in words.priced for j in range(k - 3, k)):
        return False
    if page.word(k - 1) in page.lexicon.around.common.the and not _has_kin(page, raw, letters):
        # "broke down on the A64"
        return False
    if letters not in words.other:
        return True
    if letters in words.queen:
        return _heads_a_sample(page, k)
    if letters not in words.row_letters:
        return False
    return (
        _has_kin(page, raw, letters)
        or page.at_line_start(k)
        or page.word(k + 1) in (":", "-", "=", "|")
    )


def _has_kin(page: Page, raw: str, letters: str) -> bool:
    """Whether another code of the note begins with the same letters."""
    return any(
        i.kind == "code" and i.raw != raw and _code_letters(i.raw) == letters for i in page.items
    )


def _heads_a_sample(page: Page, k: int) -> bool:
    """ "Q4 sugar roll ..." at the head of a line: not the fourth quarter, nor a queen."""
    return (
        k + 1 < page.n
        and page.at_line_start(k)
        and any(i.startswith(("method", "board")) for i in page.items[k + 1].ids)
    )
