"""The slots that a rule or a table's column may fill, held against the fields of the records."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from pydantic import TypeAdapter, ValidationError

from ..records import Sample, Supers, Visit

_FIELDS: Final = {
    **{name: (kind, name) for kind in (Visit, Sample) for name in kind.model_fields},
    "cells": (Sample, "cells"),
    "infested": (Sample, "mites"),
    "mites_zero": (Sample, "mites"),
    "source_unclear": (Sample, "source"),
    "per_day": (Sample, "mites_per_day"),
    "rest": (Sample, "rest_s"),
    "shake": (Sample, "shake_s"),
    "sugar": (Sample, "sugar_ml"),
    "volume": (Sample, "volume_ml"),
    "weight": (Sample, "bees_weight_g"),
    "drone_brood_seen": (Visit, "drone_brood"),
    "hive_weight": (Visit, "hive_weight_kg"),
    "weather": (Visit, "weather_c"),
    "temper_calm": (Visit, "temper"),
    "temper_nervous": (Visit, "temper"),
    "temper_defensive": (Visit, "temper"),
    "supers_added": (Supers, "added"),
    "supers_back": (Supers, "on"),
    "supers_on": (Supers, "on"),
    "supers_removed": (Supers, "removed"),
}
"""Slot -> the record and the field that its value ends in."""

_FLAGS: Final = frozenset({"bias", "drone_removal", "mites_unsure", "mites_vague"})
"""Slots that say something of other slots."""

_ROLES: Final = frozenset(
    {"fed_amount", "not_duration", "not_fact", "not_mass", "not_rate", "not_volume"}
)
"""Slots that take a number away from the others."""

SLOTS: Final = frozenset(_FIELDS) | _FLAGS | _ROLES

COLUMNS: Final = SLOTS | {
    "", "colony", "count", "date", "end", "in", "out", "queen", "rate", "yard",
}  # fmt: skip
"""What a table's column may hold; "" is free text."""


def fixed_value(slot: str, value: Any) -> Any:
    """Return ``value`` if the field behind ``slot`` may have it, else raise ``ValueError``."""
    if slot in _FLAGS:
        if value is not True:
            raise ValueError(f"{slot} can only be true")
    elif slot in _FIELDS:
        try:
            _field(slot).validate_python(value, strict=True)
        except ValidationError:
            raise ValueError(f"{slot} can never be {value!r}") from None
    return value


@cache
def _field(slot: str) -> TypeAdapter[Any]:
    record, name = _FIELDS[slot]
    kind: Any = record.model_fields[name].annotation
    return TypeAdapter(kind)
