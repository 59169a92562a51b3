"""Did it work: percent reduction from counts before and after, with limits and what bears on it.

Counts of several colonies are pooled: mites and bees are added up before the percentage is taken.
The limits are the wider of two: those of counting alone with the doubt about the bees, and those
from how much the colonies differ among each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from ..binomial import LEVEL
from ..counts import plain
from ..dated import DatedCount
from ..student import t_beyond
from .ratios import Ratio, divided, ratio_of
from .rows import EfficacyRows, known_efficacy
from .windows import Course, Pair, too_early, unfit, window_warnings

FEW = 5
"""Colonies below which a pooled percentage is still called weak; a habit, without a source."""


@dataclass(frozen=True)
class Efficacy:
    """Percent reduction of the infestation, with 95 percent limits; or why there is none.

    Negative where there were more mites after. ``percent`` is None and ``at_least`` the lower
    limit where no mite was found after: that is never 100. ``formula`` says whether untreated
    colonies were allowed for. ``early``: the count after came too early, so the figure flatters.
    """

    formula: Literal["reduction", "abbott", "henderson_tilton"]
    colonies: int = 0
    percent: float | None = None
    low: float | None = None
    high: float | None = None
    at_least: float | None = None
    early: bool = False
    notes: tuple[str, ...] = ()
    withheld: str | None = None


def efficacy_of(
    pairs: Sequence[Pair],
    course: Course,
    untreated: Sequence[Pair] = (),
    *,
    rows: EfficacyRows | None = None,
) -> Efficacy:
    """The reduction over ``pairs``, by Henderson and Tilton where ``untreated`` pairs are given.

    Pairs that cannot be compared are set aside, each with its reason among the notes.
    """
    rows = rows or known_efficacy()
    fit, aside = _sorted(pairs, course)
    if not fit:
        reason = "; ".join(aside) or "No colony was counted before and after"
        return Efficacy("reduction", withheld=f"{reason}.")
    notes = tuple(f"Set aside: {reason}." for reason in aside)
    if not sum(pair.before.mites for pair in fit):
        return Efficacy(
            "reduction",
            len(fit),
            withheld="No mite was found before the treatment, so there is no percentage to tell.",
            notes=notes,
        )
    for pair in fit:
        notes += window_warnings(pair, course, rows)
    formula, ratio, more = _with_untreated(_pooled(fit), untreated, course)
    found = _percent(formula, ratio, len(fit))
    early = any(too_early(pair.after.day, course, rows) for pair in fit)
    notes += more + _how_much_it_proves(len(fit)) + _held_to_standard(found, course, rows)
    return replace(found, early=early, notes=found.notes + notes)


def abbott_of(treated: Sequence[DatedCount], untreated: Sequence[DatedCount]) -> Efficacy:
    """Abbott's efficacy from counts at one time, where nothing was counted before.

    All counts on one basis, by one method and from one comb, else it is withheld.
    """
    every = [*treated, *untreated]
    if not treated or not untreated:
        return Efficacy("abbott", withheld="It takes treated and untreated colonies.")
    if not all(one.counted_like(other) for one in every for other in every):
        return Efficacy("abbott", withheld="The colonies were not all counted in the same way.")
    if not sum(count.mites for count in untreated):
        return Efficacy("abbott", withheld="No mite was found in the untreated colonies.")
    found = _percent("abbott", _between(untreated, treated), len(treated))
    note = "Without counts before, this takes the colonies to have been alike before the treatment."
    return replace(found, notes=(*found.notes, note, *_how_much_it_proves(len(treated))))


def _sorted(pairs: Sequence[Pair], course: Course) -> tuple[list[Pair], list[str]]:
    """The pairs that can be compared with the first such pair, and why the others cannot."""
    fit: list[Pair] = []
    aside = []
    for pair in pairs:
        reason = unfit(pair, course)
        if reason is None and fit and not pair.before.counted_like(fit[0].before):
            reason = f"{pair.colony}: not counted in the same way as {fit[0].colony}"
        if reason is None:
            fit.append(pair)
        else:
            aside.append(reason)
    return fit, aside


def _with_untreated(
    ratio: Ratio, untreated: Sequence[Pair], course: Course
) -> tuple[Literal["reduction", "henderson_tilton"], Ratio, tuple[str, ...]]:
    alone = (
        "Without untreated colonies, what mites grew or died anyway meanwhile is not allowed for."
    )
    if not untreated:
        return "reduction", ratio, (alone,)
    fit, aside = _sorted(untreated, course)
    notes = tuple(f"Untreated set aside: {reason}." for reason in aside)
    if not any(p.before.mites for p in fit) or not any(p.after.mites for p in fit):
        none = "The untreated colonies had too few mites to compare with."
        return "reduction", ratio, (*notes, none, alone)
    return "henderson_tilton", divided(ratio, _pooled(fit)), notes


def _pooled(pairs: Sequence[Pair]) -> Ratio:
    """Infestation after over before, all colonies together; the wider limits on each side."""
    ratio = _between([pair.before for pair in pairs], [pair.after for pair in pairs])
    if len(pairs) < 2 or ratio.value in (0, math.inf):
        return ratio
    influences = [0.0] * len(pairs)
    for sign, counts in ((-1, [p.before for p in pairs]), (1, [p.after for p in pairs])):
        mites, out_of = sum(c.mites for c in counts), sum(c.exposure for c in counts)
        for place, count in enumerate(counts):
            influences[place] += sign * (count.mites / mites - count.exposure / out_of)
    number = len(pairs)
    sigma = math.sqrt(number / (number - 1) * sum(each * each for each in influences))
    reach = math.exp(t_beyond(LEVEL, number - 1) * sigma)
    return Ratio(
        ratio.value, min(ratio.low, ratio.value / reach), max(ratio.high, ratio.value * reach)
    )


def _between(under: Sequence[DatedCount], over: Sequence[DatedCount]) -> Ratio:
    """The pooled rate of ``over`` to that of ``under``, with the limits of counting and bees."""
    spread = math.hypot(_spread(under), _spread(over))
    return ratio_of(
        sum(count.mites for count in over),
        sum(count.exposure for count in over),
        sum(count.mites for count in under),
        sum(count.exposure for count in under),
        spread=spread,
    )


def _spread(counts: Sequence[DatedCount]) -> float:
    """The relative doubt about what the counts together are out of."""
    doubts = (count.exposure * count.spread for count in counts)
    return math.hypot(*doubts) / sum(count.exposure for count in counts)


def _percent(
    formula: Literal["reduction", "abbott", "henderson_tilton"], ratio: Ratio, colonies: int
) -> Efficacy:
    low = None if ratio.high == math.inf else 100 * (1 - ratio.high)
    if ratio.value > 0:
        high = 100 * (1 - ratio.low)
        return Efficacy(formula, colonies, percent=100 * (1 - ratio.value), low=low, high=high)
    if low is not None and low > 0:
        note = "No mite was found after: that means at least so much, never all."
        return Efficacy(formula, colonies, low=low, at_least=low, notes=(note,))
    reason = "No mite was found after, but so few before that this may be chance alone."
    return Efficacy(formula, colonies, withheld=reason)


def _how_much_it_proves(colonies: int) -> tuple[str, ...]:
    if colonies == 1:
        return ("One colony proves little: count others of the yard before and after too.",)
    if colonies < FEW:
        return (f"Only {colonies} colonies: more of them would tell more.",)
    return ()


def _held_to_standard(found: Efficacy, course: Course, rows: EfficacyRows) -> tuple[str, ...]:
    """What a low figure hints at, where it lies below the standard for the active ingredient."""
    standard = rows.standard_for(course.active)
    if standard is None or found.percent is None or found.high is None:
        return ()
    least = f"{standard.percent:g} %"
    if found.percent >= standard.percent:
        return ()
    if found.high >= standard.percent:
        return (
            f"Below {least}, which such a treatment should reach, but chance alone could do that "
            f"({standard.cited.reference}).",
        )
    why = (
        "That hints at mites that resist it, at a treatment that went wrong, or at mites carried "
        "in from other colonies. A substance of another kind, then a new count, tells them apart."
        if standard.kind == "synthetic"
        else "That hints at mites sheltered under cappings, at the weather or the dose, or at "
        "mites carried in from other colonies."
    )
    return (f"At best {plain(max(found.high, 0))} %, below {least}. {why} "
            f"({standard.cited.reference})",)  # fmt: skip
