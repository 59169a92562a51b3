"""Stage 3: words that a recogniser misheard, put right where their company is right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import chain

from ...grammar.schema import NUMBER_GROUP, Heard, Mishearings, NumberWords

_DIGITS = "<digits>"
"""Stands for every number in digits."""

_ROUNDS = 2
"""How often a text is gone over: "for mights" is four mites only once the mites are known."""


@dataclass(frozen=True, slots=True)
class _SoundAlike:
    """One mishearing with the groups of its company spelled out."""

    phrase: tuple[str, ...]
    means: str
    before: frozenset[str]
    after: frozenset[str]
    needs: frozenset[str]
    unless_before: frozenset[str]
    unless_after: frozenset[str]
    unless_lead: frozenset[str]
    unless_lately: frozenset[str]
    unless_soon: frozenset[str]

    def fits(self, words: list[str], i: int) -> bool:
        """Whether the words around the phrase at word ``i`` are the right company."""
        j = i + len(self.phrase)
        last = _key(words[i - 1]) if i else ""
        following = _key(words[j]) if j < len(words) else ""
        if self.after and last not in self.after:
            return False
        if self.before and following not in self.before:
            return False
        if following in self.unless_before or last in self.unless_after:
            return False
        if self.unless_lead and i > 1 and words[i - 2] in self.unless_lead:
            return False
        if self.needs and not _any_of(self.needs, words[j : j + 3]):
            return False
        return not (
            (self.unless_lately and _any_of(self.unless_lately, words[max(0, i - 6) : i]))
            or (self.unless_soon and _any_of(self.unless_soon, words[j : j + 5]))
        )


def _key(word: str) -> str:
    return _DIGITS if word[:1].isdecimal() else word


def _any_of(wanted: frozenset[str], words: list[str]) -> bool:
    return any(_key(word) in wanted for word in words)


@dataclass(slots=True)
class _Sounds:
    """What one written word may have been, found by the neighbour that each reading needs."""

    by_next: dict[str, list[_SoundAlike]] = field(default_factory=dict)
    by_last: dict[str, list[_SoundAlike]] = field(default_factory=dict)
    anywhere: list[_SoundAlike] = field(default_factory=list)

    def add(self, alike: _SoundAlike) -> None:
        """Keep a reading of the word."""
        if alike.before:
            for word in alike.before:
                self.by_next.setdefault(word, []).append(alike)
        elif alike.after:
            for word in alike.after:
                self.by_last.setdefault(word, []).append(alike)
        else:
            self.anywhere.append(alike)

    def meant(self, words: list[str], i: int) -> str | None:
        """The word meant by word ``i``, or None where it means itself."""
        following = _key(words[i + 1]) if i + 1 < len(words) else ""
        last = _key(words[i - 1]) if i else ""
        for alike in chain(
            self.by_next.get(following, ()), self.by_last.get(last, ()), self.anywhere
        ):
            if alike.fits(words, i):
                return alike.means
        return None


class Mender:
    """Puts misheard words right by the mishearings of one grammar."""

    def __init__(self, mishearings: Mishearings, numbers: NumberWords) -> None:
        groups: dict[str, frozenset[str]] = {
            **mishearings.groups,
            NUMBER_GROUP: frozenset(
                {*numbers.words, *numbers.tens, *numbers.multipliers, *numbers.sets, _DIGITS}
            ),
        }
        self._words: dict[str, _Sounds] = {}
        self._phrases: dict[str, list[_SoundAlike]] = {}
        for row in mishearings.heard:
            for alike in _spelled_out(row, groups):
                first = alike.phrase[0]
                if len(alike.phrase) == 1:
                    self._words.setdefault(first, _Sounds()).add(alike)
                else:
                    self._phrases.setdefault(first, []).append(alike)

    def joins(self, words: list[str]) -> dict[int, tuple[int, str]]:
        """Words misheard as several, "for teen": first word -> (the word after them, meaning)."""
        out: dict[int, tuple[int, str]] = {}
        free = 0
        for i, word in enumerate(words):
            if i < free or word not in self._phrases:
                continue
            for alike in self._phrases[word]:
                j = i + len(alike.phrase)
                if tuple(words[i:j]) == alike.phrase and alike.fits(words, i):
                    out[i] = (j, alike.means)
                    free = j
                    break
        return out

    def mend(self, words: list[str]) -> None:
        """Put the single words right in place."""
        doubtful = [i for i, word in enumerate(words) if word in self._words]
        for _ in range(_ROUNDS):
            still = []
            for i in doubtful:
                meant = self._words[words[i]].meant(words, i)
                if meant is None:
                    still.append(i)
                else:
                    words[i] = meant
            doubtful = still


def _spelled_out(row: Heard, groups: Mapping[str, frozenset[str]]) -> Iterable[_SoundAlike]:
    def spelled(company: frozenset[str]) -> frozenset[str]:
        names = {name for name in company if name.startswith("<")}
        return (company - names).union(*(groups[name.strip("<>")] for name in names))

    for text in row.texts:
        yield _SoundAlike(
            tuple(text.split()),
            row.means,
            spelled(row.before),
            spelled(row.after),
            spelled(row.needs),
            spelled(row.unless_before),
            spelled(row.unless_after),
            spelled(row.unless_lead),
            spelled(row.unless_lately),
            spelled(row.unless_soon),
        )
