"""Growth of mites from dated counts: a straight line in the logarithm, with a published prior.

The infestation t days after the last count is exp(level + rate * t). A count is Poisson with that
infestation times what it is out of; a spread of the latter makes it a negative binomial count with
index 1 / spread ** 2 (a Poisson whose exposure varies as a gamma). The rate has the published
normal prior, so that one count already gives a line, and two or three pull it to the colony's own.
The level has the prior of a single count: Jeffreys' after mites were seen, flat after none was.

The posterior is a grid over rate and level, laid out around its peak: no sampling, so the same
counts give the same line. It is summed by the trapezium rule, which does well on smooth peaks.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ...errors import NumbersError
from ..dated import DatedCount
from .density import Density
from .rows import Prior, known_growth

_RATES = 33
_REACH = 6.0
"""The grid of rates reaches this many sigmas of the posterior to both sides, in _RATES steps."""
_STEP = 0.35
"""Step of the grid of levels, in sigmas of the level at that rate."""
_DROP = 14.0
"""Levels whose density is e ** -14 of the greatest at that rate are left out."""
_BISECT = 50


@dataclass(frozen=True)
class _Row:
    """The levels at one rate: where they start, their step, density and chance to lie below."""

    rate: float
    weight: float
    start: float
    step: float
    heights: tuple[float, ...]
    below: tuple[float, ...]

    def above(self, level: float) -> float:
        """The chance, given this rate, that the level lies above ``level``."""
        place = (level - self.start) / self.step
        if place <= 0:
            return 1.0
        if place >= len(self.below) - 1:
            return 0.0
        whole = int(place)
        share = place - whole
        left, right = self.heights[whole], self.heights[whole + 1]
        return 1 - self.below[whole] - share * (left + share * (right - left) / 2)


@dataclass(frozen=True)
class Growth:
    """What the counts of one line say of level and rate; ``day`` is that of the last count."""

    day: dt.date
    counts: tuple[DatedCount, ...]
    _rows: tuple[_Row, ...]

    def chance_above(self, figure: float, days: float = 0) -> float:
        """The chance that the infestation lies above ``figure``, ``days`` after the last count."""
        if figure <= 0:
            return 1.0
        log = math.log(figure)
        return sum(row.weight * row.above(log - row.rate * days) for row in self._rows)

    def chance_passed(self, figure: float, days: float = 0) -> float:
        """The chance that ``figure`` is passed at any time from the last count to ``days`` later.

        A line that falls is highest at its start. Never falls with ``days``.
        """
        if figure <= 0:
            return 1.0
        log = math.log(figure)
        return sum(row.weight * row.above(log - max(row.rate, 0) * days) for row in self._rows)

    def level(self, chance: float, days: float = 0) -> float:
        """The infestation below which the truth lies with ``chance``, on the basis of the counts.

        Raises NumbersError unless ``chance`` lies between 0 and 1.
        """
        _check(chance)
        ends = [
            (row.start + row.rate * days, row.start + row.step * len(row.below) + row.rate * days)
            for row in self._rows
        ]
        low, high = min(end[0] for end in ends), max(end[1] for end in ends)
        for _ in range(_BISECT):
            middle = (low + high) / 2
            above = sum(row.weight * row.above(middle - row.rate * days) for row in self._rows)
            low, high = (middle, high) if 1 - above < chance else (low, middle)
        return math.exp((low + high) / 2)

    def daily(self, chance: float) -> float:
        """The growth a day, as a share, below which the truth lies with ``chance``."""
        _check(chance)
        step = self._rows[1].rate - self._rows[0].rate
        total = 0.0
        for row in self._rows:
            if total + row.weight >= chance:
                return row.rate - step / 2 + step * (chance - total) / row.weight
            total += row.weight
        return self._rows[-1].rate + step / 2


def growth_of(counts: Sequence[DatedCount], prior: Prior | None = None) -> Growth:
    """The growth that ``counts`` of one line show, with the published ``prior``.

    The counts must be in order and on one basis: see
    :func:`fieldnotes.estimate.growth.line.line_of`.
    Raises NumbersError for none or for days out of order, TypeError for mixed bases.
    """
    if not counts or any(b.day < a.day for a, b in pairwise(counts)):
        raise NumbersError("a line needs counts in order of their days")
    if len({count.basis for count in counts}) > 1:
        raise TypeError("counts on different bases make no line")
    density = Density(counts, prior or known_growth().prior)
    level, rate = density.peak()
    sigma = density.sigma_of_rate(level, rate)
    step = 2 * _REACH * sigma / (_RATES - 1)
    peaks = []
    for turn in range(_RATES):
        at = rate + (turn - _RATES // 2) * step
        peaks.append((at, density.best_level(at, level)))
    top = max(density.log(level, at) for at, level in peaks)
    rows = [_row_of(density, at, level, top) for at, level in peaks]
    total = sum(row.weight for row in rows)
    scaled = [replace(row, weight=row.weight / total) for row in rows]
    return Growth(counts[-1].day, tuple(counts), tuple(scaled))


def _row_of(density: Density, rate: float, level: float, top: float) -> _Row:
    sigma = density.derivatives(level, rate)[2] ** -0.5
    step = _STEP * sigma
    peak = density.log(level, rate)
    left: list[float] = []
    right: list[float] = []
    for sign, side in ((-1, left), (1, right)):
        place = 1
        while (fall := peak - density.log(level + sign * place * step, rate)) < _DROP:
            side.append(math.exp(-fall))
            place += 1
    heights = [0.0, *reversed(left), 1.0, *right, 0.0]
    below, total = [0.0], 0.0
    for one, two in pairwise(heights):
        total += (one + two) / 2
        below.append(total)
    weight = math.exp(peak - top) * total * step
    start = level - (len(left) + 1) * step
    scaled = (tuple(part / total for part in parts) for parts in (heights, below))
    return _Row(rate, weight, start, step, *scaled)


def _check(chance: float) -> None:
    if not 0 < chance < 1:
        raise NumbersError(f"a chance lies between 0 and 1, not {chance:g}")
