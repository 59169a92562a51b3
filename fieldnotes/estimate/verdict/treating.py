"""What speaks against each treatment now. The data may only exclude; nothing is ever allowed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ...grammar.seasons import Brood
from ...grammar.treatments import ASKED, Aspect, Rule, TreatmentRow, known_treatments
from ...records import Active, Record


@dataclass(frozen=True)
class Conditions:
    """The colony and the day, as far as known; the warmth is the day's high in degrees Celsius."""

    supers_on: bool | None = None
    temperature_c: float | None = None
    brood: Brood | None = None
    bees: int | None = None


class Against(Record):
    """One thing that speaks against a treatment, or is not known of it.

    ``excluded``: do not use it now. ``limited``: what it does not reach. ``warning``: to weigh.
    ``not known``: no source read says anything, or it hangs on something that is not known here.
    """

    kind: Literal["excluded", "limited", "warning", "not known"]
    aspect: Aspect
    text: str
    source: str
    year: int | Literal["undated"]


class TreatmentNow(Record):
    """One way of giving one active ingredient, with all that speaks against it and its cautions."""

    active: Active
    name: str
    form: str
    against: tuple[Against, ...]
    cautions: tuple[str, ...]

    @property
    def excluded(self) -> bool:
        """Whether a source that was read rules it out now. The opposite is no permission."""
        return any(each.kind == "excluded" for each in self.against)


def treatments_now(
    conditions: Conditions, rows: Mapping[Active, TreatmentRow] | None = None
) -> tuple[TreatmentNow, ...]:
    """For each active ingredient and form, what the sources exclude under ``conditions``."""
    return tuple(
        TreatmentNow(
            active=row.active,
            name=row.name,
            form=form,
            against=_against(row, form, conditions),
            cautions=tuple(caution.says for caution in row.caution),
        )
        for row in (known_treatments() if rows is None else rows).values()
        for form in row.forms
    )


def _against(row: TreatmentRow, form: str, conditions: Conditions) -> tuple[Against, ...]:
    rules = row.rules(form)
    found = [each for rule in rules if (each := _of_rule(rule, conditions)) is not None]
    read = {rule.aspect for rule in rules if rule.known}
    recalled = {rule.aspect for rule in rules}
    for aspect in ASKED:
        if aspect not in read | recalled:
            text = f"{aspect}: not known; the label decides"
            found.append(
                Against(
                    kind="not known", aspect=aspect, text=text, source="no source", year="undated"
                )
            )
    return tuple(found)


def _of_rule(rule: Rule, conditions: Conditions) -> Against | None:
    """What the rule says here; None where its condition is known not to hold."""
    holds = _holds(rule, conditions)
    if not rule.known:  # recalled only: it may not decide, whether its condition holds or not
        text = f"not known; recalled, not confirmed: {rule.cited.says}"
        return _said(rule, "not known", text)
    if holds is False:
        return None
    if holds is None:
        text = f"not known here, and it matters: {rule.cited.says}"
        return _said(rule, "not known", text)
    match rule.does:
        case "excludes":
            return _said(rule, "excluded", rule.cited.says)
        case "limits":
            return _said(rule, "limited", rule.cited.says)
        case _:
            return _said(rule, "warning", rule.cited.says)


def _said(
    rule: Rule, kind: Literal["excluded", "limited", "warning", "not known"], text: str
) -> Against:
    return Against(
        kind=kind, aspect=rule.aspect, text=text, source=rule.cited.reference, year=rule.year
    )


def _holds(rule: Rule, conditions: Conditions) -> bool | None:
    match rule.aspect:
        case "supers":
            return conditions.supers_on
        case "temperature":
            warmth = conditions.temperature_c
            if warmth is None:
                return None
            cold = rule.below_c is not None and warmth < rule.below_c
            return cold or (rule.above_c is not None and warmth > rule.above_c)
        case "brood":
            return None if conditions.brood is None else conditions.brood == "worker brood"
        case "strength":
            if conditions.bees is None or rule.bees is None:
                return None
            return conditions.bees < rule.bees
        case _:
            return True
