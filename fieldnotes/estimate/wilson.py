"""Wilson's score limits for a share: beside the exact ones, narrower on average.

Where Clopper-Pearson holds the truth in at least the promised part of all samples, Wilson's limits
hold it in about that part over many shares.

Source: Wilson EB (1927) Probable inference, the law of succession, and statistical inference.
Journal of the American Statistical Association 22:209-212 (numbers of the formula from memory).
"""

from __future__ import annotations

import math
from functools import cache

from .binomial import LEVEL, gamma_quantile


def wilson(hits: int, of: int, level: float = LEVEL) -> tuple[float, float]:
    """Two-sided score limits for a share, as proportions from 0 to 1, for ``hits`` out of ``of``.

    Raises ValueError where the count exceeds the total, either is negative or zero bees were
    taken, or the level is not between 0 and 1.

    >>> [round(limit, 4) for limit in wilson(3, 300)]
    [0.0034, 0.029]
    """
    if not 0 <= hits <= of or of <= 0:
        raise ValueError(f"{hits} out of {of} is no share")
    squared = _squared(level)
    share = hits / of
    whole = 1 + squared / of
    centre = (share + squared / (2 * of)) / whole
    reach = math.sqrt(squared * (share * (1 - share) + squared / (4 * of)) / of) / whole
    low = 0.0 if hits == 0 else max(centre - reach, 0.0)
    high = 1.0 if hits == of else min(centre + reach, 1.0)
    return low, high


@cache
def _squared(level: float) -> float:
    """The square of the normal quantile of ``level``: chi-squared with one degree of freedom."""
    if not 0 < level < 1:
        raise ValueError(f"a level of confidence lies between 0 and 1, not {level}")
    return 2 * gamma_quantile(level, 0.5)
