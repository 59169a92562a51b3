"""Which limits apply to a sample: by place or choice, method, season, brood and kind of colony."""

from __future__ import annotations

from dataclasses import dataclass

from ...errors import InputError
from ...grammar.seasons import Hemisphere
from ...grammar.thresholds import Guideline, Limit, Thresholds
from .situation import Choice, Situation


@dataclass(frozen=True)
class Candidate:
    """A limit that is made for such a sample on such a day, and its guideline.

    ``close`` tells how closely the guideline is made for the place; ``chosen``, whether it is
    among those that the verdict may rest on.
    """

    guideline: Guideline
    limit: Limit
    close: int
    chosen: bool


def guidelines_in_question(choice: Choice, known: Thresholds) -> tuple[tuple[Guideline, bool], ...]:
    """The guideline that was chosen and those made for the place, and whether each may decide.

    Where one was chosen, it decides. Where none was, all that are made for the place do. Raises
    InputError for a guideline that is not known.
    """
    fitting = () if choice.place is None else known.made_for(choice.place)
    if choice.guideline is None:
        return tuple((guideline, True) for guideline in fitting)
    chosen = known.named(choice.guideline)
    if chosen is None:
        names = ", ".join(guideline.id for guideline in known.guidelines)
        raise InputError(f"no guideline {choice.guideline!r}; choose one of {names}")
    others = tuple((guideline, False) for guideline in fitting if guideline.id != chosen.id)
    return ((chosen, True), *others)


def candidates(situation: Situation, choice: Choice, known: Thresholds) -> tuple[Candidate, ...]:
    """The limits made for the sample, those that may not drive a verdict included.

    A legal duty of the place always counts among those that may decide. Needs a situation whose
    brood is settled; see :func:`fieldnotes.estimate.verdict.verdicts.verdict_of`.
    """
    found = []
    for guideline, decides in guidelines_in_question(choice, known):
        close = 0 if choice.place is None else guideline.fits(choice.place)
        for limit in guideline.limit:
            if _applies(limit, guideline, situation, choice, known):
                chosen = decides or limit.force == "legal duty"
                found.append(Candidate(guideline, limit, close, chosen))
    return tuple(found)


def hemisphere_of(guideline: Guideline | None, choice: Choice, known: Thresholds) -> (
    Hemisphere | None
):  # fmt: skip
    """The hemisphere of the place, else of the guideline; None where neither is known."""
    if choice.place is not None:
        return known.stages.hemisphere_of(choice.place)
    return None if guideline is None else guideline.hemisphere


def _applies(
    limit: Limit,
    guideline: Guideline,
    situation: Situation,
    choice: Choice,
    known: Thresholds,
) -> bool:
    if situation.method not in limit.methods:
        return False
    if limit.of == "yard mean" and situation.of == "colony":
        return False
    if limit.colony_kind not in (None, situation.colony_kind or "production"):
        return False
    return in_season(limit, guideline, situation, choice, known)


def in_season(
    limit: Limit,
    guideline: Guideline,
    situation: Situation,
    choice: Choice,
    known: Thresholds,
) -> bool:
    """Whether the limit's stage holds on the day; in both hemispheres where neither is known."""
    stage = known.stages.named(limit.stage)
    if stage is None or situation.day is None or situation.brood == "not said":
        return False
    side = guideline.hemisphere or hemisphere_of(guideline, choice, known)
    sides: tuple[Hemisphere, ...] = ("north", "south") if side is None else (side,)
    return all(stage.holds(situation.day, each, situation.brood) for each in sides)
