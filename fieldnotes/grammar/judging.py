"""The one rule on when a step of a protocol counts as done.

The checklist and the estimate both ask here, so that they can never disagree about a spoiled
sample.
"""

from __future__ import annotations

from typing import NamedTuple

from ..records import Evidence, Sample, Visit
from .protocols import Outcome, Step


class Judged(NamedTuple):
    """What a sample says of one step, with the value and the evidence it rests on."""

    outcome: Outcome
    field: str | None = None
    value: object = None
    evidence: Evidence | None = None


def judge(step: Step, visit: Visit, sample: Sample) -> Judged:
    """Say whether ``step`` was done. What went wrong outweighs what is said to be done."""
    said = {s.outcome: s for s in reversed(sample.steps) if s.step == step.id}
    for outcome in ("spoiled", "skipped"):
        if told := said.get(outcome):
            return Judged(outcome, evidence=told.evidence.get("outcome"))
    judged = [
        Judged(proof.verdict(value), proof.field, value, holder.evidence.get(proof.field))
        for proof in step.proof
        for holder in (sample, visit)
        if (value := getattr(holder, proof.field, None)) is not None
    ]
    by_outcome = {found.outcome: found for found in reversed(judged)}
    for outcome in ("spoiled", "done", "outside", "skipped"):
        if outcome in by_outcome:
            return by_outcome[outcome]
    if told := said.get("done"):
        return Judged("done", evidence=told.evidence.get("outcome"))
    return Judged("not_said")
