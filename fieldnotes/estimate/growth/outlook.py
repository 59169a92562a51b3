"""What the counts of a colony say of the weeks ahead: pace, the day of the act level, next count.

No comfortable date follows from a few small counts: whatever the line says, the next count is due
within a month in the brood season, sooner late in it, and at once after mites came from outside.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..basis import Figure
from ..dated import DatedCount, Happening, on
from .crossing import Crossing, crossing_of, first_day
from .growth import Growth, growth_of
from .line import Line, line_of
from .rows import GrowthRows, known_growth

_MISFIT = 3.5
"""Sigmas from the line at which a count is held not to belong to it."""
_SILENT = 0.85
"""Counts that narrow the prior's pace by less than this factor say little of the colony's own."""


@dataclass(frozen=True)
class Pace:
    """Growth a day as a share, and days to double, with 80 percent limits.

    A doubling time is None where at that end the mites do not grow.
    """

    daily: float
    daily_low: float
    daily_high: float
    doubling: float | None
    doubling_low: float | None
    doubling_high: float | None


@dataclass(frozen=True)
class Outlook:
    """The line of a colony: level at the last count with 95 percent limits, pace, day of crossing.

    ``withheld`` says in plain words why there is no line. ``crossing`` is None without an act
    level, and where ``voided`` says why no day may be told. ``look_again`` is the day by which to
    count again, with its reason; None where only ``why`` can say when.
    """

    line: Line
    withheld: str | None = None
    voided: str | None = None
    level: Figure | None = None
    pace: Pace | None = None
    crossing: Crossing | None = None
    look_again: dt.date | None = None
    why: str = ""
    notes: tuple[str, ...] = ()


def outlook_of(
    counts: Sequence[DatedCount],
    happenings: Sequence[Happening] = (),
    act: Figure | None = None,
    *,
    today: dt.date,
    brood: bool | None = None,
    late: bool = False,
    rows: GrowthRows | None = None,
) -> Outlook:
    """The outlook from ``counts`` in order of their days.

    ``act`` is the act level on the basis of the counts (else TypeError). ``brood`` is False where
    the colony is known to have none: then mites do not grow, and there is no pace. ``late``: brood
    shrinks and mites come from neighbours, so that the next count is due sooner.
    """
    rows = rows or known_growth()
    line = line_of(counts, happenings, today=today, rows=rows)
    if line.withheld:
        return Outlook(
            line,
            withheld=line.withheld,
            look_again=None if line.count_from is None else max(line.count_from, today),
            why="until then the count would mislead" if line.count_from else "",
            notes=line.notes,
        )
    if brood is False:
        reason = "No brood: mites do not breed now, and the published pace is that of brood."
        why = "count again once there is capped brood"
        return Outlook(line, withheld=reason, why=why, notes=line.notes)
    growth = growth_of(line.counts, rows.prior)
    voided = line.voided or _misfit(growth)
    crossing = None
    if act is not None:
        crossing = crossing_of(growth, act, rows.ahead.horizon_days)
    look_again, why = _next_count(growth, line, crossing, late, rows)
    return Outlook(
        line=line,
        voided=voided,
        level=line.counts[0].basis(*_level(growth)),
        pace=_pace(growth),
        crossing=None if voided else crossing,
        look_again=today if voided and not line.voided else max(look_again, today),
        why="a count that fits no line needs a second look" if voided and not line.voided else why,
        notes=line.notes + _notes(growth, rows),
    )


def _level(growth: Growth) -> tuple[float, None, None, float, float]:
    return growth.level(0.5), None, None, growth.level(0.025), growth.level(0.975)


def _pace(growth: Growth) -> Pace:
    low, middle, high = (growth.daily(chance) for chance in (0.1, 0.5, 0.9))
    return Pace(middle, low, high, doubling(middle), doubling(high), doubling(low))


def doubling(daily: float) -> float | None:
    """Days to double at a growth of ``daily`` (a share a day): ln 2 / r; None if it does not grow.

    >>> round(doubling(0.021))
    33
    """
    return math.log(2) / daily if daily > 0 else None


def _next_count(
    growth: Growth, line: Line, crossing: Crossing | None, late: bool, rows: GrowthRows
) -> tuple[dt.date, str]:
    """The day by which to count again, and why then."""
    ahead = rows.ahead
    if line.voided_on is not None:
        day = max(line.voided_on, growth.day) + dt.timedelta(days=ahead.alarm_days)
        return day, "mites may have come in from other colonies"
    usual = growth.day + dt.timedelta(days=ahead.late_days if late else ahead.season_days)
    why = (
        "late in the season mites come from neighbours and brood shrinks"
        if late
        else "in the brood season a count holds for a month at most"
    )
    if crossing is None or crossing.act.value is None:
        return usual, why
    if crossing.likely == growth.day:
        return growth.day, "more likely than not the act level is passed already"
    risky = first_day(growth, crossing.act.value, ahead.risk, ahead.horizon_days)
    if risky is None or risky >= usual:
        return usual, why
    soonest = growth.day + dt.timedelta(days=ahead.alarm_days)
    return max(risky, soonest), "the act level may be passed by then"


def _misfit(growth: Growth) -> str | None:
    """Why the counts make no line, where one lies too far off: something happened between them."""
    for count in growth.counts:
        days = (count.day - growth.day).days
        mean = growth.level(0.5, days) * count.exposure
        sigma = math.sqrt(mean + (mean * count.spread) ** 2)
        if abs(count.mites - mean) - 0.5 > _MISFIT * sigma:
            return (
                f"The count of {on(count.day)} fits no line with the others. Count again; was "
                "there a treatment, a swarm or robbing between them?"
            )
    return None


def _notes(growth: Growth, rows: GrowthRows) -> tuple[str, ...]:
    counts, notes = growth.counts, []
    width = growth.daily(0.975) - growth.daily(0.025)
    if len(counts) == 1:
        notes.append("One count only: the pace is the published one, not this colony's own.")
    elif width > _SILENT * 2 * 1.96 * rows.prior.sigma:
        notes.append("These counts say little of the pace: it is mostly the published one.")
    if not any(count.mites for count in counts):
        notes.append("No mite was found: the line shows what that still leaves possible.")
    if len(counts) > 1 and counts[-1].rate < counts[0].rate:
        notes.append(
            "The counts fall. More bees, chance, or mites gone into brood can do that too: "
            "it is no proof that the mites grow fewer."
        )
    return tuple(notes)
