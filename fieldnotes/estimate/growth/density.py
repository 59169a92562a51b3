"""The posterior density of level and rate for the counts of one line, up to a constant.

A count is Poisson, or negative binomial with index 1 / spread ** 2, around exp(level + rate * t)
times what it is out of, t in days from the last count, never above 0. The logarithm of the density
is concave in level and rate, so that it has one peak.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from ..dated import DatedCount
from .rows import Prior

_NEAR = 12
"""Halvings to find the peak: a grid only has to lie around it, so a thousandth is enough."""
_LARGEST = 600.0
"""Logarithm of the largest mean count, far beyond any sample, so that nothing overflows."""


class Density:
    """The logarithm of the posterior over level and rate, and its derivatives."""

    def __init__(self, counts: Sequence[DatedCount], prior: Prior) -> None:
        last = counts[-1].day
        self.points = [
            (
                float((count.day - last).days),
                count.mites,
                math.log(count.exposure),
                count.spread**-2 if count.spread > 1e-3 else math.inf,
            )
            for count in counts
        ]
        self._seen = [(count.mites + 0.5, count.exposure) for count in counts]
        self.mean, self.sigma = prior.daily, prior.sigma
        self.slope = 0.5 if any(count.mites for count in counts) else 1.0

    def log(self, level: float, rate: float) -> float:
        """The logarithm of the density, up to a constant."""
        found = self.slope * level - ((rate - self.mean) / self.sigma) ** 2 / 2
        for days, mites, exposure, index in self.points:
            log_mean = min(level + rate * days + exposure, _LARGEST)
            mean = math.exp(log_mean)
            if index == math.inf:
                found += mites * log_mean - mean
            else:
                found += mites * log_mean - (mites + index) * math.log1p(mean / index)
        return found

    def derivatives(self, level: float, rate: float) -> tuple[float, float, float, float, float]:
        """First by level and rate, then minus the second: level, both, rate."""
        by_level, by_rate = self.slope, -(rate - self.mean) / self.sigma**2
        ll, lr, rr = 0.0, 0.0, self.sigma**-2
        for days, mites, exposure, index in self.points:
            mean = math.exp(min(level + rate * days + exposure, _LARGEST))
            if index == math.inf:
                first, second = mites - mean, mean
            else:
                share = index / (index + mean)
                first, second = (mites - mean) * share, mean * (mites + index) * share**2 / index
            by_level += first
            by_rate += first * days
            ll += second
            lr += second * days
            rr += second * days * days
        return by_level, by_rate, ll, lr, rr

    def best_level(self, rate: float, level: float) -> float:
        """The most likely level at ``rate``; the density has a single hump."""
        return _rising_to_zero(lambda x: self.derivatives(x, rate)[0], level)

    def peak(self) -> tuple[float, float]:
        """The most likely level and rate: the best rate along the ridge of best levels."""
        start = math.log(
            sum(p[1] + 0.5 for p in self.points) / sum(math.exp(p[2]) for p in self.points)
        )

        def along(rate: float) -> float:
            return self.derivatives(self.best_level(rate, start), rate)[1]

        rate = _rising_to_zero(along, self.mean, 2 * self.sigma)
        return self.best_level(rate, start), rate

    def sigma_of_rate(self, level: float, rate: float) -> float:
        """The sigma of the rate, with the level free, of a normal with the same peak."""
        _, _, ll, lr, rr = self.derivatives(level, rate)
        return 1 / math.sqrt(rr - lr * lr / ll)


def _rising_to_zero(slope: Callable[[float], float], start: float, step: float = 1.0) -> float:
    """Where a falling function crosses zero, bracketed from ``start``."""
    low = high = start
    while slope(low) < 0:
        high, low, step = low, low - step, 2 * step
    while slope(high) > 0:
        low, high, step = high, high + step, 2 * step
    for _ in range(_NEAR):
        middle = (low + high) / 2
        low, high = (middle, high) if slope(middle) > 0 else (low, middle)
    return (low + high) / 2
