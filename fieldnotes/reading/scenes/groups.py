"""Stage 7, groups: phrases that speak of all colonies, of the next, the first or the others."""

from __future__ import annotations

from .mentions import Mention
from .page import Page


def group_mentions(page: Page) -> list[Mention]:
    """Every "all three" and "the other one" of the note; the longest phrase counts.

    Nothing more is told of colonies that another is compared with: "same as the others".
    """
    told = page.lexicon.around.told
    out: list[Mention] = []
    k = 0
    while k < page.n:
        rows = page.lexicon.groups.get(page.items[k].word.split(" ", 1)[0])
        mention = _group_at(page, k, rows) if rows else None
        if mention is not None:
            if page.word(k - 1) not in told.compared | told.no_all and not _is_of_one(
                page, mention
            ):
                out.append(mention)
            k = mention.last
        else:
            k += 1
    return out


_THINGS = frozenset({"super", "frame", "box", "seam", "bee", "queen_cells"})
"""Terms of what a colony has several of."""


def _is_of_one(page: Page, mention: Mention) -> bool:
    """ "all fine", "both her supers": whether nothing is told of several colonies."""
    told = page.lexicon.around.told
    after = page.word(mention.last)
    # "all is well", "all I got on the paper is three percent"
    alone = after in told.all_well or after.partition(" ")[0] in told.all_that
    return (mention.name in told.all_alone and alone) or _are_things(page, mention.last)


def _are_things(page: Page, k: int) -> bool:
    """ "both her supers", "all the frames": whether what stands at ``k`` is no colony."""
    while page.word(k) in page.lexicon.around.told.owners:
        k += 1
    return k < page.n and not page.items[k].ids.isdisjoint(_THINGS)


def _group_at(page: Page, k: int, rows: list[tuple[tuple[str, ...], str]]) -> Mention | None:
    """The first of ``rows``, phrases with their kinds, that stands at item ``k``."""
    for phrase, kind in rows:
        words: list[str] = []
        j = k
        while j < page.n and len(words) < len(phrase):
            words.extend(page.items[j].word.split())
            j += 1
        if tuple(words) == phrase:
            return Mention(k, j, " ".join(phrase), kind=kind)
    return None
