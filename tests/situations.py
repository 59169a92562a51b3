"""Situations for the tests of verdicts: jars, boards, drone cells and what stands around them."""

from __future__ import annotations

import datetime as dt
from typing import Any

from fieldnotes.estimate.basis import FallPerDay, PercentDroneCells, PerHundredAdults
from fieldnotes.estimate.binomial import clopper_pearson, poisson_exact
from fieldnotes.estimate.verdict.records import Verdict
from fieldnotes.estimate.verdict.situation import Choice, Situation
from fieldnotes.estimate.verdict.verdicts import verdict_of

JULY = dt.date(2026, 7, 14)
CLEAN: dict[str, Any] = {"day": JULY, "brood": "worker brood", "treatments": ()}
"""Nothing in the way: brood, no treatment, mid-July."""


def jar(mites: int, bees: int = 300, **around: Any) -> Situation:
    """An alcohol wash with its exact limits for chance."""
    low, high = clopper_pearson(mites, bees)
    figure = PerHundredAdults(100 * mites / bees, low=100 * low, high=100 * high)
    found = {"method": "alcohol", "mites": mites, "bees": bees, **CLEAN, **around}
    return Situation(figure, **found)


def board(mites: int, days: float = 3, **around: Any) -> Situation:
    """A sticky board's natural fall with its exact limits."""
    low, high = poisson_exact(mites, days)
    figure = FallPerDay(mites / days, low=low, high=high)
    return Situation(figure, **{"method": "sticky_board", **CLEAN, **around})


def drones(infested: int, opened: int = 100, **around: Any) -> Situation:
    """Opened drone cells."""
    low, high = clopper_pearson(infested, opened)
    figure = PercentDroneCells(100 * infested / opened, low=100 * low, high=100 * high)
    return Situation(figure, **{"method": "drone_uncapping", **CLEAN, **around})


def judged(situation: Situation, where: str | None = "US", by: str | None = None) -> Verdict:
    """The verdict at a place, or by a guideline."""
    return verdict_of(situation, Choice(where, by))


def questions(verdict: Verdict) -> set[str]:
    """Which questions are put, by a word of each."""
    words = {"brood": "brood", "treatment": "treatment", "supers": "supers", "country": "country"}
    return {name for name, word in words.items() for ask in verdict.asks if word in ask.text}
