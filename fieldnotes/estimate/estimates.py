"""From a visit to its estimates: one for each sample, or the plain reason why there is none.

Pure: knows nothing of the note's text. The figure is the arithmetic that a keeper would do on
paper; its limits are exact and cover sampling chance alone. The likely range beside it carries the
doubt about bees and recovery. Nothing is corrected in silence.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ..grammar.protocols import known_protocols
from ..grammar.vocabulary import Vocabulary
from ..records import Method, Sample, Visit
from .basis import Figure, PercentDroneCells, PerHundredAdults, SeenPerHundred
from .case import Case, doubled_for_brood
from .cautions import comb_warnings, reading_of, spoiled_warnings, steps_gone_wrong
from .counts import (
    Count,
    count_in,
    in_words,
    limits_in_words,
    only_sound_limits,
    plain,
    rate_of,
    score_limits_of,
    share_of,
)
from .likely import truth_of
from .measures import Bees, Measures, about, bees_in, known_measures
from .records import Assumption, Estimate
from .stated import LOOK, fall_of, stated_figure

BINOMIAL = "Clopper-Pearson, exact; sampling chance only"
POISSON = "Garwood, exact; chance only, and real boards vary more"
LARGEST = 1e7
"""No mite count, bee count or amount of a real sample comes near it; beyond it floats give out."""
SHORTEST_DAYS = 0.01
"""A quarter of an hour: a board that lay less has caught nothing to speak of."""
CELLS = Assumption(
    text="Cells with mites were counted, not mites: a cell with three counts once",
    source="Dietemann V and 11 others (2013) Standard methods for varroa research, "
    "Journal of Apicultural Research 52(1), section 4.2.3.2",
)


def estimate_visit(
    visit: Visit, vocabulary: Vocabulary | None = None, *, measures: Measures | None = None
) -> tuple[Estimate, ...]:
    """One estimate for each sample of ``visit``, in order; some say only why they are withheld.

    ``vocabulary`` gives the keeper's own counted cup. ``measures`` defaults to those that come
    with the program. Raises GrammarError where the program's own data files are at fault.

    >>> from fieldnotes.records import Evidence
    >>> said = {name: Evidence(said=((0, 1),)) for name in ("method", "mites", "bees")}
    >>> wash = Sample(method="alcohol", mites=13, bees=303, evidence=said)
    >>> estimate_visit(Visit(samples=(wash,)))[0].steps[0]
    '13 mites ÷ 303 bees × 100 = 4.3 mites per 100 adult bees'
    """
    vocabulary = vocabulary or Vocabulary()
    measures = measures or known_measures()
    return tuple(
        _estimate(Case(visit, index, sample, vocabulary, measures))
        for index, sample in enumerate(visit.samples)
    )


def _estimate(case: Case) -> Estimate:
    if _beyond_reason(case.sample):
        return case.withheld("A number in this sample is far too large to be right.")
    count = count_in(case.sample)
    if count and None not in count and (count.low or 0) > (count.high or 0):
        return case.withheld(f"The count runs backwards: from {count.low} to {count.high} mites.")
    match case.sample.method:
        case None:
            return stated_figure(case) or case.withheld("How the mites were counted is not said.")
        case "sticky_board":
            return _board(case, count)
        case "drone_uncapping":
            return _drone(case, count)
        case "visual":
            return _look(case, count)
        case jar:
            return _jar(case, jar, count)


def _jar(case: Case, method: Method, count: Count | None) -> Estimate:
    bees = bees_in(case.sample, case.vocabulary, case.measures)
    if count is None:
        return stated_figure(case) or case.withheld("The number of mites is not said.")
    if bees is None:
        return stated_figure(case) or case.withheld(
            "How many bees were in the jar is not said: a number, a volume or a weight will do."
        )
    if reason := _impossible(count, bees.number, "mites", "bees"):
        return case.withheld(reason)
    assumed = [] if bees.assumption is None else [bees.assumption]
    for row in case.measures.recovery:
        if method in row.methods:
            assumed.append(Assumption(text=row.cited.says, source=row.cited.reference))
    figure = share_of(PerHundredAdults, count, bees.number)
    truth, truth_steps = truth_of(case, method, count, bees)
    return _counted(
        case,
        method,
        count,
        figure,
        working=f"{count.of('mite', 'mites')} ÷ {bees.number} bees × 100",
        out_of=bees.number,
        more_steps=(*_if_other_bees(count, bees), *truth_steps),
        **truth,
        interval=BINOMIAL,
        denominator=bees.number,
        bees_known=bees.known,
        bees_low=bees.low,
        bees_high=bees.high,
        assumptions=tuple(assumed),
        warnings=comb_warnings(case.sample),
    )


def _if_other_bees(count: Count, bees: Bees) -> tuple[str, ...]:
    """What the figure would be at the ends of the range of bees, where they were assumed."""
    if not (bees.low and bees.high and count.most):
        return ()
    least, most = (plain(100 * count.most / number) for number in (bees.high, bees.low))
    return (f"with {about(bees.low)} to {about(bees.high)} bees it would be {most} to {least}",)


def _board(case: Case, count: Count | None) -> Estimate:
    days = case.sample.days
    if count is None:
        return stated_figure(case) or case.withheld("The number of mites on the board is not said.")
    if days is None:
        return stated_figure(case) or case.withheld("How many days the board lay is not said.")
    if days < SHORTEST_DAYS:
        return case.withheld("A board that lay no time says nothing: how many days was it?")
    kind, assumed, warnings = fall_of(case)
    return _counted(
        case,
        "sticky_board",
        count,
        rate_of(kind, count, days),
        working=f"{count.of('mite', 'mites')} ÷ {days:g} {'day' if days == 1 else 'days'}",
        interval=POISSON,
        denominator=days,
        assumptions=assumed,
        warnings=warnings,
    )


def _drone(case: Case, count: Count | None) -> Estimate:
    cells = case.sample.cells
    if count is None:
        return stated_figure(case) or case.withheld("How many cells held mites is not said.")
    if cells is None:
        return stated_figure(case) or case.withheld("How many cells were opened is not said.")
    if reason := _impossible(count, cells, "cells with mites", "opened cells"):
        return case.withheld(reason)
    return _counted(
        case,
        "drone_uncapping",
        count,
        share_of(PercentDroneCells, count, cells),
        working=f"{count.of('cell', 'cells')} with mites ÷ {cells} opened cells × 100",
        out_of=cells,
        interval=BINOMIAL,
        denominator=cells,
        assumptions=(CELLS,),
    )


def _look(case: Case, count: Count | None) -> Estimate:
    bees = case.sample.bees
    if count is None:
        return stated_figure(case) or case.withheld("The number of mites seen is not said.")
    if bees is None:
        return stated_figure(case) or case.withheld("How many bees were looked over is not said.")
    if reason := _impossible(count, bees, "mites", "bees"):
        return case.withheld(reason)
    figure = replace(share_of(SeenPerHundred, count, bees), low=None, high=None)
    return case.given(
        figure,
        kind="counted",
        numerator=count.exact,
        denominator=bees,
        bees_known="counted or stated",
        reads="low",
        warnings=(LOOK,),
        steps=(f"{count.of('mite', 'mites')} ÷ {bees} bees × 100 = {in_words(figure)}",),
    )


def _counted(
    case: Case,
    method: Method,
    count: Count,
    figure: Figure,
    *,
    working: str,
    out_of: int | None = None,
    more_steps: tuple[str, ...] = (),
    warnings: tuple[str, ...] = (),
    **rest: Any,
) -> Estimate:
    """The estimate from a count: what all methods share once their figure is worked out."""
    wrong = steps_gone_wrong(known_protocols()[method], case.visit, case.sample)
    reads = reading_of(wrong)
    if count.most == 0 and reads in ("low", "either"):
        return case.withheld(
            f"No mite was found, but {wrong[0].amiss}: that says nothing. Please sample again."
        )
    figure = only_sound_limits(figure, reads)
    if out_of is not None:
        rest |= score_limits_of(count, out_of, reads)
    doubled, doubled_step = doubled_for_brood(case, figure)
    steps = (f"{working} = {in_words(figure)}", limits_in_words(figure), *more_steps, doubled_step)
    return case.given(
        figure,
        kind="counted",
        numerator=count.exact,
        reads=reads,
        doubled=doubled,
        warnings=spoiled_warnings(wrong) + warnings,
        steps=tuple(step for step in steps if step),
        **rest,
    )


def _beyond_reason(sample: Sample) -> bool:
    numbers = (
        *(sample.mites, sample.mites_low, sample.mites_high, sample.mites_per_day),
        *(sample.bees, sample.bees_weight_g, sample.volume_ml, sample.rate_per_100),
        *(sample.days, sample.cells),
    )
    return any(number is not None and number > LARGEST for number in numbers)


def _impossible(count: Count, total: int, hits: str, of: str) -> str | None:
    """Why ``count`` out of ``total`` cannot be, in plain words; None if it can."""
    if total == 0:
        return f"No {of}: without any there is nothing to work out."
    if count.most > total:
        return f"More {hits} ({count.most}) than {of} ({total}): one of the two numbers is wrong."
    return None
