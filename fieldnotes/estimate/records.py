"""What the estimate says: figures with their basis, limits, assumptions and arithmetic."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import model_validator

from ..records import Count, Method, Record, Source
from .basis import BASES, BasisName, Figure
from .spreads import SpreadOf

BeesKnown = Literal["counted or stated", "declared", "weighed", "own cup", "volume"]
"""How the number of bees is known, from the surest to the loosest."""


class Assumption(Record):
    """One thing taken for granted, in a plain sentence, and who says so."""

    text: str
    source: str

    @property
    def line(self) -> str:
        """Sentence and source in one line."""
        return f"{self.text} ({self.source})"


class Numbers(Record):
    """A figure as plain numbers: see :class:`~fieldnotes.estimate.basis.Figure` for each."""

    basis: BasisName | None = None
    value: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def figure(self) -> Figure | None:
        """The same numbers as a typed figure, the only form in which figures may be compared."""
        if self.basis is None:
            return None
        return BASES[self.basis](self.value, self.at_least, self.at_most, self.low, self.high)

    @property
    def words(self) -> str | None:
        """What the figure counts, in words."""
        return None if self.basis is None else BASES[self.basis].words


class Doubled(Numbers):
    """The figure converted to stand for the mites under cappings as well, and who says so."""

    note: str
    source: str


class UnderCappings(Numbers):
    """Mites on bees and under cappings together, from the share of mites in brood.

    ``share_in_brood`` is the usual share, ``share_low`` and ``share_high`` its range, from 0 to 1.
    ``low`` and ``high`` join the likely range with the range of the share.
    """

    share_in_brood: float
    share_low: float
    share_high: float
    note: str
    source: str


class Likely(Numbers):
    """The true mites per 100 bees with all that is uncertain about the jar, at ``level``.

    ``value`` is the figure divided by the recovery where a source has one. ``bees`` is the mean
    number of bees and ``bees_spread`` its coefficient of variation in percent; ``bees_how`` says
    how they are known. ``recovery`` and ``recovery_spread`` are the share of mites found and its
    standard deviation, None where no source read has a value: then nothing is corrected.
    ``clumping_spread`` is what mites that clump add, as a coefficient of variation.
    """

    level: float
    bees: float
    bees_spread: float
    bees_how: SpreadOf
    recovery: float | None = None
    recovery_spread: float | None = None
    clumping_spread: float = 0.0
    note: str
    source: str


class Unseen(Record):
    """The chance, from 0 to 1, that the jar shows no mite at ``per_100`` mites per 100 bees."""

    per_100: float
    chance: float


class Estimate(Numbers):
    """What one sample says of its colony, or why it says nothing.

    ``sample`` is the sample's place in the visit, from 0. ``kind``: ``counted`` from mites and
    bees, cells or days; ``stated`` is the keeper's own figure, taken as it is, without limits.
    ``low`` and ``high`` are limits for sampling chance alone at ``level``; a limit is left out
    where the sample cannot give it. ``wilson_low`` and ``wilson_high`` are Wilson's beside the
    exact ones. ``likely`` carries the doubt about bees and recovery too, for jars.
    ``numerator`` over ``denominator``: mites over bees or days, infested over opened cells.
    ``bees_low`` and ``bees_high`` bound the bees where they are assumed. Where no mite was found,
    ``none_most`` is the one-sided limit of the count per 100 and ``unseen`` how often that happens.
    ``brood`` says whether worker brood is on record; while that is not said nothing is doubled, and
    ``if_brood`` holds what it would be: ask where it changes the verdict. ``with_brood`` takes the
    mites under cappings from frames of brood and of bees. ``reads`` says which way the figure errs
    when a step of the sampling went wrong. ``withheld`` says in plain words what is missing; then
    there is no figure at all.
    """

    colony: str | None = None
    yard: str | None = None
    date: dt.date | None = None
    sample: Count
    method: Method | None = None
    frame: Source | None = None
    kind: Literal["counted", "stated"] | None = None
    level: float | None = None
    interval: str | None = None
    numerator: Count | None = None
    denominator: float | None = None
    bees_known: BeesKnown | None = None
    bees_low: Count | None = None
    bees_high: Count | None = None
    reads: Literal["low", "high", "either"] | None = None
    wilson_low: float | None = None
    wilson_high: float | None = None
    likely: Likely | None = None
    none_most: float | None = None
    unseen: tuple[Unseen, ...] = ()
    brood: Literal["worker brood", "none", "not said"] | None = None
    doubled: Doubled | None = None
    if_brood: Doubled | None = None
    with_brood: UnderCappings | None = None
    assumptions: tuple[Assumption, ...] = ()
    warnings: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    withheld: str | None = None

    @model_validator(mode="after")
    def _figure_or_reason(self) -> Estimate:
        given = any(x is not None for x in (self.value, self.at_least, self.at_most))
        if given == (self.withheld is not None) or given != (self.basis is not None):
            raise ValueError("an estimate holds a figure with its basis, or the reason for none")
        return self
