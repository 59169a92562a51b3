"""Stage 3: the longest phrase of a lexicon at a word."""

from __future__ import annotations

from ...grammar.load import Lexicon


def longest_match(
    index: Lexicon, words: list[str], i: int, limit: int = 99
) -> tuple[int, frozenset[str]] | None:
    """The longest phrase of at most ``limit`` words that begins at ``words[i]``."""
    by_second = index.get(words[i])
    if by_second is None:
        return None
    if limit > 1 and i + 1 < len(words):
        for phrase, ids in by_second.get(words[i + 1], ()):
            n = len(phrase)
            if n <= limit and (n == 2 or tuple(words[i : i + n]) == phrase):
                return n, ids
    single = by_second.get("")
    return (1, single[0][1]) if single else None
