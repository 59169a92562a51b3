"""The figure of a dated count with the range that likely holds the truth."""

from __future__ import annotations

from .basis import FallPerDay, Figure, PercentDroneCells
from .binomial import LEVEL, clopper_pearson, poisson_exact
from .dated import UNITS, DatedCount
from .posterior import Posterior, Spread

_EXACT = 1e-4


def figure_of(count: DatedCount, level: float = LEVEL) -> Figure:
    """The figure of ``count`` on its basis, with limits that hold the truth with ``level``.

    For a jar, and wherever what the count is out of is in doubt, those of the posterior
    (``posterior.py``). Else the exact ones: Garwood's for a board, Clopper-Pearson's for cells.
    """
    low, high = _limits(count, level)
    # A posterior knows no mites above its prior's reach: the figure itself always lies within.
    return count.basis(value=count.rate, low=min(low, count.rate), high=max(high, count.rate))


def _limits(count: DatedCount, level: float) -> tuple[float, float]:
    doubtful = count.spread >= _EXACT
    if count.basis is FallPerDay and not doubtful:
        return poisson_exact(count.mites, count.of, level)
    if count.basis is PercentDroneCells and not doubtful:
        low, high = clopper_pearson(count.mites, round(count.of), level)
        return 100 * low, 100 * high
    scale = UNITS[count.basis] / 100
    low, high = Posterior(count.mites, Spread(count.of, count.spread)).limits(level)
    if count.basis is PercentDroneCells:
        return low * scale, min(high * scale, 100.0)
    return low * scale, high * scale
