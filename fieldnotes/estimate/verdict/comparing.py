"""One figure against one limit, on one basis: a step below, between or above its levels."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ...grammar.protocols import Reads
from ...grammar.thresholds import Limit, Passes
from ..basis import (
    BASES,
    BasisName,
    Converted,
    Figure,
    PerHundredAdults,
    PerHundredDoubled,
    double_for_brood,
    halve_to_adults,
)
from .records import Says
from .situation import Situation

Cause = Literal["act", "watch", "unsure", "below", "range", "reads", "standing", "signs", "old"]
NO_BROOD_SOURCE = "reasoning: without brood every mite rides on the bees"


@dataclass(frozen=True)
class Levels:
    """A limit's levels as figures of one basis."""

    act: Figure
    act_is: Passes
    watch: Figure | None = None
    watch_is: Passes = "from"


@dataclass(frozen=True)
class Compared:
    """What the comparison says, and what made it say so."""

    says: Says
    cause: Cause


def levels_of(limit: Limit) -> Levels | None:
    """The levels of ``limit`` as figures; None where no sample gives a figure on its basis."""
    if limit.basis not in BASES:
        return None
    kind = BASES[limit.basis]
    normal = limit.printed.normal
    return Levels(
        act=kind(value=normal(limit.act)),
        act_is=limit.act_is,
        watch=None if limit.watch is None else kind(value=normal(limit.watch)),
        watch_is=limit.watch_is,
    )


def held_on(basis: str, situation: Situation) -> Converted[Figure] | None:
    """The figure on the basis of a limit, by a named conversion or as it is; None if there is none.

    Only bees from the brood nest are doubled, and only with worker brood. A colony without brood
    has all its mites on the bees: there the figure stands for all of them as it is.
    """
    figure = situation.figure
    if figure is None:
        return None
    if figure.basis == basis:
        return Converted(figure, "", "")
    if isinstance(figure, PerHundredAdults) and basis == PerHundredDoubled.basis:
        if situation.frame not in (None, "brood"):
            return None
        if situation.brood == "worker brood":
            twice = double_for_brood(figure)
            words = "doubled to stand for the mites under cappings as well, with worker brood"
            return Converted(twice.figure, words, twice.source)
        if situation.brood == "none":
            same = PerHundredDoubled(*figure._numbers())
            words = "not doubled, since without brood no mites are under cappings"
            return Converted(same, words, NO_BROOD_SOURCE)
    if isinstance(figure, PerHundredDoubled) and basis == PerHundredAdults.basis:
        half = halve_to_adults(figure)
        return Converted(half.figure, half.words, half.source)
    return None


def level_as_counted(level: Figure, situation: Situation) -> Figure | None:
    """``level`` on the basis of the figure as counted, for the chance that the truth lies above."""
    figure = situation.figure
    if figure is None or type(level) is type(figure):
        return level
    if isinstance(level, PerHundredDoubled) and isinstance(figure, PerHundredAdults):
        if situation.brood == "worker brood":
            return halve_to_adults(level).figure
        return PerHundredAdults(value=level.value)
    if isinstance(level, PerHundredAdults) and isinstance(figure, PerHundredDoubled):
        return double_for_brood(level).figure
    return None


def compare(
    figure: Figure,
    levels: Levels,
    *,
    reads: Reads | None = None,
    chance_above: float | None = None,
    sure: float = 0.05,
) -> Compared:
    """What ``figure`` says against ``levels``, both on one basis; TypeError on two.

    A figure that reads low can only pass an act level, one that reads high only stay below.
    ``chance_above`` is the chance, 0 to 1, that the truth lies above the act level: above ``sure``,
    or with an upper limit that is missing or passes the act level, nothing is called fine.
    """
    low, high = _ends(figure)
    act = levels.act
    kind = type(figure)
    if _passes(kind(value=low), act, levels.act_is):
        return (
            Compared("can't say", "reads")
            if reads in ("high", "either")
            else Compared("act", "act")
        )
    if high is None or _passes(kind(value=high), act, levels.act_is):
        return Compared("can't say", "reads" if reads in ("low", "either") else "range")
    if reads in ("low", "either"):
        return Compared("can't say", "reads")
    if levels.watch is not None and _passes(kind(value=high), levels.watch, levels.watch_is):
        return Compared("look again", "watch")
    limit = figure.high
    unsure = limit is None or _passes(kind(value=limit), act, levels.act_is)
    if unsure or (chance_above is not None and not chance_above <= sure):
        return Compared("look again", "unsure")
    return Compared("fine for now", "below")


def _ends(figure: Figure) -> tuple[float, float | None]:
    """The least and the most that the count itself may mean; None for no upper end."""
    if figure.value is not None:
        return figure.value, figure.value
    return figure.at_least or 0.0, figure.at_most


def _passes(figure: Figure, level: Figure, how: Passes) -> bool:
    return figure >= level if how == "from" else figure > level


def fewest_to_act(levels: Levels, bees: float, basis: BasisName) -> int | None:
    """The fewest mites among ``bees`` that would reach the act level; None on another basis."""
    if basis != PerHundredAdults.basis or levels.act.basis != basis or levels.act.value is None:
        return None
    need = levels.act.value * bees / 100
    fewest = math.ceil(need - 1e-9)
    if levels.act_is == "above" and fewest <= need + 1e-9:
        fewest += 1
    return fewest
