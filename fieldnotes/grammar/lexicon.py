"""Indexes of phrases by their first words, so that a note is looked through once."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

Lexicon = dict[str, dict[str, list[tuple[tuple[str, ...], frozenset[str]]]]]
"""First word of a phrase -> its second word, or "" -> (whole phrase, ids), longest first."""

Meaning = TypeVar("Meaning")
ByFirstWord = dict[str, list[tuple[tuple[str, ...], Meaning]]]
"""First word of a phrase -> (whole phrase, what it means), longest first."""


def split_phrase(phrase: str) -> tuple[str, ...]:
    """A phrase as the tokenizer would cut it, near enough for matching."""
    return tuple(phrase.split())


def with_plural(phrase: str) -> tuple[str, ...]:
    """A phrase and its plain plural."""
    last = phrase.rsplit(" ", 1)[-1]
    if len(last) < 4 or not last.isalpha() or last[-1] in "sxy" or last.endswith(("ch", "ed")):
        return (phrase,)
    return (phrase, phrase + "s")


def by_two_words(entries: Iterable[tuple[str, str]]) -> Lexicon:
    """Index (phrase, id) pairs; a phrase that several ids claim keeps them all."""
    joined: dict[tuple[str, ...], set[str]] = {}
    for phrase, name in entries:
        joined.setdefault(split_phrase(phrase), set()).add(name)
    out: Lexicon = {}
    for words, names in sorted(joined.items(), key=lambda row: -len(row[0])):
        second = words[1] if len(words) > 1 else ""
        out.setdefault(words[0], {}).setdefault(second, []).append((words, frozenset(names)))
    return out


def by_first_word(entries: Iterable[tuple[str, Meaning]]) -> ByFirstWord[Meaning]:
    """Index (phrase, meaning) pairs; of equally long phrases the first given stays first."""
    out: ByFirstWord[Meaning] = {}
    for phrase, meaning in entries:
        words = split_phrase(phrase)
        out.setdefault(words[0], []).append((words, meaning))
    for rows in out.values():
        rows.sort(key=lambda row: -len(row[0]))
    return out


def words_of(lexicon: Lexicon) -> set[str]:
    """Every word of every phrase."""
    return {
        word for by in lexicon.values() for rows in by.values() for ws, _ in rows for word in ws
    }
