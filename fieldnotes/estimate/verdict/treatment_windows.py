"""Whether a treatment or a brood break stands between the sample and its meaning."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ...grammar.advice import After
from ...grammar.treatments import TreatmentRow
from ...records import Active
from .situation import Situation, TreatmentRun

State = Literal["clear", "in cycle", "settling", "at work"]
_ORDER: tuple[State, ...] = ("clear", "in cycle", "settling", "at work")
_SPARES_FALL = ("drone_removal", "brood_break")
"""What shakes no mites loose."""


@dataclass(frozen=True)
class Standing:
    """Where the sample stands: clear of all; in the brood cycle after a treatment or a brood break;
    settling, while the fall is not natural yet; or with a treatment at work.

    ``ended`` is the last day of the treatment or break, where it is known.
    """

    state: State
    why: str = ""
    source: str = ""
    ended: dt.date | None = None

    @property
    def line(self) -> str:
        """Why, with its source."""
        return f"{self.why} ({self.source})" if self.source else self.why


CLEAR = Standing("clear")


def standing_of(
    situation: Situation, after: After, rows: Mapping[Active, TreatmentRow]
) -> Standing:
    """The strictest standing that any treatment or the brood break gives the sample's day."""
    day = situation.day
    if day is None:
        return CLEAR
    found = [_of_run(run, day, after, rows) for run in situation.treatments or ()]
    if situation.break_ended is not None:
        found.append(_of_break(situation.break_ended, day, after))
    return max(found, key=lambda one: _ORDER.index(one.state), default=CLEAR)


def _of_run(
    run: TreatmentRun, day: dt.date, after: After, rows: Mapping[Active, TreatmentRow]
) -> Standing:
    if run.active == "brood_break":
        return CLEAR if run.last is None else _of_break(run.last, day, after)
    if run.active in _SPARES_FALL or (run.first is not None and run.first >= day):
        return CLEAR  # begun that day: the usual order is to sample first and then to treat
    name = rows[run.active].name if run.active in rows else "a treatment"
    days, source = days_at_work(run, after, rows)
    last = run.last
    if run.ongoing and (last is None or last >= day):
        return Standing("at work", f"{name} is in on the day of the sample")
    if last is None:
        if run.first is None:
            return Standing("at work", f"{name} is on record, but not when it was in")
        if (day - run.first).days <= days:
            gone = (day - run.first).days
            return Standing("at work", f"{name} went in {gone} days before the sample", source)
        last = run.first + dt.timedelta(days=days)
    if day < last:
        return Standing("at work", f"{name} was in on the day of the sample", ended=last)
    return _since(last, day, after, name)


def days_at_work(
    run: TreatmentRun, after: After, rows: Mapping[Active, TreatmentRow]
) -> tuple[int, str]:
    """How many days from its first a treatment is held to be at work, and who says so."""
    known = rows[run.active].at_work if run.active in rows else ()
    for work in known:
        if not work.forms or run.form is None or run.form in work.forms:
            return work.days, f"{work.cited.says}, {work.cited.reference}, {work.year}"
    return after.default_days, f"{after.default_cited.says}, {after.default_cited.reference}"


def _since(last: dt.date, day: dt.date, after: After, name: str) -> Standing:
    gone = (day - last).days
    words = f"{name} ended {gone} days before the sample" if gone else f"{name} ended that day"
    if gone < after.fall_days:
        source = f"{after.fall_cited.says}, {after.fall_cited.reference}"
        return Standing("settling", words, source, last)
    if gone < after.cycle_days:
        source = f"{after.cycle_cited.says}, {after.cycle_cited.reference}"
        return Standing("in cycle", words, source, last)
    return CLEAR


def _of_break(ended: dt.date, day: dt.date, after: After) -> Standing:
    if not 0 <= (day - ended).days < after.cycle_days:
        return CLEAR
    words = "the colony has just begun to raise brood again, and mites go into the first brood"
    source = f"{after.cycle_cited.says}, {after.cycle_cited.reference}"
    return Standing("in cycle", words, source, ended)
