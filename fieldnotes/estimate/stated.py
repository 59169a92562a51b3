"""Figures that the keeper gives ready made, and what kind of fall a board shows."""

from __future__ import annotations

from typing import Any

from .basis import (
    FallPerDay,
    Figure,
    PercentDroneCells,
    PerHundredAdults,
    PerHundredDoubled,
    SeenPerHundred,
    TreatedFallPerDay,
)
from .case import Case, doubled_for_brood
from .cautions import comb_warnings, on_treatment
from .counts import in_words, plain
from .records import Assumption, Estimate

UNSAID = "not said in the note"
LOOK = (
    "A look over bees on the comb is no measure: most mites are out of sight. "
    "Follow it with a jar or a board."
)
NOT_NATURAL = "This is no natural fall: never set it against limits for natural fall."


def fall_of(case: Case) -> tuple[type[Figure], tuple[Assumption, ...], tuple[str, ...]]:
    """Which fall a board shows, what is assumed for it, and what to warn of."""
    if case.sample.fall == "natural":
        return FallPerDay, (), ()
    if case.sample.fall is not None:
        return TreatedFallPerDay, (), (NOT_NATURAL,)
    treatment = on_treatment(case.visit)
    if treatment == "at work":
        text = "Taken as fall under a treatment, since one is on record as at work"
        return TreatedFallPerDay, (Assumption(text=text, source=UNSAID),), (NOT_NATURAL,)
    text = (
        "Taken as natural fall, as if the treatment on record came after the board"
        if treatment == "that day"
        else "Taken as natural fall, since nothing is said of a treatment while the board lay"
    )
    return FallPerDay, (Assumption(text=text, source=UNSAID),), ()


def stated_figure(case: Case) -> Estimate | None:
    """The keeper's own figure, where one is said: taken as it is, without limits."""
    sample = case.sample
    if sample.mites_per_day is not None and sample.method in (None, "sticky_board"):
        kind, assumed, warnings = fall_of(case)
        return _own(case, kind(value=sample.mites_per_day), assumed, warnings)
    rate = sample.rate_per_100
    if rate is None or sample.method == "sticky_board":
        return None
    if sample.method == "drone_uncapping":
        return _own(case, PercentDroneCells(value=rate))
    if sample.method == "visual":
        return _own(case, SeenPerHundred(value=rate), warnings=(LOOK,), reads="low")
    if sample.rate_basis == "doubled":
        return _own(case, PerHundredDoubled(value=rate), warnings=comb_warnings(case.sample))
    if sample.rate_basis == "adult_bees":
        return _own(case, PerHundredAdults(value=rate), warnings=comb_warnings(case.sample))
    return case.withheld(
        f"{plain(rate)} per 100 is said without the count, and not whether it is already doubled "
        "for the mites under cappings."
    )


def _own(
    case: Case,
    figure: Figure,
    assumed: tuple[Assumption, ...] = (),
    warnings: tuple[str, ...] = (),
    **rest: Any,
) -> Estimate:
    own = Assumption(text="Your own figure, taken as it is", source="said in the note")
    doubled, doubled_step = doubled_for_brood(case, figure)
    steps = (f"your own figure: {in_words(figure)}", doubled_step)
    return case.given(
        figure,
        kind="stated",
        doubled=doubled,
        assumptions=(own, *assumed),
        warnings=warnings,
        steps=tuple(step for step in steps if step),
        **rest,
    )
