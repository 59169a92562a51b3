"""Which counts of a colony make one line: those since the last thing that broke it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from ..dated import DatedCount, Happening, not_in_order, on
from .rows import GrowthRows, known_growth


@dataclass(frozen=True)
class Line:
    """The counts that stand in one line, those set aside, and why.

    ``voided`` says in plain words why no date may be told: mites came from outside. ``withheld``
    says why there is no line at all; then ``counts`` is empty. ``count_from`` is the first day on
    which a count stands in a line again.
    """

    counts: tuple[DatedCount, ...] = ()
    set_aside: tuple[DatedCount, ...] = ()
    notes: tuple[str, ...] = ()
    voided: str | None = None
    voided_on: dt.date | None = None
    withheld: str | None = None
    count_from: dt.date | None = None


def line_of(
    counts: Sequence[DatedCount],
    happenings: Sequence[Happening] = (),
    *,
    today: dt.date | None = None,
    rows: GrowthRows | None = None,
) -> Line:
    """The counts since the last break, from ``counts`` in order of their days.

    A break ends the day that it happens, so a count of the same day belongs to what was before.
    Counts out of order, after ``today`` or none at all withhold the line; a happening that begins
    after ``today`` has not happened.
    """
    rows = rows or known_growth()
    if reason := _unusable(counts, today):
        return Line(withheld=reason)
    last = counts[-1].day
    happenings = [each for each in happenings if today is None or each.day <= today]
    breaks = [each for each in happenings if _breaks(each, last, rows)]
    newest = max(breaks, key=lambda each: each.end, default=None)
    since, notes = _since(counts, newest, rows)
    if not since and newest is not None:
        return _broken(counts, newest, breaks, rows)
    since, changed = _counted_alike(since)
    first = _first_day(breaks, rows)
    settled = tuple(c for c in since if first is None or c.day >= first)
    if not settled and newest is not None:
        return _broken(counts, newest, breaks, rows)
    if len(settled) < len(since):
        early = since[0]
        notes += (f"The count of {on(early.day)} came too soon to stand in the line.",)
    void = max(
        (h for h in happenings if rows.happening_row(h.kind).does == "voids" and h.end >= last),
        key=lambda each: each.end,
        default=None,
    )
    return Line(
        counts=settled,
        set_aside=tuple(c for c in counts if c not in settled),
        notes=notes + changed,
        voided=None if void is None else _voided(void, rows),
        voided_on=None if void is None else void.end,
    )


def _unusable(counts: Sequence[DatedCount], today: dt.date | None) -> str | None:
    if not counts:
        return "There is no count yet."
    days = [count.day for count in counts]
    if reason := not_in_order(days):
        return f"{reason} Check the dates."
    if today is not None and days[-1] > today:
        return f"The count of {on(days[-1])} lies in the future. Check the dates."
    return None


def _breaks(each: Happening, last: dt.date, rows: GrowthRows) -> bool:
    """Whether it breaks the line; mites from outside do so only with a count after them."""
    return rows.happening_row(each.kind).does == "breaks" or each.end < last


def _since(
    counts: Sequence[DatedCount], newest: Happening | None, rows: GrowthRows
) -> tuple[tuple[DatedCount, ...], tuple[str, ...]]:
    if newest is None:
        return tuple(counts), ()
    since = tuple(count for count in counts if count.day > newest.end)
    if len(since) == len(counts):
        return since, ()
    words = rows.happening_row(newest.kind).words
    return since, (f"The line begins after {words} of {on(newest.end)}.",)


def _counted_alike(
    counts: tuple[DatedCount, ...],
) -> tuple[tuple[DatedCount, ...], tuple[str, ...]]:
    """The latest counts that were made in one way, and what changed before them."""
    start = len(counts) - 1
    comb = counts[start].comb
    while start > 0:
        earlier = counts[start - 1]
        other_comb = comb is not None and earlier.comb is not None and comb != earlier.comb
        if other_comb or not earlier.counted_like(counts[-1]):
            what = "comb" if earlier.method == counts[-1].method else "method"
            note = f"The line begins on {on(counts[start].day)}, since the {what} changed."
            return counts[start:], (note,)
        comb = comb or earlier.comb
        start -= 1
    silent = any(count.comb is None for count in counts) and comb is not None
    return counts, (("Not every count says which comb the bees came from.",) if silent else ())


def _first_day(breaks: Sequence[Happening], rows: GrowthRows) -> dt.date | None:
    """The first day on which a count stands in the line, after all that broke it has settled."""
    days = [
        each.end + dt.timedelta(days=max(1, rows.happening_row(each.kind).settles_days))
        for each in breaks
    ]
    return max(days, default=None)


def _broken(
    counts: Sequence[DatedCount],
    newest: Happening,
    breaks: Sequence[Happening],
    rows: GrowthRows,
) -> Line:
    first = _first_day(breaks, rows)
    words = rows.happening_row(newest.kind).words
    when = "" if first is None else f" Count again from {on(first)} on."
    return Line(
        set_aside=tuple(counts),
        withheld=f"No count yet that tells of the time after {words} of {on(newest.end)}.{when}",
        count_from=first,
    )


def _voided(void: Happening, rows: GrowthRows) -> str:
    words = rows.happening_row(void.kind).words
    return (
        f"No date can be told since {words} of {on(void.end)}: "
        "mites may have come in from other colonies."
    )
