"""Stage 7, scored names: the runs of words that may be a name without a hive noun."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..items import Item
from .page import Page, base, capital, is_whole, number_name, raw_base
from .people import people, writes

NAME_KINDS = frozenset({"word", "name", "term", "letter"})
"""Kinds of item that a name without a hive noun may consist of."""
LONGEST = 4
"""Most words of a name."""
HIGHEST_IN_NAME = 400
"""Highest number that is part of a name: "Larch 4"."""
HIGHEST_AT_HEAD = 60
"""Highest number of a name at the head of a line: "Larch 85" is a name and its count."""
SMALL_WORDS = 300
"""Words of this frequency rank or commoner are no name that is written small, nor begin one."""
SHORT = 4
"""Letters of a word whose ending says nothing: "Red", "Jed"."""
ABBREVIATION = 3
"""Most letters of an abbreviation that follows a name: "Tansy SR"."""


@dataclass(frozen=True, slots=True)
class Run:
    """Items ``first`` to ``last`` (exclusive) that may be a name.

    ``number`` is the number, letter or side ("4", "B", "left") that the name takes, in the item at
    ``last``, or "".
    """

    first: int
    last: int
    name: str
    number: str = ""

    @property
    def end(self) -> int:
        """The item after the name and its number."""
        return self.last + bool(self.number)

    @property
    def whole(self) -> str:
        """The name with its number."""
        return f"{self.name} {self.number}".strip()


def find_runs(page: Page, taken: set[int]) -> list[Run]:
    """Every run of words outside ``taken`` that may be a name, in order."""
    human = people(page)
    runs = [
        run
        for run in _runs(page, taken)
        if base(page.items[run.first]) not in human and not writes(page, run.first, run.last)
    ]
    alone = {run.name.lower() for run in runs if run.last - run.first == 1}
    alone |= {words[0] for run in runs if len(set(words := run.name.lower().split())) == 1}
    whole = {run.name.lower() for run in runs}
    return [part for run in runs for part in _parted(_without_opening(page, run, whole), alone)]


def _runs(page: Page, taken: set[int]) -> Iterator[Run]:
    k = 0
    while k < page.n:
        if k in taken or not may_begin(page, k):
            k += 1
            continue
        first, last = k, k + 1
        if capital(page.items[k]):
            longest = min(page.n, k + LONGEST)
            while last < longest and last not in taken and _goes_on(page, last):
                last += 1
        elif k and k - 1 not in taken and page.items[k - 1].word in page.lexicon.names.lead:
            first = k - 1
        yield _run(page, first, last, taken)
        k = last


def _run(page: Page, first: int, last: int, taken: set[int]) -> Run:
    return Run(first, last, _name(page, first, last), _number(page, first, last, taken))


def _name(page: Page, first: int, last: int) -> str:
    """The words of a name without the article that it begins with: "The Squire" is Squire."""
    if last - first > 1 and page.items[first].word in page.lexicon.around.common.the:
        first += 1
    return " ".join(raw_base(item) for item in page.items[first:last])


def may_begin(page: Page, k: int) -> bool:
    """Whether the word at ``k`` may be a name or begin one."""
    item, lexicon = page.items[k], page.lexicon
    if item.kind not in NAME_KINDS or not item.word[:1].isalpha():
        return False
    word = base(item)
    if len(word) < 2 or not _is_letters(word):
        return False
    if "'" in item.word and not item.word.endswith("'s"):
        return False
    if word in lexicon.around.common.pronouns or word in lexicon.calendar:
        return False
    if word in lexicon.names.exclaimed or word in lexicon.headings:
        return False
    if word in lexicon.names.things or word in lexicon.names.spoken:
        return False
    if capital(item):
        return True
    if page.typed or (item.kind == "term" and word not in lexicon.names.likely):
        return False
    if word.endswith("in") and lexicon.rank(f"{word}g") is not None:
        return False  # "lookin"
    rank = lexicon.rank(word)
    return rank is None or rank >= SMALL_WORDS


def _is_letters(word: str) -> bool:
    return word.replace("-", "").replace("'", "").isalpha()


def _goes_on(page: Page, k: int) -> bool:
    """Whether the capital word at ``k`` goes on with the name before it: "Red Rose"."""
    item, before = page.items[k], page.items[k - 1]
    return (
        capital(item)
        and item.kind in ("word", "name", "term")
        and item.i == before.j
        and _is_letters(item.word)
        and not before.raw.endswith("'s")
        and item.word not in page.lexicon.calendar
        and item.raw not in page.lexicon.around.common.keeper
        and not (_is_abbreviation(item) and not before.raw.isupper())
    )


def _is_abbreviation(item: Item) -> bool:
    return item.raw.isupper() and 1 < len(item.raw) <= ABBREVIATION


def _without_opening(page: Page, run: Run, whole: set[str]) -> Run:
    """ "Then Weka had two": the capital of a sentence's first word is no part of the name."""
    first = run.first
    while run.last - first > 1 and page.opens_sentence(first):
        item = page.items[first]
        if item.word in page.lexicon.around.common.the:
            break
        rest = _name(page, first + 1, run.last).lower()
        if not _opens(page, item) and rest not in whole:
            break
        first += 1
    if first == run.first:
        return run
    return Run(first, run.last, _name(page, first, run.last), run.number)


def _opens(page: Page, item: Item) -> bool:
    """Whether the word is one that opens sentences rather than names."""
    lexicon = page.lexicon
    if item.word in lexicon.names.lead:
        return False
    word = base(item)
    rank = lexicon.rank(word)
    return (
        word in lexicon.headings
        or (rank is not None and rank < SMALL_WORDS)
        or (has_verb_ending(page, word) and word not in lexicon.names.likely)
    )


def has_verb_ending(page: Page, word: str) -> bool:
    """ "requeened", "meanwhile": no "Red", whose ending says nothing."""
    names = page.lexicon.names
    return (
        len(word) > SHORT and word.endswith(names.endings) and not word.endswith(names.no_endings)
    )


def _parted(run: Run, alone: set[str]) -> Iterator[Run]:
    """ "Whoopie Pie Moxie had": the last word also stands by itself, and is the next name.

    So are both of "Gwen and Megan Gwen first ... then Megan", and the second of "that was Ruby Ruby
    had three".
    """
    words = run.name.lower().split()
    several = len(words) > 1 and run.last - run.first == len(words) and words[-1] in alone
    if several and (len(words) > 2 or words[0] in alone):
        yield Run(run.first, run.last - 1, " ".join(run.name.split()[:-1]))
        yield Run(run.last - 1, run.last, run.name.split()[-1], run.number)
    else:
        yield run


def _number(page: Page, first: int, last: int, taken: set[int]) -> str:
    """The number, letter or side at ``last`` that may belong to the name before it, or ""."""
    if last >= page.n or last in taken or page.items[last - 1].raw.endswith("'s"):
        return ""
    item, names = page.items[last], page.lexicon.names
    if item.kind == "letter":
        return item.raw if capital(item) and capital(page.items[first]) else ""
    if item.word in names.ends and not page.typed:
        return item.word
    if not is_whole(item) or item.hedged or item.value > HIGHEST_IN_NAME:
        return ""
    if (
        page.counts(last)
        or _counts_brood(page, last + 1)
        or _measures(page, last + 1)
        or _is_drop(page, last + 1)
        or page.word(last + 1) in names.rates
    ):
        return ""
    if item.value > HIGHEST_AT_HEAD and page.at_line_start(first):
        return ""
    return number_name(item)


def _counts_brood(page: Page, k: int) -> bool:
    """ "Clara 5 brood, ...": whether a clause ends with brood at ``k``, of which so many frames."""
    if k >= page.n or "brood" not in page.items[k].ids:
        return False
    return k + 1 >= page.n or page.items[k + 1].kind == "border" or page.word(k + 1) == ","


def _is_drop(page: Page, k: int) -> bool:
    """ "Heather 12 drop": what fell on her board."""
    return k < page.n and not page.items[k].ids.isdisjoint(("board.weak", "method.board"))


def _measures(page: Page, k: int) -> bool:
    """ "willow two level half cups": whether the number before ``k`` counts measures."""
    return (
        page.word(k) in page.lexicon.names.filled
        and k + 1 < page.n
        and (page.items[k + 1].kind in ("vol", "spoon", "term"))
    )
