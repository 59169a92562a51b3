"""Measures how often the limits hold the truth, on simulated samples, and how fast they are.

    python benchmarks/coverage.py                20,000 samples for each way of sampling
    python benchmarks/coverage.py --samples N    another number

Each simulated sample has a true infestation, a true number of bees drawn from the sources' spread
for how they are known, and a true recovery drawn from the sources' spread where there is one. Mites
found are Poisson with mean infestation times bees times recovery. The sample then goes through the
estimator, which knows none of that. A limit holds where the true infestation lies within.

"stress" draws the bees evenly between the fewest and the most that the sources name, which is
wider than the model of the estimator has it. "one mite a bee" draws mites as a binomial number.
The exit code is 1 if the full interval misses 93 to 97 percent over all rates for any way, or if
the counting interval holds 93 percent where the bees are only measured by volume or assumed.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.simulated_samples import RATES, WANTED, Held, over_rates, stressed, ways


def share(part: int, whole: int) -> str:
    return f"{100 * part / whole:5.1f}"


def coverage(samples: int) -> bool:
    """Print the table of coverage; True if all is as wanted."""
    rng = np.random.default_rng(20260714)
    fine = True
    print(f"Percent of {samples} samples whose 95 percent limits hold the truth")
    rates = " ".join(f"{rate:5g}" for rate in RATES)
    print(f"{'':26}   all   one mite  stress  counting | full, by mites per 100: {rates}")
    everything = Held()
    for way in ways():
        total, each = over_rates(way, samples, rng)
        other, _ = over_rates(way, samples, rng, one_a_bee=True)
        stress = stressed(way, samples, rng)
        everything.add(total)
        by_rate = " ".join(share(held.full, held.samples) for held in each.values())
        hard = "      " if stress is None else share(stress.full, stress.samples)
        print(
            f"{way.name:26} {share(total.full, total.samples)}   {share(other.full, other.samples)}"
            f"    {hard}   {share(total.counting, total.samples)}    |"
            f"{'':26}{by_rate}"
        )
        fine &= WANTED[0] <= total.full / total.samples <= WANTED[1]
        fine &= not way.loose or total.counting / total.samples < WANTED[0]
    print(f"{'all ways':26} {share(everything.full, everything.samples)}"
          f"{'':20}   {share(everything.counting, everything.samples)}")  # fmt: skip
    return fine


def speed() -> None:
    """Print the median time of an estimate, and whether SciPy or NumPy was needed for it."""
    print("\nMedian time of one estimate, in microseconds")
    for way in ways():
        times = []
        for turn in range(600):
            start = time.perf_counter()
            way.estimate(turn % 12)
            times.append(time.perf_counter() - start)
        print(f"{way.name:26} {1e6 * statistics.median(times):6.0f}")


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--samples", type=int, default=20_000)
    fine = coverage(parser.parse_args().samples)
    speed()
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
