"""Simulated samples of colonies whose infestation is known, put through the estimator.

Each sample has a true number of bees drawn from the sources' spread for how they are known, and a
true recovery drawn from the sources' spread where there is one. Mites found are Poisson with mean
infestation times bees times recovery. The estimator knows none of that.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from fieldnotes.estimate import Estimate, estimate_visit
from fieldnotes.estimate.measures import Measures, known_measures
from fieldnotes.grammar.vocabulary import Cup, Vocabulary
from fieldnotes.records import Evidence, Sample, StepSaid, Visit

RATES = (0.2, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0)
WANTED = (0.93, 0.97)
SAID = Evidence(said=((0, 1),))
Rng = np.random.Generator
Floats = np.ndarray[Any, np.dtype[np.float64]]


@dataclass(frozen=True)
class Way:
    """One way of sampling: what the note says, and how the true bees are drawn around it."""

    name: str
    method: str
    said: dict[str, Any]
    draw: Callable[[Rng, int], Floats]
    counted: bool = False
    vocabulary: Vocabulary = field(default_factory=Vocabulary)

    @property
    def loose(self) -> bool:
        """Whether the bees are known by volume only, or just assumed."""
        known = self.estimate(3).likely
        return known is not None and known.bees_how in ("volume", "assumed")

    def estimate(self, mites: int, bees: int | None = None) -> Estimate:
        """The estimate of a sample of this way in which ``mites`` were found."""
        fields: dict[str, Any] = {"method": self.method, "mites": mites} | self.said
        if bees is not None:
            fields["bees"] = bees
        steps: tuple[StepSaid, ...] = ()
        if self.counted:
            proof = {"step": SAID, "outcome": SAID}
            steps = (StepSaid(step="count_bees", outcome="done", evidence=proof),)
        sample = Sample(**fields, steps=steps, evidence=dict.fromkeys(fields, SAID))
        return estimate_visit(Visit(samples=(sample,)), self.vocabulary)[0]


def percent(measures: Measures, known: str) -> float:
    return next(row.percent / 100 for row in measures.spread if row.known == known)


def around(rng: Rng, centre: Floats | float, cv: float, n: int) -> Floats:
    """``n`` log-normal numbers of mean ``centre``."""
    sigma = np.sqrt(np.log1p(cv**2))
    return np.asarray(
        centre * rng.lognormal(-(sigma**2) / 2, sigma, n) if cv else centre * np.ones(n)
    )


def between(number: float, amount: float, rows: Any, cv: float) -> Callable[[Rng, int], Floats]:
    """Half the jars filled as the rule in use has it, the others as some source has it."""
    others = np.array([amount * row.density for row in rows])

    def draw(rng: Rng, n: int) -> Floats:
        centre = np.where(rng.random(n) < 0.5, number, rng.choice(others, n))
        return around(rng, centre, cv, n)

    return draw


def ways() -> tuple[Way, ...]:
    m = known_measures()
    volume, weight = percent(m, "volume"), percent(m, "weighed")
    jar_30_g = between(300, 30, m.weight, weight)
    jar_100_ml = between(300, 100, m.volume, volume)
    half_cup = between(300, 118.3, m.volume, volume)
    own, assumed = percent(m, "own cup"), percent(m, "assumed")

    def exactly(_: Rng, n: int) -> Floats:
        return np.full(n, 300.0)

    cup = Vocabulary(declared=dt.date(2026, 4, 2), cup=Cup(ml=110, bees=280))
    return (
        Way("wash, bees counted", "alcohol", {"bees": 300}, exactly, True),
        Way("sugar, bees counted", "sugar", {"bees": 300}, exactly, True),
        Way("wash, 30 g weighed", "soap", {"bees_weight_g": 30.0}, jar_30_g),
        Way("sugar, 100 mL", "sugar", {"volume_ml": 100.0}, jar_100_ml),
        Way("wash, half a cup", "alcohol", {"volume_ml": 118.3}, half_cup),
        Way("sugar, half a cup", "sugar", {"volume_ml": 118.3}, half_cup),
        Way("sugar, own counted cup", "sugar", {"volume_ml": 110.0},
            lambda r, n: around(r, 280.0, own, n), vocabulary=cup),
        Way("wash, said: 300 bees", "alcohol", {"bees": 300},
            lambda r, n: around(r, 300.0, assumed, n)),
    )  # fmt: skip


def recovered(rng: Rng, method: str, n: int) -> Floats:
    """The share of mites found in each sample, as beta variates where a source has a value."""
    for row in known_measures().recovery:
        if method in row.methods and row.mean is not None and row.sd is not None:
            size = row.mean * (1 - row.mean) / row.sd**2 - 1
            return rng.beta(row.mean * size, (1 - row.mean) * size, n)
    return np.ones(n)


@dataclass
class Held:
    """How many of the simulated samples each kind of limits held."""

    samples: int = 0
    full: int = 0
    counting: int = 0

    def add(self, other: Held) -> None:
        self.samples += other.samples
        self.full += other.full
        self.counting += other.counting


def simulate(
    way: Way, rate: float, n: int, rng: Rng, *, bees: Floats | None = None, one_a_bee: bool = False
) -> Held:
    """``n`` samples of a colony with ``rate`` mites per 100 bees."""
    if bees is None:
        bees = way.draw(rng, n)
    share = rate / 100 * recovered(rng, way.method, n)
    if one_a_bee:
        found = rng.binomial(np.round(bees).astype(int), share)
    else:
        found = rng.poisson(bees * share)
    held = Held(samples=n)
    for mites, times in zip(*np.unique(found, return_counts=True), strict=True):
        estimate = way.estimate(int(mites))
        likely = estimate.likely
        assert likely is not None
        held.full += int(times) * _within(rate, likely.low, likely.high)
        held.counting += int(times) * _within(rate, estimate.low, estimate.high)
    return held


def _within(rate: float, low: float | None, high: float | None) -> bool:
    return low is not None and high is not None and low <= rate <= high


def over_rates(way: Way, samples: int, rng: Rng, **rest: Any) -> tuple[Held, dict[float, Held]]:
    """``samples`` samples of ``way``, the same number at each rate."""
    total, each = Held(), {}
    for rate in RATES:
        each[rate] = simulate(way, rate, -(-samples // len(RATES)), rng, **rest)
        total.add(each[rate])
    return total, each


def stressed(way: Way, samples: int, rng: Rng) -> Held | None:
    """Bees drawn evenly between the fewest and the most that the sources name, if they do."""
    seen = way.estimate(3)
    if seen.bees_low is None or seen.bees_high is None:
        return None
    n = -(-samples // len(RATES))
    total = Held()
    for rate in RATES:
        bees = rng.uniform(seen.bees_low, seen.bees_high, n)
        total.add(simulate(way, rate, n, rng, bees=bees))
    return total
