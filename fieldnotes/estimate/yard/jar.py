"""What a jar will show of a colony whose infestation is known: for planning, before any count.

A jar of n bees from a colony with p mites per bee shows a Poisson number of mites with mean n p. A
relative doubt c about the bees makes it a negative binomial number with index 1 / c ** 2, whose
variance is n p + (n p c) ** 2. The distribution functions are those of the incomplete gamma and
beta (Abramowitz M, Stegun IA (1964) Handbook of Mathematical Functions, 26.4.21 and 26.5.26,
numbers of the formulas from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ...errors import NumbersError
from ...grammar.vocabulary import Vocabulary
from ...records import Evidence, Sample
from ..binomial import LEVEL, beta_below, gamma_below
from ..exposure import exposure_of
from ..measures import Measures, bees_in, known_measures
from ..posterior import Spread
from ..unseen import chance_in_jar, chance_of_none
from .plans import precision_of

_EXACT = 1e-4
"""A relative doubt about the bees below this changes no whole number of mites."""


@dataclass(frozen=True)
class JarLook:
    """What a jar of ``bees`` shows at ``per_100`` mites per 100 bees.

    ``expected`` mites on average, ``mites_low`` to ``mites_high`` in 95 of 100 such jars, which
    are ``low`` to ``high`` mites per 100 bees as a keeper works them out. ``precision`` is the
    standard error over the mean, ``none`` the chance, from 0 to 1, of no mite at all. ``spread``
    is the relative doubt about the number of bees.
    """

    per_100: float
    bees: int
    spread: float
    expected: float
    mites_low: int
    mites_high: int
    precision: float
    none: float

    @property
    def low(self) -> float:
        """The low end as mites per 100 bees."""
        return 100 * self.mites_low / self.bees

    @property
    def high(self) -> float:
        """The high end as mites per 100 bees."""
        return 100 * self.mites_high / self.bees


def jar_at(per_100: float, bees: int, *, spread: float = 0.0) -> JarLook:
    """What a jar of ``bees`` will show at ``per_100`` mites per 100 bees.

    Two jars filled by one measure share the doubt about it, so they are one jar of twice the bees.
    Raises NumbersError for no bees, an infestation not above 0 or of 100 and more, or a negative
    spread.
    """
    if not 0 < per_100 < 100:
        raise NumbersError("an infestation to plan for lies above 0 and below 100 mites per 100")
    precision = precision_of(per_100, bees, spread=spread)
    expected = bees * per_100 / 100
    low, high = mites_between(expected, spread)
    exact = spread < _EXACT
    none = chance_of_none(bees, per_100) if exact else chance_in_jar(Spread(bees, spread), per_100)
    return JarLook(per_100, bees, spread, expected, low, high, precision, none)


def mites_between(expected: float, spread: float, level: float = LEVEL) -> tuple[int, int]:
    """The mites between which ``level`` of all jars lie at least, with equal tails.

    >>> mites_between(6, 0)
    (2, 11)
    """
    tail = (1 - level) / 2
    if spread < _EXACT:
        return (
            _least(lambda mites: 1 - gamma_below(expected, mites + 1), tail),
            _least(lambda mites: 1 - gamma_below(expected, mites + 1), 1 - tail),
        )
    index = spread**-2
    share = index / (index + expected)
    return (
        _least(lambda mites: beta_below(share, index, mites + 1), tail),
        _least(lambda mites: beta_below(share, index, mites + 1), 1 - tail),
    )


def _least(below: Callable[[int], float], chance: float) -> int:
    """The smallest number of mites that is not exceeded with ``chance``."""
    high = 1
    while below(high) < chance:
        high *= 2
    low = -1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if below(middle) >= chance else (middle, high)
    return high


def spread_of_cup(bees: int, measures: Measures | None = None) -> tuple[float, float]:
    """The cup that is held to hold ``bees``, in mL, and the relative doubt about its bees.

    From how far the sources differ on what a volume holds, and how far two fills do. Raises
    NumbersError where no cup is held to hold so many.
    """
    measures = measures or known_measures()
    size = next((size for size in measures.cups.sizes if size.bees == bees), None)
    if size is None:
        raise NumbersError(f"no cup is held to hold {bees} bees")
    proof = Evidence(declared="a jar that is only planned")
    sample = Sample(volume_ml=size.ml, evidence={"volume_ml": proof})
    held = bees_in(sample, Vocabulary(), measures)
    if held is None:
        raise NumbersError("a volume gives a number of bees")
    return size.ml, exposure_of(sample, "alcohol", held, measures).bees.cv
