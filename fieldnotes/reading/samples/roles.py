"""Stage 10b: whether a count adds to, sums up or replaces what was counted before it."""

from __future__ import annotations

from ..counts import Role
from ..items import Item, Row


def role_of(row: Row, item: Item) -> Role:
    """Whether a count adds to, sums up or replaces what was counted before it.

    Words before it count first ("no, five", "so five", "then another five"), then words after it
    ("five more", "five in all"), then rounds ("five on the second shake").
    """
    words = row.words
    roles = row.grammar.roles
    found: Role = "count"
    near = row.ops_near(item.i - 16, item.j + 3)
    for names, i, j in near:
        if j <= item.i <= j + 4 and not _barrier(row, j, item.i):
            between = words[j : item.i]
            if (
                "repair" in names
                and len(between) <= 3
                and words[i] != "not"
                and (words[i] not in roles.soft_repairs or all(w in roles.passing for w in between))
            ):
                found = "repair"
            elif "total" in names and all(w in roles.passing for w in between):
                found = "total"
            elif "add" in names and len(between) <= 1 and found == "count":
                found = "add"
    if found == "count":
        for names, i, j in near:
            # a strong cue reaches over what explains it: "no wait, half of them are seeds, eleven"
            if (
                "repair" in names
                and j - i >= 2
                and j <= item.i <= j + 8
                and not _barrier(row, j, item.i)
            ):
                found = "repair"
    if found != "count":
        return found
    for names, i, _ in near:
        after = item.j <= i <= item.j + 2
        if after and "total" in names and words[i] in roles.sums_after:
            return "total"
        if item.j <= i <= item.j + 1 and "add" in names:
            return "add"
    after_words = words[item.j : item.j + 5]
    if after_words[:1] and after_words[0] in roles.mites:
        after_words = after_words[1:]
    if (
        len(after_words) >= 3
        and after_words[0] in roles.of_round
        and after_words[1] == "the"
        and after_words[2] in roles.later
    ):
        return "add"
    before = words[max(0, item.i - 3) : item.i]
    if (
        before
        and before[0] in roles.later
        and len(before) == 3
        and before[1] in roles.rounds
        and before[2] in roles.gave
    ):
        return "add"
    if len(before) >= 2 and before[-2] in roles.later and before[-1] in roles.rounds:
        return "add"
    return "count"


def _barrier(row: Row, a: int, b: int) -> bool:
    return any(w[0] == "\n" or w in (".", ";") for w in row.words[a:b])


def role_before(row: Row, k: int) -> Role:
    """The role of a count said in words at item ``k`` ("no mites")."""
    item = row.items[k]
    for names, i, j in row.ops_near(item.i - 16, item.i + 1):
        if "repair" in names and j <= item.i <= j + 1 and row.words[i] != "no":
            return "repair"
        if "total" in names and j <= item.i <= j + 1:
            return "total"
    return "count"
