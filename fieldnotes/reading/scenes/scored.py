"""Stage 7, scored names: names without a hive noun, by the weight of the evidence for each."""

from __future__ import annotations

import math

from ...grammar.schema import NameWeights
from .evidence import Named, Setting, names_with_evidence
from .mentions import Mention
from .page import Page

CERTAIN, SURE, UNSURE = 0.85, 0.78, 0.6
"""Strength of a name that shows a visit by itself, of one that needs something told of it, and of
one that is asked about too."""
SPARE = 0.45
"""Strength of the likeliest name where nothing else names a colony."""


def scored_names(page: Page, taken: set[int], setting: Setting) -> list[Mention]:
    """Names that no hive noun shows, as mentions; ``taken`` items name something else already."""
    weights = page.lexicon.name_weights
    likely = [
        (named, likelihood(named.evidence, weights.weights, weights.bias))
        for named in names_with_evidence(page, taken, setting)
    ]
    found = [
        mention
        for named, chance in likely
        if chance >= weights.ask
        for mention in _mentions(page, named, _strength(chance, weights))
    ]
    if found or setting.strong or not likely:
        return found
    named, chance = max(likely, key=lambda one: one[1])
    return _mentions(page, named, SPARE) if chance >= weights.spare else []


def _strength(chance: float, weights: NameWeights) -> float:
    if chance >= weights.certain:
        return CERTAIN
    return SURE if chance >= weights.take else UNSURE


def likelihood(evidence: set[str], weights: dict[str, float], bias: float) -> float:
    """The chance from 0 to 1 that a name with this evidence is a colony's: a logistic model."""
    return 1 / (1 + math.exp(-bias - sum(weights.get(mark, 0.0) for mark in evidence)))


def _mentions(page: Page, named: Named, strength: float) -> list[Mention]:
    return [
        Mention(
            run.first, run.end, run.whole, strength=strength, head=page.at_line_start(run.first)
        )
        for run in named.runs
    ]
