"""By when to look again: never comfortably far ahead, sooner late in the season or if alarmed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from ...grammar.advice import AdviceRules
from ...grammar.seasons import Brood, Hemisphere, Stage, Stages, season_of
from .comparing import Cause
from .records import LimitUsed
from .situation import Situation
from .treatment_windows import Standing


@dataclass(frozen=True)
class Next:
    """The day by which to look again, not before which, and why then."""

    by: dt.date
    why: str
    not_before: dt.date | None = None


def next_look(
    situation: Situation,
    cause: Cause,
    standing: Standing,
    hemisphere: Hemisphere | None,
    rules: AdviceRules,
    stages: Stages,
) -> Next | None:
    """The earliest day that anything asks for; None where the day of the sample is not known.

    A season says how far ahead a count holds, at most a month while there is brood. ``projected``
    days of the situation only bring the date forward.
    """
    day = situation.day
    if day is None:
        return None
    found = [_by_season(situation, day, hemisphere, rules, stages)]
    ahead = rules.ahead
    if cause in ("watch", "unsure", "range", "reads"):
        why = "above the watch level" if cause == "watch" else "this sample leaves it open"
        found.append(Next(day + dt.timedelta(days=ahead.watch_days), why))
    if cause == "signs":
        why = "the signs seen are a worry at any number"
        found.append(Next(day + dt.timedelta(days=ahead.signs_days), why))
    if standing.state != "clear" and standing.ended is not None:
        found.append(_after(standing.ended, rules))
    found += _alarms(situation, day, rules)
    if situation.projected is not None:
        why = "the act level may be passed by then"
        found.append(Next(max(situation.projected, day), why))
    first = min(found, key=lambda one: one.by)
    return _no_earlier_than_today(first, situation, found)


def _by_season(
    situation: Situation,
    day: dt.date,
    hemisphere: Hemisphere | None,
    rules: AdviceRules,
    stages: Stages,
) -> Next:
    """As far ahead as the season of the count and that of the next one let it hold."""
    brood: Brood = "none" if situation.brood == "none" else "worker brood"
    sides: tuple[Hemisphere, ...] = ("north", "south") if hemisphere is None else (hemisphere,)
    now = [season_of(day, side, brood, stages.stage) for side in sides]
    then = [
        season_of(day + dt.timedelta(days=_days(stage, rules)), side, brood, stages.stage)
        for stage, side in zip(now, sides, strict=True)
    ]
    season = min(*now, *then, key=lambda stage: _days(stage, rules))
    days = _days(season, rules)
    words = f"{season.words}: {season.cited.says} ({season.cited.reference})"
    return Next(day + dt.timedelta(days=days), words)


def _days(season: Stage, rules: AdviceRules) -> int:
    """Only the dormant season, marked as without brood, may look further ahead than a month."""
    most = rules.ahead.most_days
    days = season.look_again_days or most
    return days if season.brood == "none" else min(days, most)


def _after(ended: dt.date, rules: AdviceRules) -> Next:
    after = rules.after
    return Next(
        by=ended + dt.timedelta(days=after.retest_days),
        why=f"{after.retest_cited.says} ({after.retest_cited.reference})",
        not_before=ended + dt.timedelta(days=after.cycle_days),
    )


def _alarms(situation: Situation, day: dt.date, rules: AdviceRules) -> list[Next]:
    """Robbing or a collapse after the count asks for a count at once, one before it within days."""
    ahead, found = rules.ahead, []
    why = f"{ahead.alarm_cited.says} ({ahead.alarm_cited.reference})"
    for incident in situation.incidents:
        if incident > day:
            found.append(Next(incident, why))
        elif (day - incident).days <= ahead.most_days:
            found.append(Next(day + dt.timedelta(days=ahead.alarm_days), why))
    return found


def _no_earlier_than_today(first: Next, situation: Situation, found: list[Next]) -> Next:
    by = first.by if situation.today is None else max(first.by, situation.today)
    waits = [one.not_before for one in found if one.not_before is not None]
    wait = max(waits, default=None)
    return Next(by, first.why, wait if wait is not None and wait <= by else None)


def act_by(situation: Situation, used: LimitUsed) -> dt.date | None:
    """The last day on which a legal duty lets the treatment begin; None without a duty."""
    if used.act_days is None or situation.day is None:
        return None
    return situation.day + dt.timedelta(days=used.act_days)
