"""Holds a sample against its method's protocol: what was done, went wrong or is unsaid.

A step that a note does not mention is not held against the keeper: it is listed as not said. Only
what is said to have gone wrong, or falls short of what the sources ask, counts as amiss.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..grammar.judging import Judged, judge
from ..grammar.protocols import Guideline, Protocol, Step, known_protocols
from ..records import Method, Sample, Visit
from .records import CheckItem, Checklist

_UNITS = {
    "rest_s": "s", "shake_s": "s", "sugar_ml": "mL", "volume_ml": "mL", "bees_weight_g": "g",
    "days": "days", "bees": "bees", "cells": "cells", "frames_brood": "frames",
}  # fmt: skip


def check(
    visit: Visit,
    sample: Sample,
    protocols: Mapping[Method, Protocol] | None = None,
    *,
    guideline: Guideline = "brood_comb",
) -> Checklist | None:
    """The checklist of ``sample``, one of ``visit``; None where its method is not known.

    ``protocols`` defaults to those that come with the program. ``guideline`` says whose advice on
    the comb is followed: bees from the brood nest, or from honey comb or super.
    """
    protocols = known_protocols() if protocols is None else protocols
    protocol = None if sample.method is None else protocols.get(sample.method)
    if protocol is None:
        return None
    steps = protocol.steps(guideline)
    judged = [(step, judge(step, visit, sample)) for step in steps]
    return Checklist(
        colony=visit.colony,
        date=visit.date,
        sample=_place(visit, sample),
        method=protocol.method,
        name=protocol.name,
        guideline=guideline if any(step.guideline for step in steps) else None,
        items=tuple(_item(step, found) for step, found in judged),
        warnings=tuple(
            text for step, found in judged if (text := _warning(step, found, visit, sample))
        ),
        cautions=tuple(caution.says for caution in protocol.caution),
    )


def check_visit(
    visit: Visit,
    protocols: Mapping[Method, Protocol] | None = None,
    *,
    guideline: Guideline = "brood_comb",
) -> tuple[Checklist, ...]:
    """The checklists of all samples of ``visit`` whose method is known."""
    checked = (check(visit, sample, protocols, guideline=guideline) for sample in visit.samples)
    return tuple(checklist for checklist in checked if checklist is not None)


def _item(step: Step, found: Judged) -> CheckItem:
    amiss = found.outcome in ("outside", "skipped", "spoiled")
    short = amiss and isinstance(found.value, int | float) and not isinstance(found.value, bool)
    return CheckItem(
        step=step.id,
        text=step.text,
        outcome=found.outcome,
        miss=step.miss,
        optional=step.optional,
        reason=step.reason,
        amiss=step.amiss if amiss else None,
        said=_said(found),
        asked=tuple(f"{cited.says} ({cited.reference})" for cited in step.cited) if short else (),
        evidence=found.evidence,
    )


def _said(found: Judged) -> str | None:
    """The value that decided, in words: ``10 s``; what is only yes or no needs none."""
    if found.field is None or isinstance(found.value, bool):
        return None
    value = f"{found.value:g}" if isinstance(found.value, float) else str(found.value)
    unit = _UNITS.get(found.field, "")
    if value == "1" and len(unit) > 2:
        unit = unit.removesuffix("s")
    return f"{value} {unit}".rstrip().replace("_", " ")


def _warning(step: Step, found: Judged, visit: Visit, sample: Sample) -> str | None:
    """What the keeper should do about a step that was missed, unless the note settles it."""
    if step.warning is None or found.outcome not in ("skipped", "spoiled"):
        return None
    settles = step.warning.unless
    if settles and any(getattr(holder, settles, None) is True for holder in (visit, sample)):
        return None
    return step.warning.text


def _place(visit: Visit, sample: Sample) -> int:
    """The place of ``sample`` in the visit, by identity before equality; 0 if it is not there."""
    for index, other in enumerate(visit.samples):
        if other is sample:
            return index
    return visit.samples.index(sample) if sample in visit.samples else 0
