"""The words of the grammar that stage 7 asks for, as sets built once for all notes."""

from __future__ import annotations

from dataclasses import dataclass

from ...grammar.load import Grammar
from ...grammar.schema import MentionWords, NameWeights, NameWords, SceneWords

Groups = dict[str, list[tuple[tuple[str, ...], str]]]
"""First word of a phrase -> (whole phrase, the kind of its mention), longest first."""
NameCues = dict[tuple[int, str], tuple[str, ...]]
"""(distance from the name, word) -> the cues that the word gives there."""
COMMON = 10_000
"""Rank from which a word is uncommon."""


@dataclass(frozen=True, slots=True)
class SceneLexicon:
    """Word sets for finding mentions. ``around`` holds those that count in one place only."""

    around: MentionWords
    names: NameWords
    known: frozenset[str]
    calendar: frozenset[str]
    headings: frozenset[str]
    not_names: frozenset[str]
    descriptive: frozenset[str]
    place_leads: frozenset[str]
    groups: Groups
    ranks: dict[str, int]
    name_cues: NameCues
    name_weights: NameWeights

    def rank(self, word: str) -> int | None:
        """The place of ``word`` or its singular among the words by frequency; None: rare."""
        rank = self.ranks.get(word)
        return self.ranks.get(word[:-1]) if rank is None and word.endswith("s") else rank

    def band(self, word: str) -> int:
        """How rare ``word`` is: 0 for the commonest band of ``names.toml``, and upwards."""
        rank = self.rank(word)
        bands = self.names.bands
        return len(bands) + 1 if rank is None else sum(rank >= limit for limit in bands)

    def unlisted(self, word: str) -> bool:
        """Whether ``word`` is neither of the trade nor a common one."""
        rank = self.rank(word)
        rare = rank is None or rank >= COMMON
        return rare and word not in self.known and word not in self.names.exclaimed


def scene_lexicon(grammar: Grammar) -> SceneLexicon:
    """Build the sets of one grammar."""
    scenes = grammar.scenes
    return SceneLexicon(
        around=grammar.mentions,
        names=grammar.names,
        known=grammar.known_words,
        calendar=frozenset([*grammar.dates.weekdays, *grammar.dates.months]),
        headings=frozenset(scenes.headings.phrases),
        not_names=frozenset(scenes.not_names.phrases),
        descriptive=frozenset(scenes.descriptive.phrases),
        place_leads=grammar.names.places | grammar.mentions.yards.place_leads,
        groups=_groups(scenes),
        ranks=grammar.word_ranks,
        name_cues=_name_cues(grammar.names),
        name_weights=grammar.name_weights,
    )


def _groups(scenes: SceneWords) -> Groups:
    groups: Groups = {}
    kinds = (
        ("all", scenes.all),
        ("next", scenes.next),
        ("other", scenes.other),
        ("others", scenes.others),
        ("first", scenes.first),
        ("list_first", scenes.list_first),
        ("list_last", scenes.list_last),
    )
    for kind, words in kinds:
        for phrase in words.phrases:
            split = tuple(phrase.split())
            groups.setdefault(split[0], []).append((split, kind))
    for rows in groups.values():
        rows.sort(key=lambda row: -len(row[0]))
    return groups


def _name_cues(names: NameWords) -> NameCues:
    cues: dict[tuple[int, str], tuple[str, ...]] = {}
    for cue in names.cue:
        for distance in cue.where:
            for word in cue.words:
                cues[distance, word] = (*cues.get((distance, word), ()), cue.name)
    return cues
