"""Stage 10b: segments become samples, and what their method has no place for is dropped."""

from __future__ import annotations

from collections.abc import Iterable

from ..drafts import Doubt, Given, SampleDraft
from ..items import Row, item_span
from .methods import JARS


def merge(segments: list[SampleDraft]) -> list[SampleDraft]:
    """Segments without a count join the counted one, or are dropped, or make a conflict."""
    for s in segments:
        settle_method(s)
    counted = [
        s
        for s in segments
        if s.counts or s.vague or "rate_per_100" in s.facts or "mites_per_day" in s.facts
    ]
    if not counted:
        if len(segments) > 1:
            first = segments[0]
            for s in segments[1:]:
                _join(first, s)
            return [first]
        return segments
    out = list(counted)
    for s in segments:
        if s in counted:
            continue
        home = min(counted, key=lambda c: abs(segments.index(c) - segments.index(s)))
        if s.method is not None:
            home = next((c for c in counted if c.method == s.method), home)
        _join(home, s)
    return out


def _join(home: SampleDraft, other: SampleDraft) -> None:
    mine, theirs = home.facts.get("method"), other.facts.get("method")
    if mine and theirs and mine.value != theirs.value:
        if {mine.value, theirs.value} <= JARS:
            home.doubts.append(
                Doubt(
                    "method",
                    "conflict",
                    mine.spans + theirs.spans,
                    (str(mine.value), str(theirs.value)),
                )
            )
            mine.weight = -1.0
        elif theirs.value in ("sticky_board", "drone_uncapping", "visual"):
            other.facts = {
                k: v for k, v in other.facts.items() if k not in ("method", "days", "cells")
            }
    for name, given in other.facts.items():
        home.facts.setdefault(name, given)
    home.steps += other.steps
    home.doubts += other.doubts
    home.wash = home.wash or other.wash
    home.roll = home.roll or other.roll
    home.sugar_words = home.sugar_words or other.sugar_words


FEW_BEES = 20
"""Bees below which a number beside a measure of bees counts some of them: "one did not wake"."""

_OF_SUGARED_BEES = frozenset({"shake_s", "rest_s", "sugar_ml", "volume_ml", "source", "bees"})
"""Facts beside which sugar is what the bees were rolled in, and no feed."""


def settle_method(s: SampleDraft) -> None:
    if "method" in s.facts:
        return
    if s.wash is not None:
        s.doubts.append(Doubt("method", "ambiguous", [s.wash], ("alcohol", "soap")))
    elif (s.roll or s.counts or s.zeros or s.vague or s.facts.keys() & _OF_SUGARED_BEES) and (
        s.sugar_words is not None or "sugar_ml" in s.facts
    ):
        proof = s.sugar_words or s.facts["sugar_ml"].spans[0]
        s.facts["method"] = Given("sugar", [proof])


_TOLD_OF_EACH = ("volume_ml", "bees", "source")


def share_each(row: Row, samples: list[SampleDraft]) -> None:
    """What was taken "each time", or from "the same" frame, holds for all jars of one place."""
    jars = [s for s in samples if s.method in JARS]
    for sample in jars:
        for name in _TOLD_OF_EACH:
            given = sample.facts.get(name)
            if given is None or not _of_each(row, given.at):
                continue
            for other in jars:
                if other is not sample:
                    other.facts.setdefault(
                        name,
                        Given(given.value, list(given.spans), weight=given.weight, at=given.at),
                    )


def _of_each(row: Row, k: int) -> bool:
    if not 0 <= k < len(row.items):
        return False
    item, each = row.items[k], row.grammar.samples.each
    after = row.words[item.j : item.j + 3]
    led = row.words[max(0, item.i - 1) : item.j]
    return any(
        after[: len(words)] == words for words in (phrase.split() for phrase in each.after)
    ) or any(word in each.before for word in led)


_DRONES = frozenset({"drone_brood", "method.drone", "drone", "active.drone_removal"})
"""Terms that name drone brood, if their words speak of drones at all ("fork test" does not)."""


def of_drones(row: Row, sample: SampleDraft, places: Iterable[int]) -> None:
    """Cells uncapped are of drone brood where the items ``places`` speak of it."""
    proof = next(
        (
            item_span(row.items[k])
            for k in sorted(places)
            if row.items[k].ids & _DRONES and "drone" in row.items[k].word
        ),
        None,
    )
    if proof:
        sample.facts["source"] = Given("drone_brood", [proof])


def drop_foreign(row: Row, sample: SampleDraft, mine: set[int]) -> None:
    """Drop what the method has no place for; drone cells are drone brood."""
    method = sample.method
    if method == "sticky_board":
        for name in (
            "bees",
            "volume_ml",
            "source",
            "position",
            "sugar_ml",
            "rest_s",
            "shake_s",
            "queen_checked",
            "returned",
            "cells",
        ):
            sample.facts.pop(name, None)
        sample.doubts = [d for d in sample.doubts if d.field not in ("volume", "bees", "frame")]
    elif method == "drone_uncapping":
        for name in ("bees", "volume_ml", "position", "days", "source"):
            sample.facts.pop(name, None)
        sample.doubts = [d for d in sample.doubts if d.field not in ("volume", "bees", "frame")]
        of_drones(row, sample, mine)
    elif method is not None:
        sample.facts.pop("days", None)
        sample.facts.pop("cells", None)
    bees = sample.facts.get("bees")
    if bees and bees.value < FEW_BEES and sample.facts.keys() & {"volume_ml", "bees_weight_g"}:
        del sample.facts["bees"]
