"""Whether two counts can judge a treatment: made alike, and within the right days."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from ...errors import DateError
from ...records import Active
from ..dated import DatedCount, on
from .rows import EfficacyRows


@dataclass(frozen=True)
class Course:
    """One treatment, from its first day to its last.

    ``brood``: whether there was capped worker brood; None where it is not said, then brood is
    reckoned with.
    """

    active: Active | None
    start: dt.date
    end: dt.date
    brood: bool | None = None

    def __post_init__(self) -> None:
        if self.end < self.start:
            raise DateError(f"the treatment ends on {on(self.end)}, before {on(self.start)}")


@dataclass(frozen=True)
class Pair:
    """The counts of one colony before and after a treatment."""

    colony: str
    before: DatedCount
    after: DatedCount


def unfit(pair: Pair, course: Course) -> str | None:
    """Why the two counts say nothing of the treatment, in plain words; None if they may."""
    before, after = pair.before, pair.after
    if after.day <= before.day:
        return f"{pair.colony}: the count after does not lie after the count before"
    if before.day > course.start:
        return f"{pair.colony}: the count before was made after the treatment began"
    if after.day < course.end or after.day <= course.start:
        return f"{pair.colony}: the count after was made before the treatment ended"
    if before.basis is not after.basis:
        return f"{pair.colony}: {before.basis.words} and {after.basis.words} cannot be compared"
    if before.method != after.method:
        return f"{pair.colony}: counted in two ways, {before.method} and {after.method}"
    if not before.counted_like(after):
        return f"{pair.colony}: bees from two kinds of comb, {before.comb} and {after.comb}"
    return None


def too_early(day: dt.date, course: Course, rows: EfficacyRows) -> bool:
    """Whether a count on ``day`` comes before the mites under cappings are out."""
    wait = dt.timedelta(days=rows.window.after_from_days)
    return course.brood is not False and day < course.end + wait


def window_warnings(pair: Pair, course: Course, rows: EfficacyRows) -> tuple[str, ...]:
    """What to hold against the two counts, which may still be compared."""
    window, found = rows.window, []
    waited = (pair.after.day - course.end).days
    if too_early(pair.after.day, course, rows):
        first = on(course.end + dt.timedelta(days=window.after_from_days))
        found.append(
            f"{pair.colony}: counted {waited} days after the end, too early: mites under worker "
            f"cappings come out for {rows.brood.worker_capped:g} days, so the treatment looks "
            f"better than it was. Count again from {first} on."
        )
    if waited > window.after_to_days:
        found.append(
            f"{pair.colony}: counted {waited} days after the end, late: growth and mites from "
            "other colonies hide part of the effect."
        )
    if (course.start - pair.before.day).days > window.before_days:
        found.append(
            f"{pair.colony}: the count before is more than {window.before_days} days older than "
            "the treatment, and mites grew in between."
        )
    return tuple(found)
