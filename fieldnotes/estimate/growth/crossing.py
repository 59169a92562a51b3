"""The day on which a line of growth passes an act level, with its interval."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from ...errors import NumbersError
from ..basis import Figure
from .growth import Growth
from .rows import known_growth


@dataclass(frozen=True)
class Crossing:
    """When ``act`` is passed: the middle day, and the days between which it is passed.

    ``early_80`` to ``late_80`` holds the day with a chance of 80 percent, the other pair with 95.
    The day of the last count stands for "already then"; None for "not within ``horizon`` days".
    Where one end is open in that way, the whole doubt lies at the other end.
    ``chance_now`` is the chance that the level was passed at the last count already.
    """

    act: Figure
    likely: dt.date | None
    early_80: dt.date | None
    late_80: dt.date | None
    early_95: dt.date | None
    late_95: dt.date | None
    chance_now: float
    horizon: int


def crossing_of(growth: Growth, act: Figure, horizon: int | None = None) -> Crossing:
    """When the line of ``growth`` passes ``act``, up to ``horizon`` days after the last count.

    ``act`` must be on the basis of the counts, else TypeError: a doubled limit is to be halved by
    :func:`~fieldnotes.estimate.basis.halve_to_adults` first. Raises NumbersError where it has no
    value above zero.
    """
    basis = growth.counts[0].basis
    if type(act) is not basis:
        raise TypeError(
            f"{act.words} and {basis.words} count different things and cannot be compared"
        )
    if act.value is None or act.value <= 0:
        raise NumbersError("an act level is a number above zero")
    horizon = known_growth().ahead.horizon_days if horizon is None else horizon
    level = act.value
    early_80, late_80 = _between(growth, level, 0.8, horizon)
    early_95, late_95 = _between(growth, level, 0.95, horizon)
    return Crossing(
        act=act,
        likely=first_day(growth, level, 0.5, horizon),
        early_80=early_80,
        late_80=late_80,
        early_95=early_95,
        late_95=late_95,
        chance_now=growth.chance_passed(level),
        horizon=horizon,
    )


def _between(
    growth: Growth, level: float, chance: float, horizon: int
) -> tuple[dt.date | None, dt.date | None]:
    """The days between which ``level`` is passed with ``chance``.

    Equal tails, unless one lies before the last count or beyond the horizon: an end that is open
    holds that tail already, and the other end is drawn in, so that the whole keeps its chance.
    """
    tail = (1 - chance) / 2
    early = first_day(growth, level, tail, horizon)
    late = first_day(growth, level, 1 - tail, horizon)
    already, beyond = early == growth.day, late is None
    if already and not beyond:
        late = first_day(growth, level, chance, horizon)
    elif beyond and not already:
        early = first_day(growth, level, 1 - chance, horizon)
    return early, late


def first_day(growth: Growth, level: float, chance: float, horizon: int) -> dt.date | None:
    """The first day by which ``level`` is passed with ``chance``; None if not by ``horizon``."""
    if growth.chance_passed(level, horizon) < chance:
        return None
    low, high = -1, horizon  # passed by high, not passed by low
    while high - low > 1:
        middle = (low + high) // 2
        if growth.chance_passed(level, middle) < chance:
            low = middle
        else:
            high = middle
    return growth.day + dt.timedelta(days=high)
