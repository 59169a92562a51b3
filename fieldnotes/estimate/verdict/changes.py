"""What would change the answer: mites to the limit, a second jar, counting the bees."""

from __future__ import annotations

import math

from ..binomial import clopper_pearson
from ..counts import plain
from .comparing import Levels, compare, fewest_to_act, levels_of
from .judging import Judged
from .situation import Situation

MOST_BEES = 10_000
"""Beyond it no jar is meant; the exact limits need not be worked out."""


def what_would_change(best: Judged, situation: Situation) -> tuple[str, ...]:
    """Sentences that say what would turn the verdict; empty where no jar stands behind it."""
    levels = levels_of(best.candidate.limit)
    figure = situation.figure
    if levels is None or figure is None or figure.basis != "mites_per_100_adult_bees":
        return ()
    if situation.mites is None or not situation.bees or situation.bees > MOST_BEES:
        return ()
    as_counted = _as_counted(levels, best)
    if as_counted is None:
        return ()
    found = [
        _mites_to_act(as_counted, situation),
        _second_jar(best, as_counted, situation),
        _count_the_bees(best, as_counted, situation),
    ]
    return tuple(line for line in found if line)


def _as_counted(levels: Levels, best: Judged) -> Levels | None:
    """The levels per 100 adult bees: as they are only where the figure was not converted."""
    return None if best.held.words else levels


def _mites_to_act(levels: Levels, situation: Situation) -> str | None:
    if situation.bees is None or situation.mites is None:
        return None
    need = fewest_to_act(levels, situation.bees, "mites_per_100_adult_bees")
    if need is None or need <= situation.mites:
        return None
    mites = "mite" if need == 1 else "mites"
    return f"{need} {mites} in this jar would have meant to act; there were {situation.mites}."


def _second_jar(best: Judged, levels: Levels, situation: Situation) -> str | None:
    """Whether twice the bees at the same rate would settle what one jar leaves open."""
    figure, bees = situation.figure, situation.bees
    if situation.mites is None or bees is None or figure is None:
        return None
    if best.compared.cause == "unsure":
        most = 100 * clopper_pearson(2 * situation.mites, 2 * math.floor(bees))[1]
        twin = type(figure)(value=figure.value, low=None, high=most)
        if compare(twin, levels).says == "fine for now":
            return (
                "A second jar with as few mites would settle it: together the two leave "
                f"at most {plain(most)} per 100."
            )
        return "Not even a second jar with as few mites would rule the act level out."
    act = levels.act.value or 0
    if best.compared.cause == "act" and figure.low is not None and figure.low < act:
        return (
            "A second jar could show fewer: by chance alone the true rate may lie below the level."
        )
    return None


def _count_the_bees(best: Judged, levels: Levels, situation: Situation) -> str | None:
    """Whether the number of bees, where it is assumed, could turn the verdict by itself."""
    low, high, mites = situation.bees_low, situation.bees_high, situation.mites
    figure = situation.figure
    if low is None or high is None or mites is None or figure is None or low <= 0 or mites > low:
        return None
    says = {
        compare(type(figure)(value=100 * mites / bees, high=figure.high), levels).says
        for bees in (low, high)
    }
    if len(says | {best.compared.says}) == 1:
        return None
    return (
        f"Counting the bees: with {low} of them it is {plain(100 * mites / low)} per 100, "
        f"with {high} it is {plain(100 * mites / high)}."
    )
