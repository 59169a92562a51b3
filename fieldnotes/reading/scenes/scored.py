"""Stage 7, scored names: names without a hive noun, by how much word and place speak for one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from ..items import Item
from .mentions import Mention
from .page import Page, base, capital, is_whole, number_name, raw_base
from .scoring import NAME_KINDS, makes_pair, place_score, word_score

FIRM, FAIR, ENOUGH, SPARE = 2.1, 1.8, 1.6, 1.1
"""Scores from which a name counts beside better ones, beside them if keepers give it, where
nothing better stands, and where nothing else names a colony."""
LIKELY_SPARE = 1.3
"""Score from which a name is more likely than not where nothing else names a colony."""
NUMBERED_STYLE = 3
"""Numbered colonies in a note from which a single word is hardly another colony's name."""

KNOWN_STRENGTH = 0.72
"""Least strength of a name that keepers give, in a place where a name stands: not asked about."""
LISTED = 0.8
"""What a name gains from one before it in the same list."""
HIGHEST_IN_NAME = 400
"""Highest number that is part of a name: "Larch 4"."""


@dataclass(slots=True)
class _Run:
    """A run of words that may be a name: items ``first`` to ``last`` (exclusive)."""

    first: int
    last: int
    score: float


@dataclass(slots=True)
class _Candidate:
    """A mention with its score; ``name_only`` is false where a number may be a part of it."""

    mention: Mention
    score: float
    name_only: bool


def scored_names(page: Page, taken: set[int], strong: bool) -> list[Mention]:
    """Names that no hive noun shows. ``strong``: the note names a colony for certain."""
    occurrences = Counter(base(item) for item in page.items)
    candidates = list(_candidates(page, taken, occurrences))
    found = [c for c in candidates if c.score >= ENOUGH]
    if found or strong:
        return [c.mention for c in _firm(page, found, occurrences, strong)]
    spare = [c for c in candidates if c.score >= SPARE and c.name_only]
    if not spare:
        return []
    best = max(spare, key=lambda c: c.score)
    mention = best.mention
    mention.strength = 0.6 if best.score >= LIKELY_SPARE else 0.45
    if mention.name.lower() in page.lexicon.names.likely:
        mention.strength = 0.62
    return [mention]


def in_style(found: list[Mention], numbered: int) -> list[Mention]:
    """Names in the style of the note: amid ``numbered`` colonies a lone word is somebody's name.

    It stays where it heads a line, has a number itself, or comes again.
    """
    if numbered < NUMBERED_STYLE:
        return found
    seen = Counter(m.name for m in found)
    return [m for m in found if m.head or m.name[-1:].isdigit() or seen[m.name] > 1]


def _candidates(page: Page, taken: set[int], occurrences: Counter[str]) -> Iterator[_Candidate]:
    """Every run of words that may be a name, with its number if it takes one."""
    items = page.items
    people = _speakers(page) | _people(page)
    alone = _alone(page)
    before: _Candidate | None = None
    k = 0
    while k < page.n:
        item = items[k]
        # most items are no words or taken: asked here, before the dearer questions
        free = k not in taken and item.kind in NAME_KINDS and item.word[:1].isalpha()
        run = _run(page, k, taken, occurrences, alone) if free else None
        if run is None:
            k += 1
            continue
        if base(item) in people or _is_speaker(page, k, run.last):
            k = run.last
            continue
        name = " ".join(raw_base(i) for i in items[run.first : run.last])
        if name.lower() in page.lexicon.headings:
            k = run.last
            continue
        if before is not None and before.score >= ENOUGH and _joined(page, before, run):
            run.score += LISTED
        numbered = _takes_number(page, k, run.last)
        if numbered:
            run.score += 0.5
            if run.score >= ENOUGH:
                name += f" {number_name(items[run.last])}"
                run.last += 1
        strength = min(0.89, 0.3 + run.score / 6)
        if run.score >= ENOUGH and base(item) in page.lexicon.names.likely:
            strength = max(strength, KNOWN_STRENGTH)
        head = page.at_line_start(run.first)
        mention = Mention(run.first, run.last, name, strength=strength, head=head)
        before = _Candidate(mention, run.score, not numbered)
        yield before
        k = run.last


def _joined(page: Page, before: _Candidate, run: _Run) -> bool:
    """ "Juniper & Mabel": the name before makes the one after it likely."""
    return (
        before.mention.last == run.first - 1
        and page.items[run.first - 1].word in page.lexicon.around.common.pair_list
        and capital(page.items[run.first]) == capital(page.items[before.mention.first])
    )


def _firm(
    page: Page, found: list[_Candidate], occurrences: Counter[str], strong: bool
) -> list[_Candidate]:
    """Drop weak names amid strong ones: they are somebody or something else."""
    if not strong and all(c.score < FIRM for c in found):
        return found
    seen = Counter(c.mention.name.lower() for c in found)
    for c in found:
        if seen[c.mention.name.lower()] > 1:
            c.mention.strength = max(c.mention.strength, KNOWN_STRENGTH)
    likely = page.lexicon.names.likely

    def holds(c: _Candidate) -> bool:
        name = c.mention.name.lower()
        known = name in likely or occurrences[name] > 1
        return c.score >= FIRM or (c.score >= FAIR and known) or c.mention.head or seen[name] > 1

    kept = {c.mention.last: c for c in found if holds(c)}
    firsts = {c.mention.first for c in kept.values()}
    return [
        c
        for c in found
        # "Weka and Moa": the one is as sure as the other
        if c.mention.last in kept
        or (
            page.word(c.mention.last) in page.lexicon.around.common.ands
            and c.mention.last + 1 in firsts
        )
    ]


# -- the run of words --------------------------------------------------------------------------


def _run(
    page: Page, k: int, taken: set[int], occurrences: Counter[str], alone: set[str]
) -> _Run | None:
    """The run of words around ``k`` with its score, or None if no name can stand there."""
    items = page.items
    item = items[k]
    head = _is_head(page, k)
    score = word_score(page, k, head)
    if score is None:
        return None
    last = k + 1
    while capital(item) and last < page.n and last - k < 4 and last not in taken:
        if not _goes_on(page, k, items[last]):
            break
        if last - k > 1 and base(items[last]) in alone:
            # "Whoopie Pie Moxie had": the next name, which also stands by itself
            break
        last += 1
    run = _Run(k, last, score + place_score(page, k, last, head, occurrences))
    while capital(item) and k - run.first < 2 and _goes_before(page, run.first, taken):
        run.first -= 1
        run.score += 0.4
    if run.first == k:
        if last - k > 1:
            run.score += 0.4 if head else 0.8
        elif score >= 0.8 and _has_lead(page, k, taken):
            run.first -= 1
            run.score += 0.5
            if page.word(k - 2) in page.lexicon.around.scored.lead_after:
                run.score += 0.6
    if last < page.n and items[last].kind == "letter" and last not in taken and capital(item):
        run.last += 1
        run.score += 0.6
    return run


def _alone(page: Page) -> set[str]:
    """Words that begin with a capital and follow none: each may be a name by itself."""
    items = page.items
    return {
        base(item)
        for k, item in enumerate(items)
        if item.kind == "name" and (k == 0 or not capital(items[k - 1]))
    }


def _goes_on(page: Page, k: int, item: Item) -> bool:
    """Whether ``item``, after the capital word at ``k``, goes on with its name: "Red Rose"."""
    if not capital(item) or ("'" in item.raw and not item.raw.endswith("'s")):
        return False
    word = base(item)
    if item.kind == "name" or (item.kind in ("word", "term") and word in page.lexicon.names.likely):
        return True
    return item.kind == "word" and makes_pair(page, k, item)


def _goes_before(page: Page, first: int, taken: set[int]) -> bool:
    """Whether the word before item ``first`` is a part of its name."""
    if first == 0 or first - 1 in taken:
        return False
    item, lexicon = page.items[first - 1], page.lexicon
    return (
        item.kind in ("word", "name")
        and capital(item)
        and len(item.raw) > 2
        and item.word not in lexicon.names.before
        and item.word not in lexicon.headings
        and item.word not in lexicon.around.scored.not_part
    )


def _has_lead(page: Page, k: int, taken: set[int]) -> bool:
    """ "big Bess", "Old Red"; "the old Bess" is told, not named."""
    return (
        k > 0
        and k - 1 not in taken
        and page.items[k - 1].word in page.lexicon.names.lead
        and page.word(k - 2) not in page.lexicon.around.scored.no_lead
        and (not capital(page.items[k]) or capital(page.items[k - 1]))
    )


def _takes_number(page: Page, k: int, last: int) -> bool:
    """Whether the number at ``last`` is part of the name at ``k``: "Larch 4"."""
    if last >= page.n:
        return False
    number, names = page.items[last], page.lexicon.names
    if (
        not is_whole(number)
        or number.hedged
        or number.value > HIGHEST_IN_NAME
        or page.counts(last)
        or _measures(page, last + 1)
        or page.items[last - 1].raw.endswith("'s")
    ):
        return False
    # "Larch 85" at the head of a line is a name and its count
    if number.value > 60 and page.at_line_start(k):
        return False
    word = base(page.items[last - 1])
    plain = word in names.ordinary and word not in names.likely
    return not plain or _is_head(page, k)


def _measures(page: Page, k: int) -> bool:
    """ "willow two level half cups": whether the number before ``k`` counts measures."""
    return (
        page.word(k) in page.lexicon.around.scored.filled
        and k + 1 < page.n
        and (page.items[k + 1].kind in ("vol", "spoon", "term"))
    )


def _is_head(page: Page, k: int) -> bool:
    return page.opens_sentence(k) or (page.items[k - 1].kind == "mark" and page.at_line_start(k))


# -- who writes --------------------------------------------------------------------------------


def _speakers(page: Page) -> set[str]:
    """Who writes in a chat: names with a colon at the head of lines, some more than once."""
    items = page.items
    heads: list[str] = []
    lines = 0
    for k in range(page.n):
        if k and not (items[k - 1].kind == "border" and items[k - 1].word[0] == "\n"):
            continue
        lines += 1
        j = k
        while j < page.n and (items[j].word in ("[", "]") or items[j].kind in ("clock", "day")):
            j += 1
        if page.word(j + 1) != ":":
            continue
        if items[j].word.isalpha() and items[j].kind in ("name", "word"):
            heads.append(items[j].word)
    if len(heads) >= 3 and len(heads) >= 0.6 * lines and len(set(heads)) < len(heads):
        return set(heads)
    return set()


def _people(page: Page) -> set[str]:
    """Names of which the note says what only people do, or whom the keeper rings or asks."""
    items, names = page.items, page.lexicon.names
    ands = page.lexicon.around.common.ands
    people: set[str] = set()
    for k, item in enumerate(items):
        if item.kind != "name":
            continue
        with_another = page.word(k - 1) in ands and k > 1 and base(items[k - 2]) in people
        if (
            page.word(k + 1) in names.speaks
            or page.word(k - 1) in names.hailed
            or with_another
            or _beside_keeper(page, k)
        ):
            people.add(base(item))
    return people


def _beside_keeper(page: Page, k: int) -> bool:
    """ "Peg and I did three", "me and Peg", "Peg here, ...": whether a person stands at ``k``."""
    ands, names = page.lexicon.around.common.ands, page.lexicon.names
    if page.word(k + 1) in names.present and page.word(k + 2) in names.present_ends:
        return True
    after = page.word(k + 1) in ands and page.word(k + 2) in names.keeper
    return after or (page.word(k - 1) in ands and page.word(k - 2) in names.keeper)


def _is_speaker(page: Page, k: int, last: int) -> bool:
    """ "[18:02] Ebba:" is who writes, not a colony."""
    return (
        page.word(last) == ":"
        and page.word(k - 1) == "]"
        and k >= 2
        and page.items[k - 2].kind in ("clock", "day")
    )
