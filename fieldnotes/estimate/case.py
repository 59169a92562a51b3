"""One sample with all that bears on it, and how its estimate is put together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ..grammar.vocabulary import Vocabulary
from ..records import Sample, Visit
from .basis import Figure, PerHundredAdults, double_for_brood
from .binomial import LEVEL
from .brood import brood_known, from_brood_nest
from .counts import in_words
from .measures import Measures
from .records import Doubled, Estimate

IF = "what it would be, doubled, if there was worker brood: the note does not say"


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
        numbers |= _brood_fields(self, figure)
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
    if brood_known(case.visit) != "worker brood":
        return None, None
    record = _twice(case, figure, None)
    twice = None if record is None else record.figure
    return record, None if twice is None else f"× 2 = {in_words(twice)}"


def _brood_fields(case: Case, figure: Figure) -> dict[str, Any]:
    """Whether brood is on record, and what the figure would be with it while that is not said."""
    if not isinstance(figure, PerHundredAdults):
        return {}
    known = brood_known(case.visit)
    return {"brood": known, "if_brood": _twice(case, figure, IF) if known == "not said" else None}


def _twice(case: Case, figure: Figure, note: str | None) -> Doubled | None:
    if not isinstance(figure, PerHundredAdults) or not from_brood_nest(case.sample):
        return None
    converted = double_for_brood(figure)
    twice = converted.figure
    return Doubled(
        basis=twice.basis,
        value=twice.value,
        at_least=twice.at_least,
        at_most=twice.at_most,
        low=twice.low,
        high=twice.high,
        note=note or converted.words,
        source=converted.source,
    )
