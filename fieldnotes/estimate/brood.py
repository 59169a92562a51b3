"""Mites under the cappings: whether there is brood on record, and what follows for the figure."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from ..records import Sample, Visit
from .basis import Converted, PerHundredAdults, PerHundredDoubled, PerHundredWithBrood
from .cappings import Share, share_in_brood
from .cautions import worker_brood_on_record
from .counts import plain
from .measures import Measures
from .records import Estimate, Likely, UnderCappings

BroodKnown = Literal["worker brood", "none", "not said"]
"""Whether mites can be under worker cappings, as far as the note says."""


def brood_known(visit: Visit) -> BroodKnown:
    """What the note says of worker brood; brood without cappings hides no mites yet."""
    if worker_brood_on_record(visit):
        return "worker brood"
    none = (
        visit.broodless
        or visit.capped_brood is False
        or visit.queen_status == "laying_workers"
        or visit.frames_brood == 0
    )
    return "none" if none else "not said"


def from_brood_nest(sample: Sample) -> bool:
    """Whether the bees may come from the brood nest, where the factors were found."""
    return sample.source in (None, "brood")


def add_brood(adults: PerHundredAdults, share: Share) -> Converted[PerHundredWithBrood]:
    """All mites per 100 adult bees from those on bees and the share in brood: p / (1 - share).

    The low end takes the lower limit with the least share, the high end the upper with the most.
    A limit that is missing stays missing.
    """
    low = None if adults.low is None else adults.low / (1 - share.low)
    high = None if adults.high is None else adults.high / (1 - share.high)
    value = None if adults.value is None else adults.value / (1 - share.usual)
    percent = f"{100 * share.usual:.0f} % ({100 * share.low:.0f} to {100 * share.high:.0f})"
    return Converted(
        figure=PerHundredWithBrood(value=value, low=low, high=high),
        words=f"with {percent} of the mites under cappings",
        source="worked out after Boot WJ, Schoenmaker J, Calis JNM, Beetsma J (1995) "
        "Apidologie 26; cells to a frame by common practice",
    )


def with_brood_of(
    visit: Visit, sample: Sample, likely: Likely, measures: Measures
) -> tuple[UnderCappings, str] | None:
    """The figure with the mites in brood and its step on paper, where frames of both are known."""
    brood, bees = visit.frames_brood, visit.frames_bees
    if not worker_brood_on_record(visit) or not from_brood_nest(sample):
        return None
    if brood is None or bees is None or not 0 < brood <= bees or likely.value is None:
        return None
    usual = next(row for row in measures.weight if row.role == "usual")
    share = share_in_brood(brood, bees, measures.under_cappings, usual.density)
    converted = add_brood(PerHundredAdults(likely.value, low=likely.low, high=likely.high), share)
    figure = converted.figure
    frames = f"{brood:g} frames of brood under {bees:g} frames of bees"
    record = UnderCappings(
        basis=figure.basis,
        value=figure.value,
        low=figure.low,
        high=figure.high,
        share_in_brood=share.usual,
        share_low=share.low,
        share_high=share.high,
        note=f"{frames}, {converted.words}",
        source=converted.source,
    )
    step = f"{frames}: {converted.words}, about {plain(figure.value or 0)} {figure.words}"
    return record, step


def brood_changes_verdict(estimate: Estimate, level: PerHundredDoubled) -> bool:
    """Whether to ask for brood: it is not said, and ``level`` is passed with it but not without.

    ``level`` is on the doubled basis. A colony without brood has all its mites on the bees, so
    that its doubled figure is the figure itself; a level on another basis raises TypeError.
    """
    twice = None if estimate.if_brood is None else estimate.if_brood.figure
    if not isinstance(level, PerHundredDoubled):
        raise TypeError(f"{level.words} cannot be held against a doubled figure")
    if estimate.brood != "not said" or not isinstance(twice, PerHundredDoubled):
        return False
    if twice.value is None:
        return False
    without = replace(twice, value=twice.value / 2, low=None, high=None)
    return without < level <= twice
