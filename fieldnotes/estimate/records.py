"""What the estimate says: figures with their basis, limits, assumptions and arithmetic."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import model_validator

from ..records import Count, Method, Record, Source
from .basis import BASES, BasisName, Figure

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


class Estimate(Numbers):
    """What one sample says of its colony, or why it says nothing.

    ``sample`` is the sample's place in the visit, from 0. ``kind``: ``counted`` from mites and
    bees, cells or days; ``stated`` is the keeper's own figure, taken as it is, without limits.
    ``low`` and ``high`` are limits for sampling chance alone at ``level``; a limit is left out
    where the sample cannot give it. ``numerator`` over ``denominator``: mites over bees or days,
    infested over opened cells. ``bees_low`` and ``bees_high`` bound the bees where they are
    assumed. ``reads`` says which way the figure errs when a step of the sampling went wrong.
    ``withheld`` says in plain words what is missing; then there is no figure at all.
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
    doubled: Doubled | None = None
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
