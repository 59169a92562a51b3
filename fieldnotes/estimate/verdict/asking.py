"""Questions for advice, put only where the answer would change the verdict.

Each is found by trying the answers: brood now, a treatment in or just ended, supers on. A question
whose answers all lead to one verdict is not asked.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ...grammar.thresholds import Thresholds
from ...records import AskField, Question
from .records import Verdict
from .situation import Situation, TreatmentRun
from .treating import Conditions, treatments_now

Try = Callable[[Situation], Verdict]


def questions_of(situation: Situation, verdict: Verdict, judge: Try) -> tuple[Question, ...]:
    """The questions whose answers would change ``verdict``, in the order to ask them."""
    found = []
    if situation.brood == "not said" and _brood_matters(situation, judge):
        found.append(_question(situation, "other", "Is there worker brood now?", ("yes", "no")))
    if situation.treatments is None and _treatment_matters(situation, verdict, judge):
        text = "Is a treatment in, or did one end in the last three weeks?"
        found.append(_question(situation, "treatment", text, ("in now", "just ended", "none")))
    if situation.supers_on is None and verdict.says == "act" and _supers_matter(situation):
        found.append(_question(situation, "other", "Are honey supers on?", ("yes", "no")))
    return tuple(found)


def asked_of_place(situation: Situation, thresholds: Thresholds) -> Question:
    """Where the bees are: asked once, since it names the guideline."""
    places = {place[:2] for guideline in thresholds.guidelines for place in guideline.places}
    text = "In which country are the bees? Limits differ from place to place."
    return _question(situation, "other", text, tuple(sorted(places)))


def _brood_matters(situation: Situation, judge: Try) -> bool:
    answers = (situation.with_brood("none"), situation.with_brood("worker brood"))
    return len({judge(answer).says for answer in answers}) > 1


def _treatment_matters(situation: Situation, verdict: Verdict, judge: Try) -> bool:
    answers = (
        (TreatmentRun("unknown", ongoing=True),),
        (TreatmentRun("unknown", None, situation.day),),
    )
    says = {judge(replace(situation, treatments=runs)).says for runs in answers}
    return says != {verdict.says}


def _supers_matter(situation: Situation) -> bool:
    """Whether supers rule out a treatment that nothing else rules out."""
    brood = None if situation.brood == "not said" else situation.brood
    here = Conditions(temperature_c=situation.temperature_c, brood=brood)
    excluded = [
        {(each.active, each.form) for each in treatments_now(conditions) if each.excluded}
        for conditions in (replace(here, supers_on=True), replace(here, supers_on=False))
    ]
    return excluded[0] != excluded[1]


def _question(
    situation: Situation, field: AskField, text: str, options: tuple[str, ...]
) -> Question:
    return Question(
        colony=situation.colony,
        field=field,
        kind="missing",
        need="advice",
        text=text,
        options=options,
    )
