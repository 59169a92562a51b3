"""Stage 10b: what a sentence was counting before a number that has no noun of its own."""

from __future__ import annotations

from ..items import Item, Row

_OTHERS = frozenset(
    {"super", "super_on", "queen_cells", "queen_cups", "seam", "fbees", "fbrood", "fstores"}
)
"""Terms of things that are counted of many colonies in one sentence, other than mites."""

_REACH = 40
"""Items before a number within which the topic of its sentence is looked for."""

_VERB = 3
"""Items before a number within which its verb stands."""


def counts_other_things(row: Row, k: int) -> bool:
    """ "Supers on: 18 has 2, 19 has 3", "11 got a super and 12 got two": the number at item ``k``.

    A thing that has its own count ("4 mites, two supers, Elm 7") is no topic, unless the same verb
    of having goes on about it ("Oak got two supers and Elm got one"). An aside in brackets is none
    ("H5 21 (spotty brood), H6 2").
    """
    items = row.items
    aside = False
    for j in range(k - 1, max(-1, k - _REACH), -1):
        item = items[j]
        if item.word in ("(", ")"):
            aside = item.word == ")"
        if aside:
            continue
        if item.kind == "border" or "mite" in item.ids or _is_of_sampling(item):
            return False
        if any(i.startswith("sign.") for i in item.ids):
            return True  # "hive beetles in there, maybe a dozen"
        if item.ids & _OTHERS:
            counted = j > 0 and items[j - 1].kind == "n"
            return not counted or bool(_verbs_before(row, k) & _verbs_before(row, j - 1))
    return False


def adds_to_other_things(row: Row, k: int) -> bool:
    """ "Two supers are on, one more given": whether "more" at item ``k`` is of such things."""
    for j in range(k - 1, max(-1, k - _REACH), -1):
        item = row.items[j]
        if item.kind == "border" or "mite" in item.ids or _is_of_sampling(item):
            return False
        if item.ids & _OTHERS:
            return True
    return False


def _verbs_before(row: Row, k: int) -> set[str]:
    """The verbs of having right before the number at item ``k``."""
    having = row.grammar.counts.bare.having
    return {x.word for x in row.items[max(0, k - _VERB) : k] if x.word in having}


def _is_of_sampling(item: Item) -> bool:
    return any(i in ("test", "sample") or i.startswith("method.") for i in item.ids)
