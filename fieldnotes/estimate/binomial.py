"""Exact limits for counts: Clopper-Pearson for a share, Garwood for events over time.

Pure arithmetic on plain numbers, without SciPy, which would cost more at start than a whole note.
The limits are roots of the regularised incomplete beta and gamma functions, found by Newton steps
kept inside a shrinking bracket.

Sources: Clopper CJ, Pearson ES (1934) The use of confidence or fiducial limits illustrated in the
case of the binomial. Biometrika 26:404-413. Garwood F (1936) Fiducial limits for the Poisson
distribution. Biometrika 28:437-442. Continued fractions and series: Abramowitz M, Stegun IA (1964)
Handbook of Mathematical Functions, 6.5.29, 6.5.31 and 26.5.8 (numbers of the formulas from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable

LEVEL = 0.95
"""The usual level of confidence: the limits miss the truth at most once in twenty samples."""

_TINY = 1e-300
_EPS = 1e-15


def clopper_pearson(hits: int, of: int, level: float = LEVEL) -> tuple[float, float]:
    """Exact two-sided limits for a share, as proportions from 0 to 1, for ``hits`` out of ``of``.

    Raises ValueError where the count exceeds the total, either is negative or zero bees were
    taken, or the level is not between 0 and 1.
    """
    if not 0 <= hits <= of or of <= 0:
        raise ValueError(f"{hits} out of {of} is no share")
    tail = _tail(level)
    low = 0.0 if hits == 0 else beta_quantile(tail, hits, of - hits + 1)
    high = 1.0 if hits == of else beta_quantile(1 - tail, hits + 1, of - hits)
    return low, high


def poisson_exact(events: int, exposure: float = 1.0, level: float = LEVEL) -> tuple[float, float]:
    """Exact two-sided limits for a rate: events per unit of ``exposure``, for instance per day.

    Raises ValueError for a negative count, an exposure that is not positive, or a bad level.
    """
    if events < 0 or not exposure > 0:
        raise ValueError(f"{events} events in {exposure} is no rate")
    tail = _tail(level)
    low = 0.0 if events == 0 else gamma_quantile(tail, events)
    return low / exposure, gamma_quantile(1 - tail, events + 1) / exposure


def _tail(level: float) -> float:
    if not 0 < level < 1:
        raise ValueError(f"a level of confidence lies between 0 and 1, not {level}")
    return (1 - level) / 2


def beta_below(x: float, a: float, b: float) -> float:
    """The chance that a beta variate with shapes ``a`` and ``b`` lies below ``x``: I_x(a, b)."""
    return _beta(x, a, b, math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b))


def gamma_below(x: float, a: float) -> float:
    """The chance that a gamma variate of shape ``a`` and scale 1 lies below ``x``: P(a, x)."""
    return _gamma(x, a, -math.lgamma(a))


def beta_quantile(p: float, a: float, b: float) -> float:
    """The x with I_x(a, b) = p, for p between 0 and 1."""
    norm = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)

    def density(x: float) -> float:
        return math.exp(norm + (a - 1) * math.log(x) + (b - 1) * math.log1p(-x))

    # Start at the mean, a normal step towards the wanted tail; any start inside (0, 1) would do.
    mean = a / (a + b)
    spread = math.sqrt(mean * (1 - mean) / (a + b + 1))
    start = min(max(mean + math.copysign(2, p - 0.5) * spread, mean / 20), 1 - (1 - mean) / 20)
    return _root(lambda x: _beta(x, a, b, norm), density, p, 0.0, 1.0, start)


def gamma_quantile(p: float, a: float) -> float:
    """The x with P(a, x) = p, for p between 0 and 1."""
    norm = -math.lgamma(a)

    def density(x: float) -> float:
        return math.exp(norm + (a - 1) * math.log(x) - x)

    top = a + 10 * math.sqrt(a) + 50
    while _gamma(top, a, norm) < p:  # only for levels beyond any use
        top *= 2
    # Wilson and Hilferty's cube root: close already for a handful of mites.
    sway = math.copysign(2, p - 0.5)
    start = min(a * max(1 - 1 / (9 * a) + sway / (3 * math.sqrt(a)), 0.05) ** 3, top)
    return _root(lambda x: _gamma(x, a, norm), density, p, 0.0, top, start)


def _root(
    cdf: Callable[[float], float],
    density: Callable[[float], float],
    p: float,
    low: float,
    high: float,
    x: float,
) -> float:
    """The x between ``low`` and ``high`` where the rising ``cdf`` reaches ``p``."""
    for _ in range(200):
        gap = cdf(x) - p
        if gap == 0:
            return x
        if gap > 0:
            high = x
        else:
            low = x
        slope = density(x)
        step = x - gap / slope if slope > _TINY else math.inf
        # Newton doubles the digits with each step: the one that moves x by 1e-9 of itself lands
        # far closer than that.
        if abs(step - x) <= 1e-9 * x:
            return step
        x = step if low < step < high else (low + high) / 2
    return x


def _beta(x: float, a: float, b: float, norm: float) -> float:
    """Regularised incomplete beta I_x(a, b) by its continued fraction."""
    if x <= 0:
        return 0.0
    if x >= 1:
        return 1.0
    front = math.exp(norm + a * math.log(x) + b * math.log1p(-x))
    if x < (a + 1) / (a + b + 2):
        return front * _beta_fraction(x, a, b) / a
    return 1 - front * _beta_fraction(1 - x, b, a) / b


def _beta_fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta, by Lentz's method."""
    c = 1.0
    d = 1 / _away_from_zero(1 - (a + b) * x / (a + 1))
    result = d
    for m in range(1, 100_000):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _away_from_zero(1 + term * d)
            c = _away_from_zero(1 + term / c)
            result *= c * d
        if abs(c * d - 1) < _EPS:
            break
    return result


def _gamma(x: float, a: float, norm: float) -> float:
    """Regularised incomplete gamma P(a, x): a series below its mean, a continued fraction above."""
    if x <= 0:
        return 0.0
    front = math.exp(norm + a * math.log(x) - x)
    if x < a + 1:
        term = total = 1 / a
        n = a
        while abs(term) > abs(total) * _EPS:
            n += 1
            term *= x / n
            total += term
        return front * total
    b = x + 1 - a
    c = 1 / _TINY
    d = 1 / _away_from_zero(b)
    result = d
    for i in range(1, 100_000):
        term = -i * (i - a)
        b += 2
        d = 1 / _away_from_zero(term * d + b)
        c = _away_from_zero(b + term / c)
        result *= d * c
        if abs(d * c - 1) < _EPS:
            break
    return 1 - front * result


def _away_from_zero(x: float) -> float:
    return x if abs(x) > _TINY else _TINY
