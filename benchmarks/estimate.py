"""Measures how long an estimate takes, beside general-purpose libraries in the same run.

    pip install '.[test]'
    python benchmarks/estimate.py                medians of many turns
    python benchmarks/estimate.py --turns N      another number of turns

What is measured, each the median of its turns, one thread:

estimate   One sample with its exact and Wilson limits and its likely range, as ``fieldnotes read``
           makes it. It must take less than a millisecond, and no SciPy or NumPy may be loaded.
limits     The exact limits of a share and of a rate, and the likely range, on new numbers each time
           so that nothing is remembered, against SciPy's and statsmodels' functions for the same
           limits. Both must agree to nine digits.
verdict    The verdict on that estimate under a guideline, questions and reasons with it.
outlook    The line of three counts, with the day on which the act level is passed.
yard       The pooled figure of 40 colonies, the ones that stand out, what to sample next; against
           statsmodels' generalized linear model of the same pooled rate and its scatter.
plan       The figures of ``fieldnotes plan``.

Absolute times tell of the machine; the ratios are what counts. The exit code is 1 if a bar is
missed or two results differ.
"""

from __future__ import annotations

import argparse
import datetime as dt
import math
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path
from typing import Any

# One thread, before NumPy comes in with any library.
os.environ |= dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from fieldnotes.cli.plan import Wanted, work_out  # noqa: E402
from fieldnotes.estimate import Estimate, estimate_visit, posterior_of  # noqa: E402
from fieldnotes.estimate.basis import PerHundredAdults  # noqa: E402
from fieldnotes.estimate.binomial import clopper_pearson, poisson_exact  # noqa: E402
from fieldnotes.estimate.dated import DatedCount  # noqa: E402
from fieldnotes.estimate.growth.outlook import outlook_of  # noqa: E402
from fieldnotes.estimate.posterior import Posterior, Spread  # noqa: E402
from fieldnotes.estimate.verdict.situation import Choice, situation_of  # noqa: E402
from fieldnotes.estimate.verdict.verdicts import verdict_of  # noqa: E402
from fieldnotes.estimate.yard.yard import OfColony, yard_of  # noqa: E402
from fieldnotes.records import Evidence, Sample, Visit  # noqa: E402

SAID = Evidence(said=((0, 1),))
DAY = dt.date(2026, 7, 14)
BAR_MS = 1.0
SAME = 1e-9
"""How far two libraries may differ on one limit, as a share of it."""
Pair = tuple[int, int]


@dataclass(frozen=True)
class Row:
    """One line of the table: what, the median here, the median of the peer, if any."""

    what: str
    ours: float
    peer: str = ""
    theirs: float | None = None
    most: float | None = None

    @property
    def missed(self) -> bool:
        """Whether it takes longer than its bar."""
        return self.most is not None and self.ours > self.most

    def show(self) -> None:
        """Print the line."""
        ratio = "" if self.theirs is None else f"{self.theirs / self.ours:8.1f}"
        theirs = "" if self.theirs is None else f"{self.theirs:9.3f}"
        bar = "" if self.most is None else f"under {self.most:g}"
        missed = "  MISSED" if self.missed else ""
        print(f"{self.what:46}{self.ours:9.3f}{theirs:>9} {ratio:>8}  {self.peer or bar}{missed}")


def median_ms(call: Callable[[], Any], turns: int) -> float:
    """The median time of a call in milliseconds, after a few that warm up."""
    for _ in range(5):
        call()
    times = []
    for _ in range(turns):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return 1e3 * statistics.median(times)


def pairs_once() -> list[Pair]:
    """Mites and bees, all different."""
    return [(m, b) for m in (1, 2, 3, 5, 8, 13, 21) for b in range(240, 420, 7)]


def pairs() -> Iterator[Pair]:
    """Mites and bees, other ones at each turn, without end."""
    return cycle(pairs_once())


def over_pairs(call: Callable[[int, int], Any]) -> Callable[[], Any]:
    """``call`` with the next numbers each time."""
    numbers = pairs()
    return lambda: call(*next(numbers))


def visits() -> Iterator[Visit]:
    """Visits with one sample, other numbers at each turn: half a cup of bees, washed."""
    for mites, bees in pairs():
        fields: dict[str, Any] = {"method": "alcohol", "mites": mites, "volume_ml": bees * 0.39}
        sample = Sample(**fields, source="brood", evidence=dict.fromkeys([*fields, "source"], SAID))
        proof = dict.fromkeys(("date", "colony", "capped_brood"), SAID)
        yield Visit(date=DAY, colony="7", capped_brood=True, samples=(sample,), evidence=proof)


def agree(what: str, ours: Any, theirs: Any) -> bool:
    """Whether two results are the same; says so where they are not."""
    same = all(
        math.isclose(a, b, rel_tol=SAME, abs_tol=1e-12) for a, b in zip(ours, theirs, strict=True)
    )
    if not same:
        print(f"{what}: {ours} here, {theirs} there")
    return same


def estimate_rows(turns: int) -> list[Row]:
    """The estimate and what follows from it."""
    made = [visit for visit, _ in zip(visits(), range(300), strict=False)]
    turn = cycle(made)
    estimates = [estimate_visit(visit)[0] for visit in made]
    told = cycle(list(zip(estimates, made, strict=True)))
    rows = [
        Row("estimate of a sample with likely range", median_ms(
            lambda: estimate_visit(next(turn)), turns), most=BAR_MS),
        Row("verdict on it", median_ms(lambda: verdict(*next(told)), turns)),
        Row("outlook of three counts", median_ms(outlook(), max(turns // 10, 20))),
        Row("plan of a yard", median_ms(lambda: work_out(Wanted(24, 2.0, 0.25)), turns)),
    ]  # fmt: skip
    return rows


def verdict(estimate: Estimate, visit: Visit) -> Any:
    """The verdict on an estimate of a colony in Ontario."""
    posterior = posterior_of(estimate)
    chance = None if posterior is None else lambda act: posterior.above(act.value or 0)
    situation = situation_of(estimate, visit, chance_above=chance, today=DAY)
    return verdict_of(situation, Choice(place="CA-ON"))


def outlook() -> Callable[[], Any]:
    """The outlook of three counts, other ones at each turn."""
    act, numbers = PerHundredAdults(value=3.0), pairs()

    def call() -> Any:
        mites, bees = next(numbers)
        days = (DAY, DAY + dt.timedelta(days=28), DAY + dt.timedelta(days=56))
        counts = [
            DatedCount(day, mites + turn, bees, method="alcohol", spread=0.2)
            for turn, day in enumerate(days)
        ]
        return outlook_of(counts, act=act, today=days[-1])

    return call


def limit_rows(turns: int) -> tuple[list[Row], bool]:
    """Limits here against SciPy and statsmodels, and whether they agree."""
    from scipy import stats
    from statsmodels.stats.proportion import proportion_confint

    spread = 0.3
    index = spread**-2

    def exact(mites: int, bees: int) -> tuple[float, float]:
        limits = stats.binomtest(mites, bees).proportion_ci(method="exact")
        return float(limits.low), float(limits.high)

    def beta(mites: int, bees: int) -> tuple[float, float]:
        low, high = proportion_confint(mites, bees, method="beta")
        return float(low), float(high)

    def garwood(mites: int, days: int) -> tuple[float, float]:
        low, high = stats.gamma.ppf((0.025, 0.975), (mites, mites + 1)) / days
        return float(low), float(high)

    def likely(mites: int, bees: int) -> tuple[float, float]:
        shape = mites + 0.5
        law = stats.betaprime(shape, index + mites - shape, scale=100 * index / bees)
        low, high = law.ppf((0.025, 0.975))
        return float(low), float(high)

    def ours_likely(mites: int, bees: int) -> tuple[float, float]:
        return Posterior(mites, Spread(float(bees), spread)).limits()

    rows, fine = [], True
    for what, ours, peer, theirs in (
        ("exact limits of a share", clopper_pearson, "scipy binomtest", exact),
        ("exact limits of a share", clopper_pearson, "statsmodels proportion_confint", beta),
        ("exact limits of a rate", poisson_exact, "scipy gamma", garwood),
        ("likely range", ours_likely, "scipy betaprime", likely),
    ):
        fine &= sum(not agree(what, ours(*pair), theirs(*pair)) for pair in pairs_once()) == 0
        rows.append(Row(what, median_ms(over_pairs(ours), turns), peer,
                        median_ms(over_pairs(theirs), max(turns // 4, 20))))  # fmt: skip
    return rows, fine


def yard_rows(turns: int) -> tuple[list[Row], bool]:
    """A yard of 40 colonies against the same pooled rate by a generalized linear model."""
    import numpy as np
    import statsmodels.api as sm

    counts = [
        OfColony(str(number), DatedCount(DAY, mites, bees, method="alcohol", comb="brood"))
        for number, (mites, bees) in enumerate(pairs_once()[::4][:40])
    ]
    mites = np.array([each.count.mites for each in counts])
    offset = np.log([each.count.exposure for each in counts])

    def model() -> Any:
        family = sm.families.Poisson()
        return sm.GLM(mites, np.ones(40), family=family, offset=offset).fit(scale="X2")

    pooled, fit = yard_of(counts).pooled, model()
    assert pooled is not None
    ours = (math.log(pooled.figure.value or 0), pooled.scatter)
    fine = agree("pooled rate and scatter", ours, (float(fit.params[0]), float(fit.scale)))
    few = max(turns // 10, 20)
    row = Row("yard of 40 colonies", median_ms(lambda: yard_of(counts), few),
              "statsmodels GLM, pooled rate alone", median_ms(model, few))  # fmt: skip
    return [row], fine


def nothing_heavy() -> bool:
    """Whether an estimate is made without SciPy and NumPy, in a process of its own."""
    program = (
        "import sys; sys.path.insert(0, '.'); from benchmarks.estimate import visits; "
        "from fieldnotes.estimate import estimate_visit; estimate_visit(next(visits())); "
        "print(*sorted({'scipy', 'numpy', 'statsmodels'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=ROOT
    )
    loaded = done.stdout.split()
    print(f"loaded by an estimate: {', '.join(loaded) or 'neither SciPy nor NumPy'}")
    return not loaded


def main() -> int:
    """Print the table; 1 if a bar is missed or two results differ."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--turns", type=int, default=1000)
    turns = parser.parse_args().turns
    fine = nothing_heavy()
    print(f"{'median, milliseconds':46}{'here':>9}{'peer':>9} {'times':>8}")
    rows = estimate_rows(turns)
    limits, same = limit_rows(turns)
    yard, also = yard_rows(turns)
    rows += limits + yard
    for row in rows:
        row.show()
    return 0 if fine and same and also and not any(row.missed for row in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
