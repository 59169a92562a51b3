"""How many bees a sample really held, times the share of mites found: mean, spread, and why.

The exposure of a sample is what its count of mites is divided by. Each factor comes with the spread
that the sources give for it; where they give none, it says so and nothing is added.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..grammar.protocols import Cited
from ..records import Method, Sample
from .measures import Bees, Measures
from .posterior import Spread, product
from .spreads import Recovery, SpreadOf

ROUND = 50
"""Nobody counts exactly so many bees: a multiple of it is a measure's filling, unless counted."""


class Exposure(NamedTuple):
    """The bees and the recovery of a sample with their spreads, and the sources of both."""

    bees: Spread
    recovery: Spread | None
    clumping: Spread
    how: SpreadOf
    cited: tuple[Cited, ...]

    @property
    def whole(self) -> Spread:
        """Bees, recovery and clumping together: for the true mites per 100 bees."""
        return product(self.bees, self.recovery or Spread(1.0), self.clumping)

    @property
    def as_read(self) -> Spread:
        """Without the recovery: for the mites per 100 bees as the method reads them."""
        return product(self.bees, self.clumping)


def exposure_of(sample: Sample, method: Method, bees: Bees, measures: Measures) -> Exposure:
    """Bees and recovery behind ``sample``, whose bees are taken as ``bees``."""
    how = how_known(sample, bees)
    row = next(row for row in measures.spread if row.known == how)
    number = product(_between_sources(sample, bees, measures), Spread(1.0, row.percent / 100))
    found = _recovery(method, measures)
    k = measures.clumping.k if measures.clumping else None
    return Exposure(
        bees=number,
        recovery=None if found is None else _share(found),
        clumping=Spread(1.0, 0.0 if k is None else k**-0.5),
        how=how,
        cited=(row.cited,) if found is None else (row.cited, found.cited),
    )


def how_known(sample: Sample, bees: Bees) -> SpreadOf:
    """How the bees are known, with a declared or a round number held for assumed.

    A round number counts as counted where the note says that the bees were counted.
    """
    match bees.known:
        case "counted or stated":
            said = any(
                step.step == "count_bees" and step.outcome == "done" for step in sample.steps
            )
            return "counted" if said or bees.number % ROUND else "assumed"
        case "declared":
            return "assumed"
        case known:
            return known


def _between_sources(sample: Sample, bees: Bees, measures: Measures) -> Spread:
    """The number of bees with how far the sources differ on what a volume or a weight holds.

    Half of the belief goes to the rule in use, since keepers and guidelines use it, and the rest
    in equal parts to all rows of the kind.
    """
    if bees.known == "volume" and sample.volume_ml is not None:
        others = [sample.volume_ml * row.density for row in measures.volume]
    elif bees.known == "weighed" and sample.bees_weight_g is not None:
        others = [sample.bees_weight_g * row.density for row in measures.weight]
    else:
        return Spread(float(bees.number))
    mean = (bees.number + sum(others) / len(others)) / 2
    apart = sum((other - mean) ** 2 for other in others) / len(others)
    variance = ((bees.number - mean) ** 2 + apart) / 2
    return Spread(mean, math.sqrt(variance) / mean)


def _recovery(method: Method, measures: Measures) -> Recovery | None:
    """The row that has a value for ``method``, if any source has one."""
    rows = (row for row in measures.recovery if method in row.methods and row.mean is not None)
    return next(rows, None)


def _share(row: Recovery) -> Spread:
    mean, sd = row.mean or 1.0, row.sd or 0.0
    return Spread(mean, sd / mean)
