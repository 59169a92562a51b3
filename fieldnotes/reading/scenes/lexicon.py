"""The words of the grammar that stage 7 asks for, as sets built once for all notes."""

from __future__ import annotations

from dataclasses import dataclass

from ...grammar.load import Grammar
from ...grammar.schema import MentionWords, NameWords, SceneWords

Groups = dict[str, list[tuple[tuple[str, ...], str]]]
"""First word of a phrase -> (whole phrase, the kind of its mention), longest first."""


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

    def unlisted(self, word: str) -> bool:
        """Whether neither the trade's words nor the ordinary ones hold ``word``."""
        return word not in self.known and word not in self.names.ordinary


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
    )


def _groups(scenes: SceneWords) -> Groups:
    groups: Groups = {}
    kinds = (
        ("all", scenes.all),
        ("next", scenes.next),
        ("other", scenes.other),
        ("others", scenes.others),
        ("first", scenes.first),
    )
    for kind, words in kinds:
        for phrase in words.phrases:
            split = tuple(phrase.split())
            groups.setdefault(split[0], []).append((split, kind))
    for rows in groups.values():
        rows.sort(key=lambda row: -len(row[0]))
    return groups
