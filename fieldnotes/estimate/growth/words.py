"""An outlook in plain lines."""

from __future__ import annotations

import datetime as dt

from ..basis import Figure
from ..counts import plain
from ..dated import on
from .crossing import Crossing
from .outlook import Outlook, Pace


def in_words(outlook: Outlook) -> tuple[str, ...]:
    """The outlook in plain lines, the most important first."""
    if outlook.level is None or outlook.pace is None:
        lines = [outlook.withheld or ""]
    else:
        day = on(outlook.line.counts[-1].day)
        lines = [_level_in_words(outlook.level, day), _pace_in_words(outlook.pace)]
        if outlook.voided:
            lines.append(outlook.voided)
        elif outlook.crossing:
            lines.append(_crossing_in_words(outlook.crossing, outlook.line.counts[-1].day))
    if outlook.look_again:
        lines.append(f"Look again by {on(outlook.look_again)}: {outlook.why}.")
    elif outlook.why:
        lines.append(f"{outlook.why[0].upper()}{outlook.why[1:]}.")
    return tuple(lines) + outlook.notes


def _level_in_words(level: Figure, day: str) -> str:
    value, low, high = (plain(x or 0) for x in (level.value, level.low, level.high))
    return f"About {value} {level.words} on {day} by the line ({low} to {high}, 95 %)."


def _pace_in_words(pace: Pace) -> str:
    if pace.doubling is None:
        return "By the line the mites grow fewer for now."
    least = round(pace.doubling_low or 0)
    most = "never" if pace.doubling_high is None else f"{pace.doubling_high:.0f}"
    return (
        f"Growing {100 * pace.daily:.1f} % a day, doubling in about {pace.doubling:.0f} days "
        f"({least} to {most}, 80 %)."
    )


def _crossing_in_words(crossing: Crossing, last: dt.date) -> str:
    what = f"{plain(crossing.act.value or 0)} {crossing.act.words}"
    if crossing.late_80 == last:
        return f"{what} is very likely passed already."
    if crossing.early_80 is None:
        return f"{what} is unlikely to be passed within {crossing.horizon} days."
    early = "already" if crossing.early_80 == last else on(crossing.early_80)
    beyond = f"not even in {crossing.horizon} days"
    late = beyond if crossing.late_80 is None else on(crossing.late_80)
    likely = f"in more than {crossing.horizon} days"
    if crossing.likely == last:
        likely = "already"
    elif crossing.likely is not None:
        likely = f"about {on(crossing.likely)}"
    return f"{what}: likely passed {likely} (80 %: {early} to {late})."
