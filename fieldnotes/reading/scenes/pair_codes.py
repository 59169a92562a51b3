"""Stage 7, codes of two numbers: "12-3", said "twelve dash three", the third hive of pallet 12."""

from __future__ import annotations

from dataclasses import dataclass

from .mentions import Mention
from .page import Page, is_whole, number_name
from .spoken_codes import is_told

HIGHEST = 99
"""Numbers above this are no part of such a code."""

LONE = 0.6
"""Strength of a code without another of its kind: it may be a date, and is asked about."""


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two numbers with a dash at items ``first`` to ``last``.

    ``spoken`` where the dash is a word; ``heads`` where it stands at the head of a clause, or what
    follows is said of a hive.
    """

    first: int
    last: int
    group: str
    number: str
    spoken: bool
    heads: bool

    @property
    def name(self) -> str:
        return f"{self.group}-{self.number}"


def pair_codes(page: Page, taken: set[int]) -> list[Mention]:
    """The codes of two numbers, where several of one group stand in the note, or one is spoken.

    One alone is taken, to be asked about, where it stands at the head of the note.
    """
    pairs = [
        pair
        for k in range(page.n - 2)
        if taken.isdisjoint(range(k, k + 3)) and (pair := _pair(page, k)) is not None
    ]
    kin: dict[str, set[str]] = {}
    for pair in pairs:
        kin.setdefault(pair.group, set()).add(pair.number)
    told = {p.group for p in pairs if p.heads and (p.spoken or len(kin[p.group]) > 1)}
    mentions = [_mention(page, pair) for pair in pairs if pair.group in told]
    if not mentions and pairs and _heads_note(page, pairs[0]):
        return [_mention(page, pairs[0], LONE)]
    return mentions


def _mention(page: Page, pair: _Pair, strength: float = 1.0) -> Mention:
    head = page.at_line_start(pair.first)
    return Mention(pair.first, pair.last, pair.name, strength=strength, head=head)


def _pair(page: Page, k: int) -> _Pair | None:
    one, dash, two = page.items[k : k + 3]
    spoken = dash.word in page.lexicon.around.codes.dashes
    written = dash.word == "-" and one.end == dash.start and dash.end == two.start
    if not (spoken or written) or not (is_whole(one) and is_whole(two)):
        return None
    if max(one.value, two.value) > HIGHEST or min(one.value, two.value) < 1 or page.counts(k + 2):
        return None
    heads = page.at_clause_head(k) or is_told(page, k + 3)
    return _Pair(k, k + 3, number_name(one), number_name(two), spoken, heads)


def _heads_note(page: Page, pair: _Pair) -> bool:
    """ "7-2. Soap wash": whether nothing but the code stands before the first mark."""
    after = page.items[pair.last] if pair.last < page.n else None
    return pair.first == 0 and after is not None and after.kind in ("border", "mark")
