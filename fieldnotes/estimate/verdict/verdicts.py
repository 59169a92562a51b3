"""From a figure on its basis to a verdict under a named guideline, with its reasons.

Fine for now, look again by a day, act, or can't say. The strictest limit that applies decides;
what others say stands beside it and nothing is averaged. Nothing here is advice to treat: the
label, the law and the veterinarian decide.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from ...grammar.advice import AdviceRules
from ...grammar.thresholds import Thresholds
from .applying import Candidate, candidates, guidelines_in_question, hemisphere_of
from .asking import asked_of_place, questions_of
from .changes import what_would_change
from .data import Known, known
from .judging import Judged, judge, strictest
from .look_again import Next, act_by, next_look
from .records import SEVERITY, LimitUsed, Other, Verdict, limit_used
from .situation import Choice, Situation
from .treatment_windows import Standing, standing_of
from .words import UNTREATED, first_line, reasons_of, seen, standing_in_words, why_no_limit


def verdict_of(situation: Situation, choice: Choice, data: Known | None = None) -> Verdict:
    """The verdict on ``situation`` under the guidelines of ``choice``.

    Suspected foulbrood stands above everything. Without a place or a guideline the rate is shown,
    the place asked for, and nothing judged. Brood that is not said is tried both ways: where the
    answer would make or break "act" there is no verdict until it is known. Raises InputError for a
    guideline that is not known.
    """
    data = known() if data is None else data
    if alarm := _foulbrood(situation, data.advice):
        return Verdict(says="act", line=f"{alarm}.", alarm=alarm)
    if situation.figure is None:
        return _cannot(situation, "There is no figure to judge.", *seen(situation, data.advice))
    if situation.day is None:
        return _cannot(situation, "The day of the sample is not known, and limits go by season.")
    if choice.place is None and choice.guideline is None:
        why = "No place is set, so that no guideline can be named."
        bare = _cannot(situation, why, *seen(situation, data.advice))
        return bare.model_copy(update={"asks": (asked_of_place(situation, data.thresholds),)})
    verdict = settled(situation, choice, data)
    asks = questions_of(situation, verdict, lambda other: settled(other, choice, data))
    return verdict.model_copy(update={"asks": asks})


def settled(situation: Situation, choice: Choice, data: Known) -> Verdict:
    """The verdict without its questions; brood that is not said is tried both ways."""
    if situation.brood != "not said":
        return _judged(situation, choice, data)
    without = _judged(situation.with_brood("none"), choice, data)
    with_brood = _judged(situation.with_brood("worker brood"), choice, data)
    if without.says == with_brood.says:
        taken = min(without, with_brood, key=lambda one: one.by or dt.date.max)
    else:
        taken = max(without, with_brood, key=lambda one: SEVERITY[one.says])
    if without.reasons == with_brood.reasons:
        return taken
    tried = (
        f"Brood is not said. With worker brood: {with_brood.says}. Without: {without.says}.",
        f"What follows takes the colony to have {'brood' if taken is with_brood else 'none'}.",
    )
    if without.says == with_brood.says or taken.says != "act":
        return taken.model_copy(update={"reasons": (*tried, *taken.reasons)})
    reasons = (*tried, *taken.reasons)
    kept = {"limit": taken.limit, "conflicts": taken.conflicts, "changes": tried[:1]}
    return _cannot(situation, *reasons).model_copy(update=kept)


def _judged(situation: Situation, choice: Choice, data: Known) -> Verdict:
    rules, thresholds = data.advice, data.thresholds
    standing = standing_of(situation, rules.after, data.treatments)
    found = candidates(situation, choice, thresholds)
    judged = tuple(
        one for each in found if (one := judge(each, situation, standing, rules)) is not None
    )
    deciding = tuple(one for one in judged if one.candidate.chosen and not one.silent)
    if not deciding:
        return _no_limit(situation, choice, data, standing, found)
    best = strictest(deciding)
    used = _used(best.candidate, thresholds)
    side = hemisphere_of(best.candidate.guideline, choice, thresholds)
    ahead = next_look(situation, best.compared.cause, standing, side, rules, thresholds.stages)
    best, ahead = _too_old(best, ahead, situation)
    return _put_together(situation, best, used, ahead, standing, judged, data)


def _put_together(
    situation: Situation,
    best: Judged,
    used: LimitUsed,
    ahead: Next | None,
    standing: Standing,
    judged: tuple[Judged, ...],
    data: Known,
) -> Verdict:
    says = best.compared.says
    ahead = _blocked(ahead, situation, standing, data.advice) if says == "can't say" else ahead
    by = None if ahead is None or says == "act" else ahead.by
    reasons = reasons_of(best, used, situation, standing, data.advice)
    if situation.treatments is None:
        reasons += (UNTREATED,)
    if best.compared.cause == "old" and ahead is not None:
        reasons = (f"The count is too old to call the colony fine: {ahead.why}.", *reasons)
    elif by is not None and ahead is not None:
        reasons += (f"Look again by then: {ahead.why}.",)
    if says == "act":
        after = data.advice.after.retest_cited
        reasons += (f"Afterwards: {after.says} ({after.reference}).",)
    return Verdict(
        says=says,
        line=first_line(situation.figure, says, used, by),
        by=by,
        not_before=None if ahead is None or says == "act" else ahead.not_before,
        act_by=act_by(situation, used) if says == "act" else None,
        limit=used,
        chance_above=best.chance_above,
        reasons=reasons,
        changes=what_would_change(best, situation),
        conflicts=_conflicts(best, judged, data.thresholds),
        cautions=tuple(row.says for row in data.advice.caution) if says == "act" else (),
    )


def _conflicts(
    best: Judged, judged: tuple[Judged, ...], thresholds: Thresholds
) -> tuple[Other, ...]:
    """What every other limit says that says something else."""
    return tuple(
        Other(
            says=one.compared.says,
            limit=_used(one.candidate, thresholds),
            converted=f"{one.held.words} ({one.held.source})" if one.held.words else None,
        )
        for one in judged
        if not one.silent and one.candidate != best.candidate
        if one.compared.says != best.compared.says
    )


def _too_old(best: Judged, ahead: Next | None, situation: Situation) -> tuple[Judged, Next | None]:
    """A count past the day by which to look again makes no colony fine any more."""
    if ahead is None or situation.today is None or best.compared.says != "fine for now":
        return best, ahead
    if ahead.by > situation.today:
        return best, ahead
    old = replace(best.compared, says="look again", cause="old")
    return replace(best, compared=old), ahead


def _blocked(
    ahead: Next | None, situation: Situation, standing: Standing, rules: AdviceRules
) -> Next | None:
    """While a treatment works, the next day is a brood cycle after its end, if that is near."""
    if standing.state in ("clear", "in cycle") or situation.day is None:
        return ahead
    if standing.ended is None:
        return None
    after, why = rules.after, rules.after.retest_cited.says
    by = standing.ended + dt.timedelta(days=after.retest_days)
    if (by - situation.day).days > rules.ahead.most_days:
        return None
    return Next(by, why, standing.ended + dt.timedelta(days=after.cycle_days))


def _no_limit(
    situation: Situation,
    choice: Choice,
    data: Known,
    standing: Standing,
    found: tuple[Candidate, ...],
) -> Verdict:
    deciding = guidelines_in_question(choice, data.thresholds)
    names = tuple(guideline.name for guideline, decides in deciding if decides)
    lines = why_no_limit(found, situation, choice, names)
    lines += standing_in_words(standing)
    return _cannot(situation, *lines, *seen(situation, data.advice))


def _cannot(situation: Situation, *reasons: str) -> Verdict:
    line = first_line(situation.figure, "can't say", None, None)
    return Verdict(says="can't say", line=line, reasons=reasons)


def _foulbrood(situation: Situation, rules: AdviceRules) -> str | None:
    row = rules.sign_rule("inspector")
    if row is None or not situation.signs & set(row.names):
        return None
    return row.cited.says


def _used(candidate: Candidate, thresholds: Thresholds) -> LimitUsed:
    stage = thresholds.stages.named(candidate.limit.stage)
    words = candidate.limit.stage if stage is None else stage.words
    return limit_used(candidate.guideline, candidate.limit, words)
