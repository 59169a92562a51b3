"""The likely range of the true infestation, with the doubt about bees and recovery in it."""

from __future__ import annotations

from typing import Any

from ..grammar.protocols import Reads, known_protocols
from ..records import Method
from .basis import PerHundredAdults
from .binomial import LEVEL
from .brood import with_brood_of
from .case import Case
from .cautions import reading_of, steps_gone_wrong
from .counts import Count, limits_in_words, only_sound_limits
from .exposure import Exposure, exposure_of
from .measures import Bees
from .posterior import Posterior, Spread, product
from .records import Estimate, Likely, Unseen
from .unseen import chance_in_jar, most_when_none

_HOW = {
    "counted": "counted bees",
    "weighed": "weighed bees",
    "own cup": "bees by your own cup",
    "volume": "bees by volume",
    "assumed": "bees that are assumed",
}


def truth_of(
    case: Case, method: Method, count: Count, bees: Bees
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """All that a jar says beyond its plain figure, by field of the estimate, and as steps."""
    wrong = steps_gone_wrong(known_protocols()[method], case.visit, case.sample)
    likely = likely_of(case, method, count, bees, reading_of(wrong))
    fields: dict[str, Any] = {"likely": likely}
    steps = [likely_in_words(likely)]
    if count.exact == 0:
        fields["none_most"] = most_when_none(bees.number)
        fields["unseen"] = unseen = unseen_of(case, likely)
        steps.append(unseen_in_words(unseen))
    if with_brood := with_brood_of(case.visit, case.sample, likely, case.measures):
        fields["with_brood"] = with_brood[0]
        steps.append(with_brood[1])
    return fields, tuple(step for step in steps if step)


def likely_of(case: Case, method: Method, count: Count, bees: Bees, reads: Reads | None) -> Likely:
    """The range that holds the true mites per 100 bees with 95 percent, and what went into it.

    A range of counts gives the lower limit of its low end and the upper limit of its high end.
    ``reads`` takes away the limits that a sample gone wrong cannot give.
    """
    exposure = exposure_of(case.sample, method, bees, case.measures)
    whole = exposure.whole
    low = None if count.low is None else Posterior(count.low, whole).limits()[0]
    high = None if count.high is None else Posterior(count.high, whole).limits()[1]
    found = exposure.recovery
    middle = None if count.exact is None else _corrected(count.exact, bees, found)
    figure = only_sound_limits(PerHundredAdults(value=middle, low=low, high=high), reads)
    return Likely(
        basis=figure.basis,
        value=figure.value,
        low=figure.low,
        high=figure.high,
        level=LEVEL,
        bees=exposure.bees.mean,
        bees_spread=100 * exposure.bees.cv,
        bees_how=exposure.how,
        recovery=None if found is None else found.mean,
        recovery_spread=None if found is None else found.mean * found.cv,
        clumping_spread=exposure.clumping.cv,
        note=_note(exposure),
        source="; ".join(cited.reference for cited in exposure.cited),
    )


def _corrected(mites: int, bees: Bees, found: Spread | None) -> float:
    """Mites per 100 bees, divided by the recovery where one is known (BEEBOOK 4.2.3.1.2.4)."""
    return 100 * mites / bees.number / (found.mean if found else 1)


def _note(exposure: Exposure) -> str:
    cv = exposure.bees.cv
    bees = f"{_HOW[exposure.how]} " + (f"± {100 * cv:.0f} %" if cv else "taken as exact")
    if exposure.recovery is None:
        return f"{bees}; no source read says how many mites stay on the bees"
    mean, spread = exposure.recovery
    return f"{bees}; {100 * mean:.0f} ± {100 * mean * spread:.0f} % of the mites found"


def likely_in_words(likely: Likely) -> str | None:
    """The likely range in a line, or None if no limit is left."""
    figure = likely.figure
    if figure is None or (words := limits_in_words(figure)) is None:
        return None
    return f"likely range, 95 %: {words.partition(': ')[2]} ({likely.note})"


def unseen_of(case: Case, likely: Likely) -> tuple[Unseen, ...]:
    """How often a jar like this shows no mite at the infestations that the measures list."""
    exposure = _exposure(likely)
    return tuple(
        Unseen(per_100=rate, chance=chance_in_jar(exposure, rate))
        for rate in case.measures.none_found.per_100
    )


def unseen_in_words(unseen: tuple[Unseen, ...]) -> str:
    """The chances in a line."""
    parts = ", ".join(f"{_percent(each.chance)} at {each.per_100:g}" for each in unseen)
    return f"chance that such a jar shows no mite: {parts} per 100"


def _percent(chance: float) -> str:
    return f"{100 * chance:.0f} %" if chance >= 0.01 else "under 1 %"


def posterior_of(estimate: Estimate, *, as_read: bool = False) -> Posterior | None:
    """What a jar says of its colony as a distribution, for the chance to lie above a level.

    In mites per 100 adult bees, undoubled. ``as_read`` leaves the recovery out, for limits that
    were made on counts as the method reads them. None where there is no single count of a jar, or
    where a step went wrong, so that the count says less than the arithmetic.
    """
    likely, mites = estimate.likely, estimate.numerator
    if likely is None or mites is None or estimate.reads is not None:
        return None
    return Posterior(mites, _exposure(likely, as_read=as_read))


def _exposure(likely: Likely, *, as_read: bool = False) -> Spread:
    bees = Spread(likely.bees, likely.bees_spread / 100)
    clumping = Spread(1.0, likely.clumping_spread)
    if as_read or likely.recovery is None or likely.recovery_spread is None:
        return product(bees, clumping)
    found = Spread(likely.recovery, likely.recovery_spread / likely.recovery)
    return product(bees, found, clumping)
