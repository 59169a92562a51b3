"""The true infestation behind a count, with the doubt about bees and recovery carried along.

A jar of E bees, each with ``rate`` mites on average, of which a share is recovered, shows a number
of mites that is Poisson with mean rate times exposure; the exposure is bees times recovery. The
exposure itself is known only up to a spread. It is taken as a gamma variate with the mean and the
coefficient of variation of the product of its factors, which makes the whole conjugate: the rate
given the count is a beta variate of the second kind, in closed form, so that no sampling and no
grid is needed. With an exposure known exactly it is a gamma variate. An exposure that varies as a
gamma is at the same time the negative binomial count of mites that clump: clumping with index k is
one more factor, with a squared coefficient of variation of 1 / k.

Priors that add no knowledge: after mites were seen Jeffreys' (rate to the power of -1/2), whose
limits keep their promise on average (Brown LD, Cai TT, DasGupta A (2001) Interval estimation for a
binomial proportion. Statistical Science 16:101-133, from memory); after none was seen the flat
one, whose limit is the rule of three (Jovanovic BD, Levy PS (1997) A look at the rule of three.
American Statistician 51(2):137-139).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from ..errors import NumbersError
from .binomial import LEVEL, beta_below, beta_quantile, gamma_below, gamma_quantile

_EXACT = 1e-4
"""A coefficient of variation below this is none: it moves no digit that is ever shown."""
WIDEST = 0.9
"""Beyond this coefficient of variation nothing is known of the exposure."""


class Spread(NamedTuple):
    """A positive number known up to a spread: its mean and its coefficient of variation."""

    mean: float
    cv: float = 0.0


def product(*factors: Spread) -> Spread:
    """Mean and spread of a product of independent factors, exact in both.

    >>> bees, recovered = Spread(300.0, 0.3), Spread(0.9, 0.06)
    >>> [round(part, 3) for part in product(bees, recovered)]
    [270.0, 0.306]
    """
    mean, square = 1.0, 1.0
    for factor in factors:
        mean *= factor.mean
        square *= 1 + factor.cv**2
    return Spread(mean, math.sqrt(square - 1))


@dataclass(frozen=True)
class Posterior:
    """What ``mites`` in a sample of ``exposure`` bees say of the mites per 100 bees.

    Raises NumbersError for a negative or fractional count, or an exposure that is not positive or
    so uncertain that it says nothing.
    """

    mites: int
    exposure: Spread

    def __post_init__(self) -> None:
        mean, cv = self.exposure
        if self.mites < 0 or self.mites != int(self.mites):
            raise NumbersError(f"{self.mites} is no count of mites: count whole mites")
        if not 0 < mean < math.inf:
            raise NumbersError(f"{mean:g} bees are no sample: state how many there were")
        if not 0 <= cv <= WIDEST:
            raise NumbersError(f"a spread of {cv:g} of the bees says nothing of their number")

    @property
    def _shape(self) -> float:
        return self.mites + (0.5 if self.mites else 1.0)

    @property
    def _scale(self) -> tuple[float, float]:
        """Second shape and scale of the beta variate of the second kind, in mites per bee."""
        mean, cv = self.exposure
        k = cv**-2
        return k + self.mites - self._shape, k / mean

    def below(self, per_100: float) -> float:
        """The chance, from 0 to 1, that the true mites per 100 bees lie below ``per_100``."""
        rate = per_100 / 100
        if not rate > 0:
            return 0.0
        if self.exposure.cv < _EXACT:
            return gamma_below(rate * self.exposure.mean, self._shape)
        other, scale = self._scale
        return beta_below(rate / (rate + scale), self._shape, other)

    def above(self, per_100: float) -> float:
        """The chance, from 0 to 1, that the true mites per 100 bees lie above ``per_100``."""
        return 1 - self.below(per_100)

    def quantile(self, chance: float) -> float:
        """The mites per 100 bees below which the truth lies with ``chance``."""
        if not 0 < chance < 1:
            raise NumbersError(f"a chance lies between 0 and 1, not {chance:g}")
        if self.exposure.cv < _EXACT:
            return 100 * gamma_quantile(chance, self._shape) / self.exposure.mean
        other, scale = self._scale
        share = beta_quantile(chance, self._shape, other)
        return 100 * scale * share / (1 - share)

    def limits(self, level: float = LEVEL) -> tuple[float, float]:
        """The limits in mites per 100 bees that hold the truth with chance ``level``.

        With no mite seen only the upper one says anything, and holds with the whole level.
        """
        if self.mites == 0:
            return 0.0, self.quantile(level)
        tail = (1 - level) / 2
        return self.quantile(tail), self.quantile(1 - tail)
