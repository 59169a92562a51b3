"""No mite found: the chance of that at a given infestation, and the most that it allows.

Source of the chance: the binomial law, as worked in Oliver R (2020) Re-evaluating varroa
monitoring, part 2. American Bee Journal, April 2020. Of the limit: Eypasch E et al. (1995) BMJ
311:619-620; Jovanovic BD, Levy PS (1997) A look at the rule of three. American Statistician
51(2):137-139. With clumping: the zero term of the negative binomial law.
"""

from __future__ import annotations

import math

from ..errors import NumbersError
from .binomial import LEVEL
from .posterior import Spread


def chance_of_none(bees: int, per_100: float, *, k: float | None = None) -> float:
    """The chance, from 0 to 1, that ``bees`` show no mite at ``per_100`` mites per 100 bees.

    ``k`` is the index of clumping of the negative binomial count, None for mites that sit
    independently. Raises NumbersError for no bees, a rate below 0 or above 100, or a k not above 0.

    >>> round(chance_of_none(300, 1), 3)
    0.049
    """
    if bees < 1:
        raise NumbersError(f"{bees} bees are no sample: state how many there were")
    if not 0 <= per_100 <= 100:
        raise NumbersError(f"{per_100:g} mites per 100 bees is no infestation")
    if k is None:
        return float((1 - per_100 / 100) ** bees)
    if not k > 0:
        raise NumbersError(f"an index of clumping is above 0, not {k:g}")
    return math.exp(-k * math.log1p(bees * per_100 / 100 / k))


def chance_in_jar(exposure: Spread, per_100: float) -> float:
    """The same for a jar whose bees times recovery are known up to a spread only."""
    expected = exposure.mean * per_100 / 100
    if exposure.cv < 1e-4:
        return math.exp(-expected)
    k = exposure.cv**-2
    return math.exp(-k * math.log1p(expected / k))


def most_when_none(bees: int, level: float = LEVEL) -> float:
    """The most mites per 100 bees that fit with none in ``bees``, exact, about 3 in ``bees``.

    One-sided: a colony above it shows no mite in less than 1 - ``level`` of all samples.
    """
    if bees < 1:
        raise NumbersError(f"{bees} bees are no sample: state how many there were")
    if not 0 < level < 1:
        raise NumbersError(f"a level of confidence lies between 0 and 1, not {level:g}")
    return -100 * math.expm1(math.log1p(-level) / bees)
