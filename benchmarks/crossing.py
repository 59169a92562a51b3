"""Measures how often the 80 percent interval for the day of the act level holds the true day.

    python benchmarks/crossing.py                 3,000 colonies for each way of sampling
    python benchmarks/crossing.py --colonies N    another number

Each simulated colony grows at its own rate, drawn from the published prior, from 0.2 to 3 mites per
100 bees at the first count; jars of 300 bees are drawn from it with the doubt about the bees that
the estimator is told. Counted are all colonies for which a day is told: not those of which it says
that the level is most likely passed, nor those of which it says nothing at all. An end "already" or
"not within half a year" holds every day before or after it.

The last rows break what the estimator takes for granted, to show what that costs. Beside coverage
stand the misses on either side, the median width where both ends are days, colonies whose counts
were held to fit no line though nothing had happened, and the median time of a whole outlook. The
exit code is 1 if a way of sampling that the estimator knows lies outside 75 to 85 percent.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.simulated_growth import PLANS, STRAYING, WANTED, Plan, outcomes, outlook_for


def measure(plan: Plan, number: int) -> float:
    """Print the row of one plan and return its coverage, from 0 to 1."""
    found = list(outcomes(plan, number, np.random.default_rng(20260714)))
    told = [each for each in found if each.told]
    held = sum(each.held for each in told) / len(told)
    early, late = (sum(each.miss == side for each in told) for side in ("before", "after"))
    widths = [each.width for each in told if each.width is not None]
    misfit, times = 0, []
    for each in found[:500]:
        start = time.perf_counter()
        misfit += outlook_for(each.colony).voided is not None
        times.append(time.perf_counter() - start)
    print(
        f"{plan.name:30} {len(told):6} {100 * held:6.1f} {100 * early / len(told):7.1f}"
        f" {100 * late / len(told):6.1f} {statistics.median(widths):6.0f}"
        f" {100 * misfit / len(times):7.1f} {1e3 * statistics.median(times):7.1f}"
    )
    return held


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--colonies", type=int, default=3000)
    number = parser.parse_args().colonies
    print(f"{'':30}   told  held %  before  after   days  misfit      ms")
    fine = True
    for plan in PLANS:
        fine &= WANTED[0] <= measure(plan, number) <= WANTED[1]
    print("what the estimator does not know of:")
    for plan in STRAYING:
        measure(plan, number)
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
