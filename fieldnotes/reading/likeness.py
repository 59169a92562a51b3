"""Which of the known names a name is like: the same sound is taken for it, others are asked about.

Only names of colonies and yards are matched by likeness; words of treatments never are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

ALIKE = 0.8
"""Jaro-Winkler similarity from which a recogniser may have heard one name as the other."""

SHORTEST = 4
"""Letters of a name below which everything is like everything."""


def near_names(said: str, known: Iterable[str]) -> list[str]:
    """The known names whose words are like the said ones and whose numbers are the same."""
    from jellyfish import jaro_winkler_similarity  # here, since most keepers declare no roster

    words, numbers = _parted(said)
    near = []
    for name in known:
        its_words, its_numbers = _parted(name)
        if numbers == its_numbers and min(len(words), len(its_words)) >= SHORTEST:
            score = jaro_winkler_similarity(words, its_words)
            if score >= ALIKE:
                near.append((score, name))
    return [name for _, name in sorted(near, key=lambda row: -row[0])]


def same_sound(word: str, names: Mapping[str, str]) -> str | None:
    """The one name of ``names`` (as said -> as recorded) that is spelt from the sound of ``word``.

    None where another name is like it too. The sound is that of Metaphone (Philips 1990, "Hanging
    on the Metaphone", Computer Language 7:12), which writes "Tanzy" and "Tansy" alike.
    """
    from jellyfish import metaphone

    near = near_names(word, names)
    if len({names[name] for name in near}) != 1:
        return None
    sound = metaphone(word)
    return names[near[0]] if any(metaphone(name) == sound for name in near) else None


def _parted(name: str) -> tuple[str, list[str]]:
    """The words of a name in small letters, and its numbers."""
    words = name.lower().split()
    numbers = [word for word in words if word.isdecimal()]
    return " ".join(word for word in words if not word.isdecimal()), numbers
