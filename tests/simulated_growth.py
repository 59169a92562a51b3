"""Colonies that grow at a known rate and are sampled now and then, for tests and benchmarks."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from fieldnotes.estimate.basis import PerHundredAdults
from fieldnotes.estimate.dated import DatedCount
from fieldnotes.estimate.growth.crossing import Crossing, crossing_of
from fieldnotes.estimate.growth.growth import growth_of
from fieldnotes.estimate.growth.outlook import Outlook, outlook_of
from fieldnotes.estimate.growth.rows import known_growth

START = dt.date(2026, 5, 1)
ACT = 3.0
WANTED = (0.75, 0.85)
"""The share of 80 percent intervals that should hold the true day."""


@dataclass(frozen=True)
class Plan:
    """How the colonies are sampled: counts a colony, days between, bees in a jar and their spread.

    ``told`` is the spread that the estimator is told. ``wavers`` is the sigma by which the rate of
    each week strays from the colony's own, which the estimator knows nothing of.
    """

    name: str
    counts: int
    apart: int = 28
    bees: int = 300
    spread: float = 0.15
    told: float | None = None
    wavers: float = 0.0


PLANS = (
    Plan("one count", 1),
    Plan("two counts, 4 weeks apart", 2),
    Plan("three counts, 4 weeks apart", 3),
    Plan("three counts, 2 weeks apart", 3, apart=14),
    Plan("five counts, 2 weeks apart", 5, apart=14),
    Plan("three counts, bees counted", 3, spread=0.0),
    Plan("three counts, bees by volume", 3, spread=0.3),
)
STRAYING = (
    Plan("spread of 0.3 not told", 3, spread=0.3, told=0.0),
    Plan("rate strays by 0.01 a week", 3, wavers=0.01),
)


@dataclass(frozen=True)
class Colony:
    """A simulated colony: its counts, and the true day on which the act level is passed."""

    counts: tuple[DatedCount, ...]
    passed: float
    """Days after the last count; negative if before it, infinite if never."""


def colonies(plan: Plan, number: int, rng: np.random.Generator) -> Iterator[Colony]:
    """``number`` colonies: rates drawn from the published prior, levels over what yards show.

    The infestation at the first count is drawn evenly in the logarithm from 0.2 to 3 per 100.
    """
    prior = known_growth().prior
    for _ in range(number):
        rate = rng.normal(prior.daily, prior.sigma)
        first = math.log(0.2) + rng.random() * math.log(3.0 / 0.2)
        days = [turn * plan.apart for turn in range(plan.counts)]
        path = _path(first, rate, days[-1] + 400, plan.wavers, rng)
        yield Colony(
            tuple(_count(plan, day, path[day], rng) for day in days), _passed(path, days[-1])
        )


def _path(
    first: float, rate: float, days: int, wavers: float, rng: np.random.Generator
) -> np.ndarray:
    weekly = rate + wavers * rng.normal(size=days // 7 + 2)
    steps = np.repeat(weekly, 7)[:days]
    return first + np.concatenate(([0.0], np.cumsum(steps)))


def _count(plan: Plan, day: int, level: float, rng: np.random.Generator) -> DatedCount:
    varied = 1.0 if plan.spread == 0 else rng.gamma(plan.spread**-2, plan.spread**2)
    mites = int(rng.poisson(math.exp(level) * plan.bees / 100 * varied))
    told = plan.spread if plan.told is None else plan.told
    return DatedCount(START + dt.timedelta(days=day), mites, plan.bees, spread=told)


def _passed(path: np.ndarray, last: int) -> float:
    """Days from ``last`` to the first day after it on which the act level is passed."""
    above = np.nonzero(path[last:] >= math.log(ACT))[0]
    return float(above[0]) if len(above) else math.inf


@dataclass(frozen=True)
class Outcome:
    """What was told of one colony: whether a day at all, and whether it holds the true one.

    ``miss`` says on which side of the interval the true day lies. ``width`` is in days, None where
    an end is open.
    """

    colony: Colony
    told: bool
    miss: Literal["before", "after"] | None = None
    width: int | None = None

    @property
    def held(self) -> bool:
        return self.told and self.miss is None


def outcomes(plan: Plan, number: int, rng: np.random.Generator) -> Iterator[Outcome]:
    """What the estimator tells of ``number`` simulated colonies, held against the truth."""
    for colony in colonies(plan, number, rng):
        crossing = crossing_of(growth_of(colony.counts), PerHundredAdults(value=ACT))
        yield _outcome(colony, crossing, colony.counts[-1].day)


def _outcome(colony: Colony, crossing: Crossing, last: dt.date) -> Outcome:
    early, late = crossing.early_80, crossing.late_80
    if late == last or (early == last and late is None):
        return Outcome(colony, told=False)
    passed = colony.passed if colony.passed <= crossing.horizon else math.inf
    if passed < (math.inf if early is None else (early - last).days):
        return Outcome(colony, told=True, miss="before")
    if late is not None and passed > (late - last).days:
        return Outcome(colony, told=True, miss="after")
    width = None if late is None or early in (None, last) else (late - early).days
    return Outcome(colony, told=True, width=width)


def outlook_for(colony: Colony) -> Outlook:
    """The whole outlook of a simulated colony, on the day of its last count."""
    act = PerHundredAdults(value=ACT)
    return outlook_of(colony.counts, (), act, today=colony.counts[-1].day)
