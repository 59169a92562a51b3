"""One sample with all that bears on it, and how its estimate is put together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..grammar.vocabulary import Vocabulary
from ..records import Sample, Visit
from .basis import Figure, PerHundredAdults, double_for_brood
from .binomial import LEVEL
from .cautions import worker_brood_on_record
from .counts import in_words
from .measures import Measures
from .records import Doubled, Estimate


@dataclass(frozen=True)
class Case:
    """One sample with all that bears on it."""

    visit: Visit
    index: int
    sample: Sample
    vocabulary: Vocabulary
    measures: Measures

    def withheld(self, reason: str) -> Estimate:
        """No figure, and why in plain words."""
        return self._estimate(withheld=reason)

    def given(self, figure: Figure, *, interval: str | None = None, **rest: Any) -> Estimate:
        """The estimate of ``figure``; ``interval`` names how its limits were worked out."""
        numbers = {
            name: getattr(figure, name)
            for name in ("basis", "value", "at_least", "at_most", "low", "high")
        }
        if figure.low is not None or figure.high is not None:
            numbers |= {"level": LEVEL, "interval": interval}
        return self._estimate(**numbers, **rest)

    def _estimate(self, **fields: Any) -> Estimate:
        return Estimate(
            colony=self.visit.colony,
            yard=self.visit.yard,
            date=self.visit.date,
            sample=self.index,
            method=self.sample.method,
            frame=self.sample.source,
            **fields,
        )


def doubled_for_brood(case: Case, figure: Figure) -> tuple[Doubled | None, str | None]:
    """The figure doubled for brood and its step on paper, only where that is sound.

    Only for bees not known to come from elsewhere than the brood nest, since the factor was found
    on brood-box combs, and only with worker brood on record.
    """
    off_brood = case.sample.source not in (None, "brood")
    if not isinstance(figure, PerHundredAdults) or off_brood:
        return None, None
    if not worker_brood_on_record(case.visit):
        return None, None
    converted = double_for_brood(figure)
    twice = converted.figure
    record = Doubled(
        basis=twice.basis,
        value=twice.value,
        at_least=twice.at_least,
        at_most=twice.at_most,
        low=twice.low,
        high=twice.high,
        note=converted.words,
        source=converted.source,
    )
    return record, f"× 2 = {in_words(twice)}"
