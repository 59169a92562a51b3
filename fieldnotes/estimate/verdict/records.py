"""What a verdict says: four words, the limit it rests on, its reasons and what would change it."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from ...grammar.thresholds import Force, Guideline, Limit
from ...records import Question, Record

Says = Literal["fine for now", "look again", "act", "can't say"]
SEVERITY: dict[Says, int] = {"fine for now": 0, "look again": 1, "can't say": 2, "act": 3}
"""From the mildest to the strictest. Not to know is stricter than to know that there is time."""


class LimitUsed(Record):
    """One limit, with the levels per 100 bees, a day or in percent, and as printed.

    ``act_high`` is the upper end of a printed range. ``status`` is that of its source.
    """

    guideline: str
    name: str
    row: str
    basis: str
    stage: str
    printed: str
    watch: float | None = None
    act: float
    act_high: float | None = None
    force: Force
    act_days: int | None = None
    source: str
    year: int | Literal["undated"]
    status: Literal["read", "memory", "common practice"]
    note: str | None = None


class Other(Record):
    """What another limit says of the same figure; shown beside the verdict, never averaged.

    ``converted`` says what was done to the figure where the limit is on another basis.
    """

    says: Says
    limit: LimitUsed
    converted: str | None = None


class Verdict(Record):
    """What follows from a figure, under which guideline, and why.

    ``line`` is the one plain line. ``by``: look again by that day, not before ``not_before``.
    ``act_by``: the last day on which a legal duty lets the treatment begin. ``alarm`` stands above
    everything: suspected foulbrood. ``chance_above``: of the true rate above the act level, 0 to 1.
    ``asks``: questions whose answer would change the verdict. ``cautions`` stand with any advice
    to treat.
    """

    says: Says
    line: str
    alarm: str | None = None
    by: dt.date | None = None
    not_before: dt.date | None = None
    act_by: dt.date | None = None
    limit: LimitUsed | None = None
    chance_above: float | None = None
    reasons: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    conflicts: tuple[Other, ...] = ()
    asks: tuple[Question, ...] = ()
    cautions: tuple[str, ...] = ()


def limit_used(guideline: Guideline, limit: Limit, stage_words: str) -> LimitUsed:
    """The limit as the verdict shows it, its levels turned from the printed unit."""
    normal = limit.printed.normal
    return LimitUsed(
        guideline=guideline.id,
        name=guideline.name,
        row=limit.id,
        basis=limit.basis,
        stage=stage_words,
        printed=limit.cited.says,
        watch=None if limit.watch is None else normal(limit.watch),
        act=normal(limit.act),
        act_high=None if limit.act_high is None else normal(limit.act_high),
        force=limit.force,
        act_days=limit.act_days,
        source=limit.cited.reference,
        year=limit.year,
        status=limit.cited.status,
        note="; ".join(note for note in (limit.note, guideline.note) if note) or None,
    )
