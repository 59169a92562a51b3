"""The pooled rate of several counts, with limits that allow for how much the colonies differ.

Mites of all colonies over bees of all colonies. How much more the counts scatter than chance alone
is Pearson's chi-square over its degrees of freedom (McCullagh P, Nelder JA (1989) Generalized
Linear Models, from memory), never taken below 1; the limits stretch by its root and use Student's
t, since it is known from few colonies. They are never narrower than the exact ones of the sum.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..basis import Figure
from ..binomial import LEVEL, poisson_exact
from ..dated import DatedCount
from ..student import t_below, t_beyond


@dataclass(frozen=True)
class Pooled:
    """The pooled ``figure`` with 95 percent limits, and how the colonies scatter around it.

    ``scatter`` is 1 where they differ by chance alone, more where they differ for real. ``apart``
    is the relative spread of the true infestations that this scatter implies (0: none shows).
    """

    figure: Figure
    mites: int
    colonies: int
    scatter: float
    apart: float
    sigma: float | None
    """Standard error of the logarithm of the rate; None where no mite was found at all."""

    def chance_above(self, act: Figure) -> float | None:
        """The chance that the mean lies above ``act``, on the same basis (else TypeError).

        None where no mite was found, so that there is no scatter to judge by.
        """
        if type(act) is not type(self.figure):
            raise TypeError(f"{act.words} and {self.figure.words} count different things")
        if self.sigma is None or not self.figure.value or not act.value:
            return None
        far = (math.log(self.figure.value) - math.log(act.value)) / self.sigma
        return t_below(far, max(self.colonies - 1, 1)) if self.colonies > 1 else _normal(far)


def pooled_of(counts: Sequence[DatedCount]) -> Pooled:
    """Pool ``counts``, one for each colony, all on one basis (else TypeError)."""
    if len({count.basis for count in counts}) != 1:
        raise TypeError("counts to pool are on one basis, and at least one")
    mites = sum(count.mites for count in counts)
    out_of = sum(count.exposure for count in counts)
    scatter = scatter_of(counts)
    doubts = math.hypot(*(count.exposure * count.spread for count in counts)) / out_of
    low, high = poisson_exact(mites, out_of)
    rate, sigma = mites / out_of, None
    if mites:
        sigma = math.sqrt(scatter / mites + doubts**2)
        number = len(counts)
        reach = math.exp((t_beyond(LEVEL, number - 1) if number > 1 else 1.96) * sigma)
        low, high = min(low, rate / reach), max(high, rate * reach)
    figure = counts[0].basis(value=rate, low=low, high=high)
    return Pooled(figure, mites, len(counts), scatter, _apart(counts, rate), sigma)


def scatter_of(counts: Sequence[DatedCount]) -> float:
    """Pearson's chi-square over its degrees of freedom, at least 1; 1 for a single colony."""
    mites, out_of = sum(c.mites for c in counts), sum(c.exposure for c in counts)
    if len(counts) < 2 or mites == 0:
        return 1.0
    rate = mites / out_of
    square = sum((c.mites - rate * c.exposure) ** 2 / (rate * c.exposure) for c in counts)
    return max(1.0, square / (len(counts) - 1))


def _apart(counts: Sequence[DatedCount], rate: float) -> float:
    """The relative spread of true infestations, by moments: what scatter leaves beyond chance."""
    if len(counts) < 2 or rate == 0:
        return 0.0
    means = [rate * count.exposure for count in counts]
    square = sum((c.mites - mean) ** 2 for c, mean in zip(counts, means, strict=True))
    chance = sum(mean + (mean * c.spread) ** 2 for c, mean in zip(counts, means, strict=True))
    real = square * len(counts) / (len(counts) - 1) - chance
    return math.sqrt(max(0.0, real) / sum(mean**2 for mean in means))


def _normal(x: float) -> float:
    return (1 + math.erf(x / math.sqrt(2))) / 2
