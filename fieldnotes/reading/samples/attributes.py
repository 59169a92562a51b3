"""Stage 10b: one value goes into one sample, or stays out, or makes a question."""

from __future__ import annotations

from ..binding import Bound, Candidate
from ..drafts import Doubt, Given, SampleDraft
from ..items import item_span, span_of
from .roles import role_of

FIELDS = {
    "volume": "volume_ml",
    "weight": "bees_weight_g",
    "sugar": "sugar_ml",
    "rest": "rest_s",
    "shake": "shake_s",
    "per_day": "mites_per_day",
}
"""Slots whose field of the record has another name."""

SURE = 3.0
"""Weight from which the words themselves say where the bees came from."""

BEFORE = 4.2
"""Weight from which the words say that the queen was looked for before the bees were taken."""

FEW = 20
"""Bees below which a number beside a larger one is no size of a sample."""


def give(bound: Bound, sample: SampleDraft, slot: str, c: Candidate) -> None:
    row = bound.row
    name = FIELDS.get(slot, slot)
    value = c.value
    spans = [span_of(row, c.first, c.last)] if c.k < 0 else [item_span(row.items[c.k])]
    item = row.items[c.k] if c.k >= 0 else None
    denied = "denied" in c.standing
    if slot in ("queen_checked", "returned"):
        # a denial within the words of a "did not look for her" is already in its value
        value = bool(value) and not denied
        if value and slot == "queen_checked" and sample.counts and c.weight < BEFORE:
            return  # found when the mites were counted: no search before the bees were taken
    elif denied and slot in (
        "source",
        "position",
        "volume",
        "bees",
        "rest",
        "shake",
        "source_unclear",
    ):
        return
    if slot == "volume" and c.weight < 4 and isinstance(value, float) and value > 700:
        return
    if (
        slot == "weight"
        and c.weight < 3
        and (
            item is None
            or not 5 <= item.value <= 150
            or not any("weight" in i.ids for i in row.items)
        )
    ):
        return
    if slot == "source_unclear":
        sample.doubts.append(Doubt("frame", "ambiguous", spans, ("brood", "super")))
        return
    if slot in ("bees", "cells") and item is not None:
        if item.kind == "frac":
            return
        if float(item.value) != int(item.value) or item.low is not None:
            if item.form.startswith("range") and slot == "bees":
                sample.doubts.append(Doubt("bees", "ambiguous", spans))
            if item.form not in ("over", "under"):
                return
        value = int(item.value)
    if slot in ("rest", "shake", "volume", "sugar") and item is not None and item.low is not None:
        if slot == "volume":
            sample.doubts.append(Doubt("volume", "ambiguous", spans))
        return
    if slot == "days" and item is not None:
        if item.low is not None and item.form.startswith("range"):
            sample.doubts.append(Doubt("days", "ambiguous", spans))
            return
        value = (
            c.value
            if item.kind == "day"
            else round(item.value / 86400, 4)
            if item.kind != "n"
            else item.value
        )
        if item.hedged and item.open:
            sample.doubts.append(Doubt("days", "ambiguous", spans, value=f"{value:g}"))
    if slot == "position" and isinstance(value, float):
        value = int(value)
    if slot == "rate_per_100" and item is not None and item.low is not None:
        return
    if slot == "sugar" and "sugar_ml" in sample.facts and sample.facts["sugar_ml"].value != value:
        before = sample.facts["sugar_ml"]
        if item is not None and role_of(row, item) == "add":
            before.value += value
            before.spans += spans
            return
    old = sample.facts.get(name)
    if old is None:
        sample.facts[name] = Given(value, spans, weight=c.weight, at=c.k if c.k >= 0 else c.first)
        return
    if old.value == value:
        old.spans.extend(spans)
        return
    role = (
        role_of(row, item)
        if item is not None
        else ("repair" if bound.repaired(old.at, c.first) else "count")
    )
    if role in ("repair", "total") or (
        slot in ("returned", "queen_checked") and c.weight >= old.weight
    ):
        sample.facts[name] = Given(value, spans, weight=c.weight, at=c.k)
    elif slot == "source" and old.weight < SURE <= c.weight:
        sample.facts[name] = Given(value, spans, weight=c.weight, at=c.first)
    elif slot == "bees" and min(old.value, value) < FEW <= max(old.value, value):
        # "320 bees ... one bee had crumpled wings"
        if value > old.value:
            sample.facts[name] = Given(value, spans, weight=c.weight, at=c.k)
    elif slot in ("source", "volume", "bees") and c.weight >= old.weight - 0.6:
        field = {"source": "frame", "volume": "volume", "bees": "volume"}[slot]
        if slot == "source" and {old.value, value} == {"brood", "drone_brood"}:
            return
        if slot == "volume" and c.weight < 4 and old.weight > 4:
            return
        sample.doubts.append(
            Doubt(
                field,
                "ambiguous" if slot == "source" else "conflict",
                old.spans + spans,
                (str(old.value), str(value)),
            )
        )
        old.weight = -1.0
    elif slot == "cells":
        # "fifty cells, four of them infested, that's four cells": the larger number was opened
        if value > old.value:
            sample.facts[name] = Given(value, spans, weight=c.weight, at=c.k)
    elif c.weight > old.weight:
        sample.facts[name] = Given(value, spans, weight=c.weight, at=c.k)
