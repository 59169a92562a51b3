"""A visit as one flat table, and how it compares with what a phrase should say."""

from __future__ import annotations

from typing import Any

from fieldnotes.records import Reading, Sample, Visit
from tests.accuracy.score import same

_LISTS = {"samples", "signs", "treatment", "earlier", "fed", "supers", "todo", "events"}
_IF_ASKED = {
    "colony", "volume_said", "fall", "queen_status", "queen_mark", "queen_clipped", "broodless",
    "drone_brood", "queen_cell_kind", "queen_cups", "excluder", "hive_weight_kg", "rate_basis",
    "mites_low", "mites_high", "rate_per_100", "mites_per_day",
}  # fmt: skip
"""Fields that a phrase says beside the matter; they count only where the example has them."""


def compare(reading: Reading, text: str, row: dict[str, Any]) -> None:
    """Fail, with the phrase, unless a reading says and asks exactly what ``row`` expects.

    The numbers left over are compared where the row names them.
    """
    expect: list[dict[str, Any]] = row["expect"]
    if isinstance(expect, dict):
        expect = [expect]
    keys = {key for visit in expect for key in visit}
    found = [told(visit, keys) for visit in reading.visits]
    right = len(found) == len(expect) and all(map(_alike, found, expect))
    assert right, f"{text!r} says {found}, not {expect}"
    if "unread" in row:
        left = [number.text for number in reading.unread]
        assert left == row["unread"], f"{text!r} leaves {left} unread, not {row['unread']}"
    if expect:  # what is no note may be asked about, or not
        asked = {f"{question.field} {question.kind}" for question in reading.questions}
        asks = set(row.get("asks", ()))
        assert asked == asks, f"{text!r} asks {sorted(asked)}, not {sorted(asks)}"


def _alike(found: dict[str, Any], expect: dict[str, Any]) -> bool:
    return found.keys() == expect.keys() and all(
        value == found[key] or (not isinstance(value, dict | list) and same(key, found[key], value))
        for key, value in expect.items()
    )


def told(visit: Visit, asked: set[str]) -> dict[str, Any]:
    """The fields that a visit says, with its one sample among them, and its lists by their names.

    ``treatment`` is {active: action}, ``signs`` {sign: present}, ``fed`` and ``events`` names,
    ``due`` the days of chores. ``earlier``, ``events``, ``todo`` (its words) and ``steps`` are
    there only if ``asked``.
    """
    found = {key: value for key, value in visit if key not in _LISTS | {"evidence"}}
    if len(visit.samples) == 1:
        found |= _sample(visit.samples[0])
    elif visit.samples:
        found["samples"] = [_plain(_sample(sample), asked) for sample in visit.samples]
    found |= {
        "signs": {sign.sign: sign.present for sign in visit.signs},
        "treatment": {each.active: each.action for each in visit.treatment},
        "fed": [feed.what for feed in visit.fed],
        "supers": visit.supers.model_dump() if visit.supers else {},
        "due": [str(todo.due) for todo in visit.todo if todo.due],
    }
    if "earlier" in asked:
        found["earlier"] = {each.active: each.action for each in visit.earlier}
    if "events" in asked:
        found["events"] = [event.event for event in visit.events]
    return _plain(found, asked)


def _sample(sample: Sample) -> dict[str, Any]:
    found = {key: value for key, value in sample if key not in ("evidence", "steps")}
    return found | {"steps": {step.step: step.outcome for step in sample.steps}}


def _plain(found: dict[str, Any], asked: set[str]) -> dict[str, Any]:
    """Without what is not said or not asked for, days as words."""
    hidden = (_IF_ASKED | {"steps"}) - asked
    return {
        key: str(value) if key == "date" else value
        for key, value in found.items()
        if value not in (None, (), [], {}) and key not in hidden
    }
