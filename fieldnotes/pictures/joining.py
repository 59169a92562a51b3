"""From the estimator's records to what a picture shows, in one call each."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import get_args

from ..estimate.basis import BASES, BasisName
from ..estimate.count_range import figure_of
from ..estimate.dated import DatedCount, Happening
from ..estimate.growth.growth import growth_of
from ..estimate.growth.outlook import Outlook
from ..estimate.verdict.comparing import level_as_counted
from ..estimate.verdict.records import LimitUsed
from ..estimate.verdict.situation import Situation, TreatmentRun
from ..estimate.yard.yard import Yard
from ..grammar.protocols import known_protocols
from ..grammar.treatments import known_treatments
from .trend import Level, LineDay, Mark, Point, Treated, Trend
from .yard_dots import Dot, YardDots

_AHEAD = 30
"""Days after the last count to which a line is drawn at least; no count holds for longer."""
_FARTHEST = 60
"""Days after the last count to which a line is drawn at most, to show where a level is passed."""
_STEPS = 40
"""Days on which the line is worked out: more show no finer line."""
_RANGE = 80
"""Percent of the line's range: that of the days between which a level is likely passed."""


def trend_of(
    counts: Sequence[DatedCount],
    outlook: Outlook | None = None,
    *,
    title: str,
    levels: Sequence[Level] = (),
    treatments: Sequence[TreatmentRun] = (),
    happenings: Sequence[Happening] = (),
) -> Trend:
    """The picture of one colony from its ``counts`` in order of their days.

    The line is that of ``outlook``; it ends at the last count where no day may be told. Without
    ``levels`` the act level that the outlook was made for is drawn, without a guideline's name.
    ``happenings`` of the kind treatment are drawn only where no ``treatments`` are given. Raises
    what :class:`~fieldnotes.pictures.trend.Trend` raises: counts on two bases make no picture.
    """
    if not levels and outlook is not None and outlook.crossing is not None:
        levels = (Level("act", outlook.crossing.act, ""),)
    spans = tuple(
        Treated(active_in_words(run), run.first, run.last)
        for run in treatments
        if run.first is not None or run.last is not None
    )
    if not spans:
        told = [each for each in happenings if each.kind == "treatment"]
        spans = tuple(Treated("treatment", each.day, each.end) for each in told)
    return Trend(
        title=title,
        points=tuple(_point(count) for count in counts),
        line=() if outlook is None else line_days(outlook),
        range_percent=_RANGE,
        levels=tuple(levels),
        treated=spans,
        marks=tuple(
            Mark(each.kind.replace("_", " "), each.day)
            for each in happenings
            if each.kind != "treatment"
        ),
    )


def yard_picture_of(yard: Yard, *, title: str, levels: Sequence[Level] = ()) -> YardDots:
    """The picture of a yard from its sampled colonies; raises NumbersError where there is none."""
    return YardDots(
        title=title,
        dots=tuple(
            Dot(each.colony, figure_of(each.count), each.colony in yard.stands_out)
            for each in yard.counts
        ),
        mean=None if yard.pooled is None or len(yard.counts) < 2 else yard.pooled.figure,
        levels=tuple(levels),
        not_sampled=yard.not_sampled,
    )


def levels_of(limit: LimitUsed | None, situation: Situation) -> tuple[Level, ...]:
    """The levels of a verdict's limit on the basis of the counts, by the named conversions.

    None at all where no conversion leads there, so that nothing false is drawn.
    """
    if limit is None or limit.basis not in get_args(BasisName):
        return ()
    kind = next(each for name, each in BASES.items() if name == limit.basis)
    found = []
    for what, number in (("watch", limit.watch), ("act", limit.act)):
        figure = None if number is None else level_as_counted(kind(value=number), situation)
        if figure is not None:
            changed = figure.basis != limit.basis
            name = f"{limit.name}, turned to the bees as counted" if changed else limit.name
            found.append(Level(what, figure, name))
    return tuple(found)


def line_days(outlook: Outlook) -> tuple[LineDay, ...]:
    """The line of ``outlook`` day by day, with the middle and the 80 percent range; or nothing."""
    if outlook.level is None:
        return ()
    growth = growth_of(outlook.line.counts)
    start, last = outlook.line.counts[0].day, growth.day
    whole = (_end(outlook, last) - start).days
    step = max(1, -(-whole // _STEPS))
    days = sorted({*range(0, whole + 1, step), (last - start).days, whole})
    kind, tail = outlook.line.counts[0].basis, (1 - _RANGE / 100) / 2
    found = []
    for day in days:
        after = day - (last - start).days
        low, middle, high = (growth.level(chance, after) for chance in (tail, 0.5, 1 - tail))
        found.append(
            LineDay(start + dt.timedelta(days=day), kind(value=middle, low=low, high=high))
        )
    return tuple(found)


def _end(outlook: Outlook, last: dt.date) -> dt.date:
    """The day to which the line is drawn."""
    if outlook.voided is not None:
        return last
    farthest = last + dt.timedelta(days=_FARTHEST)
    days = [last + dt.timedelta(days=_AHEAD), outlook.look_again]
    if outlook.crossing is not None:
        days.append(outlook.crossing.likely)
    return max(day for day in days if day is not None and day <= farthest)


def active_in_words(run: TreatmentRun) -> str:
    """A treatment's active ingredient in words, or that it is not known."""
    row = known_treatments().get(run.active)
    name = run.active.replace("_", " ") if row is None else row.name
    return "treatment, active not known" if run.active == "unknown" else name


def _point(count: DatedCount) -> Point:
    protocol = None if count.method is None else known_protocols().get(count.method)
    return Point(count.day, figure_of(count), "" if protocol is None else protocol.name)
