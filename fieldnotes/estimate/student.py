"""Student's t in plain arithmetic, by the incomplete beta (Abramowitz and Stegun 26.7.1)."""

from __future__ import annotations

import math

from .binomial import beta_below, beta_quantile


def t_beyond(level: float, freedom: float) -> float:
    """The t that is exceeded to either side with chance 1 - ``level``."""
    share = beta_quantile(1 - level, freedom / 2, 0.5)
    return math.sqrt(freedom * (1 / share - 1))


def t_below(t: float, freedom: float) -> float:
    """The chance that Student's t with ``freedom`` degrees lies below ``t``."""
    tail = beta_below(freedom / (freedom + t * t), freedom / 2, 0.5) / 2
    return tail if t < 0 else 1 - tail
