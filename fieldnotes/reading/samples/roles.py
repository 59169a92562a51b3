"""Stage 10b: whether a count adds to, sums up, replaces or settles what was counted before it."""

from __future__ import annotations

from ..counts import Role
from ..items import Item, Row
from ..items.row import Hit


def role_of(row: Row, item: Item) -> Role:
    """Whether a count adds to, sums up, replaces or settles what was counted before it.

    Words right before it count first ("no, five", "so five", "then another five"), then the round
    that it was counted in ("five on the second shake"), then a correction further off, then words
    after it ("five more", "five in all").
    """
    near = row.ops_near(item.i - 16, item.j + 3)
    if _holds(row, item, near):
        return "settled"
    before = _right_before(row, item, near)
    if (round_of(row, item) or 1) > 1:
        return "add"
    if before != "count":
        return before
    after = _after(row, item, near)
    # "hang on, that's not all, three more": what adds is no correction
    if after != "add" and _corrected_from_afar(row, item, near):
        return "repair"
    return after


def _holds(row: Row, item: Item, near: list[Hit]) -> bool:
    """ "We go with six", "six is the right one": whether words right beside a count choose it."""
    noun = item.j < len(row.words) and row.words[item.j] in row.grammar.roles.mites
    return any("settled" in names and (j == item.i or i == item.j + noun) for names, i, j in near)


def round_of(row: Row, item: Item) -> int | None:
    """Which round of shaking or washing a count is of: 1, or 2 for any later one."""
    words, roles = row.words, row.grammar.roles
    after = [w for w in words[item.j : item.j + 6] if w not in roles.mites]
    if len(after) > 1 and after[0] in roles.of_round:
        rest = after[2:] if after[1] in roles.the and len(after) > 2 else after[1:]
        # "two in the first, one in the second": the round itself may go unsaid
        next_word = rest[1] if len(rest) > 1 else "."
        if (
            next_word in roles.rounds
            or not next_word.isalpha()
            or next_word in row.grammar.counts.bare.any
        ):
            if rest[0] in roles.first:
                return 1
            if rest[0] in roles.later:
                return 2
    before = words[max(0, item.i - 5) : item.i]
    while before and before[-1] in roles.gave:
        before = before[:-1]
    before = before[-2:]
    if len(before) < 2:
        return None
    if before[1] in roles.rounds:
        return 1 if before[0] in roles.first else 2 if before[0] in roles.later else None
    return 2 if before[1] in roles.later and before[0] in roles.lists else None


def role_before(row: Row, k: int) -> Role:
    """The role of a count said in words at item ``k`` ("no mites")."""
    item = row.items[k]
    for names, i, j in row.ops_near(item.i - 16, item.i + 1):
        if "repair" in names and j <= item.i <= j + 1 and row.words[i] != "no":
            return "repair"
        if "total" in names and j <= item.i <= j + 1:
            return "total"
    return "count"


def _right_before(row: Row, item: Item, near: list[Hit]) -> Role:
    """What the words right before a count say of it."""
    words, roles = row.words, row.grammar.roles
    found: Role = "count"
    for names, i, j in near:
        # "Counted again. Six mites.": a whole sentence that corrects speaks of the next one
        opens = j - i > 1 and j < len(words) and words[j] in (".", ";") and "repair" in names
        if not j <= item.i <= j + 4 or _barrier(row, j + opens, item.i):
            continue
        between = words[j + opens : item.i]
        passing = all(w in roles.passing for w in between)
        if "repair" in names and words[i] in row.grammar.cues.denial_swaps:
            # "not five, seven mites"
            numbers = row.grammar.numbers.words
            if between and all(w in numbers or w[0].isdecimal() or w == "," for w in between):
                found = "repair"
                continue
        if (
            "repair" in names
            and len(between) <= 3
            and words[i] != "not"
            and (words[i] not in roles.soft_repairs or passing)
        ):
            found = "repair"
        elif "total" in names and passing:
            found = "total"
        elif (
            "add" in names
            and len(between) <= 1
            and words[j] not in roles.rounds  # "one more time: two mites"
            and found == "count"
        ):
            found = "add"
    return found


def _corrected_from_afar(row: Row, item: Item, near: list[Hit]) -> bool:
    """A strong cue reaches over what explains it: "no wait, half of them are seeds, eleven"."""
    return any(
        "repair" in names and j - i >= 2 and j <= item.i <= j + 8 and not _barrier(row, j, item.i)
        for names, i, j in near
    )


def _after(row: Row, item: Item, near: list[Hit]) -> Role:
    """What the words right after a count say of it."""
    for names, i, _ in near:
        if (
            "total" in names
            and item.j <= i <= item.j + 2
            and row.words[i] in row.grammar.roles.sums_after
        ):
            return "total"
        if "add" in names and item.j <= i <= item.j + 1:
            return "add"
    return "count"


def _barrier(row: Row, a: int, b: int) -> bool:
    return any(w[0] == "\n" or w in (".", ";") for w in row.words[a:b])
