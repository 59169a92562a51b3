"""The formulas of efficacy, and exact limits for the ratio of two counts.

Formulas: Abbott WS (1925) Journal of Economic Entomology 18:265-267; Henderson CF, Tilton EW (1955)
Journal of Economic Entomology 48:157-161; share killed by follow-up: Dietemann V and 11 others
(2013), Journal of Apicultural Research 52(1), section 4.5.4.2.6.1. All in percent.

Limits: given the sum of two Poisson counts, the second is a binomial count, whose exact limits
give those of the ratio (Przyborowski J, Wilenski H (1940) Biometrika 31:313-323). Ratios of ratios,
and doubt about the bees, are put together by squares of distances in the logarithm (Zou GY, Donner
A (2008) Statistics in Medicine 27:1693-1702). Both from memory; the tests hold them to statsmodels
and to simulated counts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from ...errors import NumbersError
from ..binomial import LEVEL, clopper_pearson


def reduction(before: float, after: float) -> float:
    """Percent reduction: 100 * (before - after) / before; negative where mites grew more.

    Raises NumbersError for nothing before, or less than none.

    >>> reduction(200, 50)
    75.0
    """
    _not_negative(before, after)
    if before == 0:
        raise NumbersError("no mites before: there is nothing to take a percentage of")
    return 100 * (before - after) / before


def abbott(control: float, treated: float) -> float:
    """Abbott's efficacy from what survives at one time: 100 * (control - treated) / control.

    >>> abbott(100, 20)
    80.0
    """
    _not_negative(control, treated)
    if control == 0:
        raise NumbersError("no mites in the untreated colonies: no percentage")
    return 100 * (control - treated) / control


def abbott_shares(treated: float, control: float) -> float:
    """Abbott's corrected share from the shares that died, all from 0 to 1.

    Negative where fewer died under treatment. Raises NumbersError where all died untreated.
    """
    if not (0 <= treated <= 1 and 0 <= control < 1):
        raise NumbersError("shares that died lie between 0 and 1, and not all died untreated")
    return (treated - control) / (1 - control)


def henderson_tilton(
    treated_before: float, treated_after: float, control_before: float, control_after: float
) -> float:
    """Efficacy against untreated colonies counted before and after: 100 * (1 - Ta Cb / (Tb Ca)).

    Raises NumbersError where the treated had none before or the untreated none after.

    >>> round(henderson_tilton(50, 5, 40, 60), 3)
    93.333
    """
    _not_negative(treated_before, treated_after, control_before, control_after)
    if treated_before == 0 or control_after == 0:
        raise NumbersError("no mites before, or none in the untreated after: no percentage")
    return 100 * (1 - treated_after * control_before / (treated_before * control_after))


def killed_share(by_test: float, by_followup: float) -> float:
    """Percent killed by a treatment of all that it and the follow-up killed (BEEBOOK 4.5.4.2.6.1).

    >>> killed_share(90, 10)
    90.0
    """
    _not_negative(by_test, by_followup)
    if by_test + by_followup == 0:
        raise NumbersError("no mites fell at all: no percentage")
    return 100 * by_test / (by_test + by_followup)


def _not_negative(*numbers: float) -> None:
    if any(not 0 <= number < math.inf for number in numbers):
        raise NumbersError("counts and rates of mites are not negative")


@dataclass(frozen=True)
class Ratio:
    """A ratio with its limits; ``high`` is infinite where nothing was counted below the line."""

    value: float
    low: float
    high: float


def ratio_of(
    over: int,
    exposure_over: float,
    under: int,
    exposure_under: float,
    *,
    spread: float = 0.0,
    level: float = LEVEL,
) -> Ratio:
    """The ratio of two rates, ``over`` / ``under``, counts with what they are out of.

    ``spread`` is the coefficient of variation of the ratio of what they are out of; it widens the
    exact limits. Raises NumbersError where both counts are zero: then any ratio fits.
    """
    _not_negative(over, under)
    if over + under == 0 or not (exposure_over > 0 and exposure_under > 0):
        raise NumbersError("two counts of zero have no ratio")
    scale = exposure_under / exposure_over
    low, high = clopper_pearson(over, over + under, level)
    value = math.inf if under == 0 else over / under * scale
    limits = low / (1 - low) * scale, math.inf if high == 1 else high / (1 - high) * scale
    return widened(Ratio(value, *limits), spread, level)


def widened(ratio: Ratio, spread: float, level: float = LEVEL) -> Ratio:
    """``ratio`` with limits that carry a further relative doubt of ``spread`` (one sigma)."""
    if spread == 0:
        return ratio
    reach = NormalDist().inv_cdf((1 + level) / 2) * math.sqrt(math.log1p(spread * spread))
    return _apart(ratio, reach, reach)


def divided(over: Ratio, under: Ratio) -> Ratio:
    """The ratio of two independent ratios, with limits by Zou and Donner."""
    if under.value in (0, math.inf) or under.low == 0:
        low, high = 0.0, math.inf
        value = math.inf if under.value == 0 else over.value / under.value
        return Ratio(value, low, high)
    down = math.log(under.high / under.value)
    up = math.log(under.value / under.low)
    whole = _apart(over, down, up)
    return Ratio(*(part / under.value for part in (whole.value, whole.low, whole.high)))


def _apart(ratio: Ratio, down: float, up: float) -> Ratio:
    """``ratio`` with limits moved out by distances in the logarithm, added by their squares.

    A value of zero has no logarithm; its upper limit is moved by the whole distance, which is wide.
    """
    low, high = ratio.low, ratio.high
    if ratio.value == 0:
        return Ratio(0.0, 0.0, high * math.exp(up))
    if low > 0 and ratio.value < math.inf:
        low = ratio.value * math.exp(-math.hypot(math.log(ratio.value / low), down))
    if high < math.inf:
        high = ratio.value * math.exp(math.hypot(math.log(high / ratio.value), up))
    return Ratio(ratio.value, low, high)
