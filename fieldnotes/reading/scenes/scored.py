"""Stage 7, scored names: names without a hive noun, by the weight of the evidence for each."""

from __future__ import annotations

import math

from ...grammar.schema import NameWeights
from .evidence import COMPANY, Named, Setting, names_with_evidence
from .mentions import Mention
from .page import Page

CERTAIN, SURE, UNSURE = 0.85, 0.78, 0.6
"""Strength of a name that shows a visit by itself, of one that needs something told of it, and of
one that is asked about too."""
SPARE = 0.45
"""Strength of the likeliest name where nothing else names a colony."""

_NO_RIVAL, _LEAST_RIVAL, _GREATEST_RIVAL = -8.0, -6.0, 4.0
_FAR = -2.0
"""Log-odds of the best rival up to which a name has none that comes near."""
_LAST_RANK = 4
_LEAST_KIN = -2.0
"""Log-odds from which a name in the same company, a count after it too, speaks for another."""


def scored_names(page: Page, taken: set[int], setting: Setting) -> list[Mention]:
    """Names that no hive noun shows, as mentions; ``taken`` items name something else already."""
    model = page.lexicon.name_weights
    names = names_with_evidence(page, taken, setting)
    likely = list(zip(names, chances(names, model), strict=True))
    found = [
        mention
        for named, chance in likely
        if chance >= model.ask
        for mention in _mentions(page, named, _strength(chance, model))
    ]
    if found or setting.strong or not likely:
        return found
    named, chance = max(likely, key=lambda one: one[1])
    return _mentions(page, named, SPARE) if chance >= model.spare else []


def _strength(chance: float, model: NameWeights) -> float:
    if chance >= model.certain:
        return CERTAIN
    return SURE if chance >= model.take else UNSURE


def chances(names: list[Named], model: NameWeights) -> list[float]:
    """The chance of each name of a note to be a colony's, from 0 to 1.

    First each is weighed by its own evidence, then by how it stands among the others: a note is
    about some colony, so the likeliest of its names gains, all the more if no other comes near.
    """
    own = [log_odds(named.evidence, model) for named in names]
    return [
        _chance(model.among_bias + sum(model.among[mark] * x for mark, x in marks.items()))
        for marks in standing_among(own, [named.evidence for named in names])
    ]


def log_odds(evidence: set[str], model: NameWeights) -> float:
    """The log-odds that a name with this evidence is a colony's, whatever else the note names."""
    return model.bias + sum(model.weights.get(mark, 0.0) for mark in evidence)


def standing_among(own: list[float], evidence: list[set[str]]) -> list[dict[str, float]]:
    """Of each name of a note, from the log-odds of all: its own, its rank and its best rival's."""
    ranked = sorted(range(len(own)), key=lambda k: -own[k])
    found = []
    for k, marks in enumerate(evidence):
        first = float(ranked[0] == k)
        best = max((own[j] for j in ranked[:2] if j != k), default=_NO_RIVAL)
        rival = min(max(best, _LEAST_RIVAL), _GREATEST_RIVAL)
        alone = first * (best < _FAR)
        unnamed = float("strong" not in marks)
        shared = COMPANY & marks
        kin = max((own[j] for j in ranked if j != k and shared & evidence[j]), default=_NO_RIVAL)
        found.append(
            {
                "own": own[k],
                "first": first,
                "rival": rival,
                "first_rival": first * rival,
                "first_alone": alone,
                "first_unnamed": first * unnamed,
                "first_alone_unnamed": alone * unnamed,
                "unnamed": unnamed,
                "kin": min(max(kin, _LEAST_KIN), _GREATEST_RIVAL) - _LEAST_KIN,
                "rank": float(min(ranked.index(k), _LAST_RANK)),
            }
        )
    return found


def _chance(log_odds: float) -> float:
    return 1 / (1 + math.exp(-log_odds))


def _mentions(page: Page, named: Named, strength: float) -> list[Mention]:
    return [
        Mention(
            run.first,
            run.end,
            run.whole,
            strength=strength,
            head=page.at_line_start(run.first),
        )
        for run in named.runs
    ]
