"""One candidate limit against one situation: the comparison, and what may overrule it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ...grammar.advice import AdviceRules
from ...grammar.protocols import Reads
from ...grammar.thresholds import Limit
from ..basis import Converted, FallPerDay, Figure, PercentDroneCells
from .applying import Candidate
from .comparing import Compared, compare, held_on, level_as_counted, levels_of
from .records import SEVERITY
from .situation import Situation
from .treatment_windows import Standing

_OFF_BROOD = ("honey", "super", "entrance", "pollen")


@dataclass(frozen=True)
class Judged:
    """A limit's say on the figure, on its own basis; ``silent`` where it is an alarm level only."""

    candidate: Candidate
    compared: Compared
    held: Converted[Figure]
    chance_above: float | None
    silent: bool = False


def judge(
    candidate: Candidate, situation: Situation, standing: Standing, rules: AdviceRules
) -> Judged | None:
    """What the limit says; None where it may drive no verdict or the figure is on another basis."""
    limit = candidate.limit
    levels = levels_of(limit)
    held = held_on(limit.basis, situation)
    if not limit.drives or levels is None or held is None:
        return None
    chance = None
    if situation.chance_above is not None:
        level = level_as_counted(levels.act, situation)
        chance = None if level is None else situation.chance_above(level)
    compared = compare(
        held.figure,
        levels,
        reads=reads_of(limit, situation),
        chance_above=chance,
        sure=rules.sure.chance,
    )
    silent = limit.below == "nothing" and compared.cause in ("below", "unsure")
    compared = _overruled(compared, situation, standing, rules)
    return Judged(candidate, compared, held, chance, silent)


def reads_of(limit: Limit, situation: Situation) -> Reads | None:
    """Which way the figure errs against this limit: by a step gone wrong, by the comb, or both.

    Bees over honey carry about half the mites of bees over brood (Calderone and Turcotte 1998); a
    limit that names no comb is taken for one of brood combs, as most are.
    """
    comb: Reads | None = None
    jar = not isinstance(situation.figure, FallPerDay | PercentDroneCells)
    if jar and limit.comb != "honey" and situation.frame in _OFF_BROOD:
        comb = "low"
    elif jar and limit.comb == "honey" and situation.frame == "brood":
        comb = "high"
    ways = {way for way in (situation.reads, comb) if way is not None}
    return ways.pop() if len(ways) == 1 else "either" if ways else None


def _overruled(
    compared: Compared, situation: Situation, standing: Standing, rules: AdviceRules
) -> Compared:
    """The comparison after treatments, brood breaks and signs have had their say."""
    falling = isinstance(situation.figure, FallPerDay)
    if standing.state == "at work" or (standing.state == "settling" and falling):
        return Compared("can't say", "standing")
    if standing.state != "clear" and compared.says == "fine for now":
        compared = Compared("look again", "standing")
    if not signs_that_override(situation, rules):
        return compared
    if compared.cause == "watch":
        return Compared("act", "signs")
    return replace(compared, says="look again", cause="signs") if (
        SEVERITY[compared.says] <= SEVERITY["look again"]
    ) else compared  # fmt: skip


def signs_that_override(situation: Situation, rules: AdviceRules) -> tuple[str, ...]:
    """The signs on record with which lower percentages are already a worry."""
    row = rules.sign_rule("overrides")
    return () if row is None else tuple(sign for sign in row.names if sign in situation.signs)


def strictest(judged: tuple[Judged, ...]) -> Judged:
    """The one that the verdict rests on: the strictest, then a duty, then the most closely made."""

    def weight(one: Judged) -> tuple[int, bool, bool, int, int, str]:
        limit = one.candidate.limit
        return (
            SEVERITY[one.compared.says],
            one.compared.cause != "unsure",
            limit.force == "legal duty",
            one.candidate.close,
            0 if isinstance(limit.year, str) else limit.year,
            limit.id,
        )

    return max(judged, key=weight)
