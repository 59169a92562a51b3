"""Stage 10d: drafts become records, with the evidence mapped back to the original text."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ..grammar.protocols import StepWords
from ..records import Evidence, Fed, Sample, Sign, Span, StepSaid, Supers, Todo, Treatment, Visit
from .drafts import Given, SampleDraft, VisitDraft

Back = Callable[[Span], Span]


def evidence(given: Given, back: Back) -> Evidence:
    """The evidence of one fact, in offsets of the original note."""
    if given.declared:
        return Evidence(declared=given.declared, on=given.on)
    return Evidence(said=tuple(dict.fromkeys(back(s) for s in given.spans)))


def _fields(facts: dict[str, Given], back: Back) -> dict[str, Any]:
    out: dict[str, Any] = {name: given.value for name, given in facts.items()}
    out["evidence"] = {name: evidence(given, back) for name, given in facts.items()}
    return out


def _steps(draft: SampleDraft, words: tuple[StepWords, ...], back: Back) -> tuple[StepSaid, ...]:
    """The steps spoken of that belong to the sample's method; a miss outweighs a done."""
    method = draft.method
    weight = {"done": 0, "skipped": 1, "spoiled": 2}
    best: dict[str, tuple[str, Span]] = {}
    for index, outcome, span in draft.steps:
        step = words[index]
        if method not in step.methods:
            continue
        old = best.get(step.id)
        if old is None or weight[outcome] > weight[old[0]]:
            best[step.id] = (outcome, span)
    return tuple(
        StepSaid.model_validate(
            {
                "step": step,
                "outcome": outcome,
                "evidence": dict.fromkeys(("step", "outcome"), Evidence(said=(back(span),))),
            }
        )
        for step, (outcome, span) in best.items()
    )


def sample_record(
    draft: SampleDraft, text: str, words: tuple[StepWords, ...], back: Back
) -> Sample:
    """One sample as a record."""
    facts = {name: given for name, given in draft.facts.items() if given.weight >= 0}
    volume = facts.get("volume_ml")
    if volume is not None and not volume.declared:
        a, b = volume.spans[0]
        facts["volume_said"] = Given(text[a:b], volume.spans)
        volume.value = round(volume.value, 1)
    if "sugar_ml" in facts:
        facts["sugar_ml"].value = round(facts["sugar_ml"].value, 1)
    if "rate_per_100" in facts and "rate_basis" not in facts:
        facts["rate_basis"] = Given("not_said", facts["rate_per_100"].spans)
    fields = _fields(facts, back)
    if draft.steps:
        fields["steps"] = _steps(draft, words, back)
    return Sample.model_validate(fields)


def visit_record(draft: VisitDraft, text: str, words: tuple[StepWords, ...], back: Back) -> Visit:
    """One visit as a record."""
    fields = _fields({n: g for n, g in draft.facts.items() if g.weight >= 0}, back)
    if draft.samples:
        fields["samples"] = tuple(sample_record(s, text, words, back) for s in draft.samples)
    if draft.signs:
        fields["signs"] = tuple(
            Sign.model_validate(
                {
                    "sign": name,
                    "present": present,
                    "evidence": dict.fromkeys(("sign", "present"), Evidence(said=(back(span),))),
                }
            )
            for name, (present, span) in draft.signs.items()
        )
    for name, model, rows in (
        ("treatment", Treatment, draft.treatment), ("earlier", Treatment, draft.earlier),
        ("fed", Fed, draft.fed), ("todo", Todo, draft.todo),
    ):  # fmt: skip
        if rows:
            fields[name] = tuple(model.model_validate(_fields(row, back)) for row in rows)
    if draft.supers:
        moved = _fields(draft.supers, back)
        proofs = moved.pop("evidence")
        fields["evidence"] |= {f"supers.{name}": proof for name, proof in proofs.items()}
        fields["supers"] = Supers.model_validate(moved)
    return Visit.model_validate(fields)
