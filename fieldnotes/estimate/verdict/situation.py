"""All that bears on a verdict beside the guidelines: figure, day, brood, treatments, signs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from ...errors import NumbersError
from ...grammar.advice import ToldSign
from ...grammar.protocols import Reads
from ...grammar.seasons import Brood
from ...records import Active, Method, Source, Treatment, Visit
from ..basis import Figure
from ..cautions import worker_brood_on_record
from ..records import Estimate

BroodKnown = Literal["worker brood", "none", "not said"]
ChanceAbove = Callable[[Figure], float | None]
"""From a level, on the basis of the figure as counted, to the chance that the truth lies above."""


@dataclass(frozen=True)
class TreatmentRun:
    """One treatment: its first day and its last, or the day it was given once as both.

    ``ongoing``: said to be in on the day of the sample. A first day that is not known is None.
    """

    active: Active
    first: dt.date | None = None
    last: dt.date | None = None
    form: str | None = None
    ongoing: bool = False

    def __post_init__(self) -> None:
        if self.first is not None and self.last is not None and self.last < self.first:
            raise NumbersError("a treatment ends on the day it begins or later, not before")


@dataclass(frozen=True)
class Choice:
    """Where the bees are ("DE", "US-FL") and which guideline was chosen, by its id."""

    place: str | None = None
    guideline: str | None = None


@dataclass(frozen=True)
class Situation:
    """What is known of a colony, or of a yard's mean, on the day of a sample.

    ``figure`` carries the interval that the verdict is to use. ``mites`` out of ``bees`` (low,
    high where assumed) are for what would change the verdict. ``treatments`` is None where nothing
    is said of any, and empty where there was none. ``break_ended``: the first day with brood again
    after a brood break or a new queen. ``incidents``: days of robbing or of a collapse nearby.
    ``projected``: the day on which the act level may be passed. ``today`` judges old counts.
    Raises NumbersError where ``today`` lies before the sample.
    """

    figure: Figure | None
    day: dt.date | None
    method: Method | None = None
    frame: Source | None = None
    reads: Reads | None = None
    colony: str | None = None
    of: Literal["colony", "yard mean"] = "colony"
    colony_kind: Literal["production", "nucleus"] | None = None
    mites: int | None = None
    bees: float | None = None
    bees_low: int | None = None
    bees_high: int | None = None
    brood: BroodKnown = "not said"
    treatments: tuple[TreatmentRun, ...] | None = None
    break_ended: dt.date | None = None
    signs: frozenset[ToldSign] = frozenset()
    incidents: tuple[dt.date, ...] = ()
    supers_on: bool | None = None
    temperature_c: float | None = None
    projected: dt.date | None = None
    today: dt.date | None = None
    chance_above: ChanceAbove | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        if self.day is not None and self.today is not None and self.today < self.day:
            raise NumbersError("today lies before the day of the sample: one of the two is wrong")

    def with_brood(self, brood: Brood) -> Situation:
        """The same, if the colony had this brood."""
        return replace(self, brood=brood)


def situation_of(
    estimate: Estimate,
    visit: Visit | None = None,
    *,
    interval: tuple[float | None, float | None] | None = None,
    chance_above: ChanceAbove | None = None,
    today: dt.date | None = None,
) -> Situation:
    """The situation behind an estimate of ``visit``, as far as the two say.

    ``interval`` stands in place of the limits for chance alone. What other visits tell of
    treatments, brood breaks and incidents is added with :func:`dataclasses.replace`.
    """
    figure = estimate.figure
    if figure is not None and interval is not None:
        figure = replace(figure, low=interval[0], high=interval[1])
    found = Situation(
        figure=figure,
        day=estimate.date,
        method=estimate.method,
        frame=estimate.frame,
        reads=estimate.reads,
        colony=estimate.colony,
        mites=estimate.numerator,
        bees=estimate.denominator,
        bees_low=estimate.bees_low,
        bees_high=estimate.bees_high,
        today=today,
        chance_above=chance_above,
    )
    return found if visit is None else _told(found, visit)


def _told(found: Situation, visit: Visit) -> Situation:
    signs = {sign.sign for sign in visit.signs if sign.present}
    runs = runs_of((*visit.treatment, *visit.earlier), visit.date)
    requeened = any(event.event == "requeened" for event in visit.events)
    robbed = signs & {"robbing"} and visit.date is not None
    supers = visit.supers
    return replace(
        found,
        brood=brood_said(visit),
        treatments=runs or None,
        break_ended=visit.date if requeened else None,
        signs=frozenset(signs),
        incidents=(visit.date,) if robbed and visit.date is not None else (),
        supers_on=_supers_on(supers.added, supers.on) if supers is not None else None,
        temperature_c=visit.weather_c,
    )


def _supers_on(added: int | None, on: int | None) -> bool | None:
    if added:
        return True
    return None if on is None else on > 0


def brood_said(visit: Visit) -> BroodKnown:
    """What the visit says of worker brood; brood without cappings hides no mites yet."""
    if worker_brood_on_record(visit):
        return "worker brood"
    none = (
        visit.broodless
        or visit.capped_brood is False
        or visit.queen_status == "laying_workers"
        or visit.frames_brood == 0
    )
    return "none" if none else "not said"


def runs_of(treatments: tuple[Treatment, ...], day: dt.date | None) -> tuple[TreatmentRun, ...]:
    """The treatments of one record as runs; plans are none, since they have not happened."""
    runs = []
    for told in treatments:
        when = told.date or (None if told.remembered else day)
        match told.action:
            case "planned":
                continue
            case "once":
                run = TreatmentRun(told.active, when, when, told.form)
            case "end":
                run = TreatmentRun(told.active, None, when, told.form)
            case "ongoing":
                run = TreatmentRun(told.active, told.date, None, told.form, ongoing=True)
            case _:
                run = TreatmentRun(told.active, when, None, told.form)
        runs.append(run)
    return tuple(runs)
