"""What a keeper must know beside the figure: steps gone wrong, the comb, treatments, brood."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from ..grammar.judging import judge
from ..grammar.protocols import Protocol, Reads, Step
from ..records import Sample, Treatment, Visit

CALDERONE_1998 = "Calderone NW, Turcotte RM (1998) Journal of Economic Entomology 91(4):851-863"
KRAUS_1986 = "Kraus et al. (1986), as summarised in a trade journal (2016)"

_OFF_BROOD = {
    "honey": "Bees over honey carry about half the mites of bees over brood "
    f"({CALDERONE_1998}): set this only against limits made for honey combs.",
    "super": "Bees from the super carry about half the mites of bees over brood "
    f"({CALDERONE_1998}): set this only against limits made for honey combs.",
    "entrance": "Mites keep to nurse bees, and bees at the entrance are mostly older "
    f"({KRAUS_1986}): against limits for brood combs this likely reads low.",
    "pollen": "Bees from a pollen comb are not nurse bees over brood: against limits for brood "
    "combs this may read low (common practice, no source).",
}


def steps_gone_wrong(protocol: Protocol, visit: Visit, sample: Sample) -> tuple[Step, ...]:
    """The steps that were missed or failed in a way that spoils the count."""
    return tuple(
        step
        for step in protocol.step
        if step.miss == "spoils" and judge(step, visit, sample).outcome in ("skipped", "spoiled")
    )


def reading_of(steps: Sequence[Step]) -> Reads | None:
    """Which way a figure errs when all of ``steps`` went wrong together."""
    ways: set[Reads] = {step.reads for step in steps if step.reads is not None}
    return ways.pop() if len(ways) == 1 else "either" if ways else None


def spoiled_warnings(steps: Sequence[Step]) -> tuple[str, ...]:
    """One sentence a step: which way the figure likely errs, and why."""
    likely = {"low": "Likely reads low", "high": "Likely reads high", "either": "Unreliable"}
    return tuple(f"{likely[step.reads or 'either']}: {step.amiss}." for step in steps)


def comb_warnings(sample: Sample) -> tuple[str, ...]:
    """What the place that the bees came from means for the figure, if it was not a brood comb."""
    warning = _OFF_BROOD.get(sample.source or "")
    return () if warning is None else (warning,)


def on_treatment(visit: Visit) -> Literal["at work", "that day"] | None:
    """Whether a treatment is on record that makes mites fall: at work before, or put on that day.

    Drone removal and brood breaks shake no mites loose, and a plan has not happened.
    """
    actions = {t.action for t in visit.treatment if _loosens_mites(t)}
    if actions & {"ongoing", "end"}:
        return "at work"
    return "that day" if actions & {"start", "once"} else None


def _loosens_mites(treatment: Treatment) -> bool:
    return treatment.active not in ("drone_removal", "brood_break")


def worker_brood_on_record(visit: Visit) -> bool:
    """Whether the note shows worker brood, so that mites can be under cappings.

    What laying workers leave is drone brood; brood without cappings hides no mites yet.
    """
    if visit.broodless or visit.capped_brood is False or visit.queen_status == "laying_workers":
        return False
    return bool(visit.capped_brood or visit.eggs or visit.larvae or (visit.frames_brood or 0) > 0)
