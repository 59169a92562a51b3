"""Names that are nearly those of the roster: they are asked about, never taken for one another.

Only names of colonies and yards are matched by likeness; words of treatments never are.
"""

from __future__ import annotations

from collections.abc import Iterable

from .drafts import Doubt, VisitDraft
from .scenes import Roster

ALIKE = 0.8
"""Jaro-Winkler similarity from which a recogniser may have heard one name as the other."""

SHORTEST = 4
"""Letters of a name below which everything is like everything."""


def doubt_near_names(drafts: Iterable[VisitDraft], roster: Roster) -> None:
    """Ask about each colony and yard that is not on the roster but sounds like one that is."""
    for draft in drafts:
        for field, names in (("colony", roster.colonies), ("yard", roster.yards)):
            given = draft.facts.get(field)
            if given is None or given.declared or not names:
                continue
            said = str(given.value)
            if tuple(said.lower().split()) in names or said in names.values():
                continue
            if near := near_names(said, dict.fromkeys(names.values())):
                options = (*near, said)
                draft.doubts.append(Doubt(field, "ambiguous", given.spans, options))


def near_names(said: str, known: Iterable[str]) -> list[str]:
    """The known names whose words are like the said ones and whose numbers are the same."""
    from rapidfuzz.distance import JaroWinkler  # here, since most keepers declare no roster

    words, numbers = _parted(said)
    near = []
    for name in known:
        its_words, its_numbers = _parted(name)
        if numbers == its_numbers and min(len(words), len(its_words)) >= SHORTEST:
            score = JaroWinkler.similarity(words, its_words, score_cutoff=ALIKE)
            if score:
                near.append((score, name))
    return [name for _, name in sorted(near, key=lambda row: -row[0])]


def _parted(name: str) -> tuple[str, list[str]]:
    """The words of a name in small letters, and its numbers."""
    words = name.lower().split()
    numbers = [word for word in words if word.isdecimal()]
    return " ".join(word for word in words if not word.isdecimal()), numbers
