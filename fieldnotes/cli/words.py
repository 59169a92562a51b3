"""The record in words: one row for each fact, with what proves it."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain

from ..records import Evidence, Fact, Sample, Span, Supers, Treatment, Visit
from .safe import one_line

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip

METHODS = {
    "sugar": "sugar roll",
    "alcohol": "alcohol wash",
    "soap": "soap wash",
    "co2": "carbon dioxide",
    "ether": "ether roll",
    "drone_uncapping": "drone cells uncapped",
    "sticky_board": "sticky board",
    "visual": "look at the bees",
}
_SOURCES = {
    "brood": "brood frame",
    "honey": "honey frame",
    "pollen": "pollen frame",
    "entrance": "entrance",
    "super": "super",
    "drone_brood": "drone brood",
}
_FALLS = {
    "natural": "natural fall",
    "during_treatment": "during a treatment",
    "after_treatment": "after a treatment",
}
_BASES = {
    "adult_bees": "of adult bees",
    "doubled": "doubled for the brood",
    "not_said": "of what, is not said",
}
_ACTIONS = {
    "start": "started",
    "ongoing": "going on",
    "end": "ended",
    "planned": "planned",
    "once": "given once",
}
_LABELS = {
    "bees_weight_g": "weight of bees",
    "capped_brood": "capped brood",
    "drone_brood": "drone brood",
    "frames_bees": "frames of bees",
    "frames_brood": "frames of brood",
    "frames_stores": "frames of stores",
    "hive_weight_kg": "hive weight",
    "mites_per_day": "mites a day",
    "queen_cell_kind": "kind of cells",
    "queen_cells": "queen cells",
    "queen_checked": "queen looked for",
    "queen_clipped": "queen clipped",
    "queen_cups": "queen cups",
    "queen_mark": "queen's mark",
    "queen_seen": "queen seen",
    "queen_status": "queen",
    "rate_basis": "rate counts",
    "rate_per_100": "mites per 100",
    "rest_s": "rested",
    "returned": "bees put back",
    "shake_s": "shaken",
    "source": "bees from",
    "sugar_ml": "sugar",
    "volume_ml": "amount of bees",
    "weather_c": "weather",
}
_UNITS = {
    "bees_weight_g": "g",
    "volume_ml": "mL",
    "sugar_ml": "mL",
    "hive_weight_kg": "kg",
    "weather_c": "°C",
}
_WORDS = {
    "method": METHODS,
    "source": _SOURCES,
    "fall": _FALLS,
    "rate_basis": _BASES,
}
_WHEN = ("yard", "date", "time")
# All other fields, so that one added to the records is shown without a change here.
_OF_THE_COLONY = tuple(
    name
    for name in Visit.model_fields
    if name not in Visit.PARTS and name not in ("colony", *_WHEN)
)
_OF_THE_SAMPLE = tuple(
    name
    for name in Sample.model_fields
    if name not in Sample.PARTS
    and name not in ("method", "mites", "mites_low", "mites_high", "volume_said")
)
OBSERVED = "Seen and done"
_LONGEST_QUOTE = 60  # characters
_WINDOW = 40  # characters


@dataclass(frozen=True)
class Row:
    """One fact: what it is of (empty for the colony itself), its name, value and proof."""

    part: str
    label: str
    value: str
    quotes: tuple[str, ...] = ()
    declared: str = ""

    @property
    def proof(self) -> str:
        """Where the fact comes from, in one phrase: quoted words, a declaration, an answer."""
        said = " … ".join(f"“{quote}”" for quote in self.quotes)
        if len(self.quotes) == 1 and len(said) > 30 and self.quotes[0] in self.value:
            said = "as said"  # the same long words side by side would only be hard to read
        return "; ".join(part for part in (said, self.declared) if part)


def day_in_words(day: dt.date, *, short: bool = False) -> str:
    """Return a day as "14 July 2026", which no one reads the wrong way round."""
    month = _MONTHS[day.month - 1]
    return f"{day.day} {month[:3] if short else month} {day.year}"


def colony_in_words(colony: str | None) -> str:
    """Return how a colony is spoken of in a heading."""
    if colony is None:
        return "Colony not named"
    name = one_line(colony)
    # "the nuc" and "Colony B" are whole names already; "7" and "Willow 3" are not.
    whole = name.casefold().startswith(("the ", "colony", "hive"))
    return name[:1].upper() + name[1:] if whole else f"Colony {name}"


def number(value: float) -> str:
    """Return a number with no more digits than it needs."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value != int(value) else str(int(value))


def seconds(value: float) -> str:
    """Return a length of time in seconds or minutes."""
    minutes, rest = divmod(value, 60)
    if minutes and not rest:
        return f"{number(minutes)} min"
    return f"{number(minutes)} min {number(rest)} s" if minutes else f"{number(rest)} s"


def rows(visit: Visit, text: str) -> list[Row]:
    """Return all facts of a visit: where and when, the samples, then what was seen and done."""
    return [
        *_field_rows(visit, _WHEN, text, part=""),
        *_sample_rows(visit.samples, text),
        *_field_rows(visit, _OF_THE_COLONY, text, part=OBSERVED),
        *_observed_rows(visit, text),
    ]


def _field_rows(fact: Fact, names: Iterable[str], text: str, *, part: str) -> Iterator[Row]:
    for name in names:
        if getattr(fact, name) is not None:
            yield _field_row(fact, name, text, part=part)


def _observed_rows(visit: Visit, text: str) -> Iterator[Row]:
    for sign in visit.signs:
        seen = "seen" if sign.present else "not seen"
        sure = f", {sign.certainty}" if sign.certainty else ""
        yield _whole_row(sign, "sign", f"{_plain(sign.sign)}, {seen}{sure}", text)
    for label, given in (("treatment", visit.treatment), ("treated before", visit.earlier)):
        for treatment in given:
            yield _whole_row(treatment, label, _treatment(treatment), text)
    for fed in visit.fed:
        yield _whole_row(fed, "fed", _with(_plain(fed.what), fed.amount), text)
    if visit.supers is not None:
        moved = [proof for name, proof in visit.evidence.items() if name.startswith("supers.")]
        yield _row(OBSERVED, "supers", _supers(visit.supers), _together(moved), text)
    for event in visit.events:
        yield _whole_row(event, "event", _with(_plain(event.event), event.amount), text)
    for todo in visit.todo:
        due = f" (by {day_in_words(todo.due, short=True)})" if todo.due else ""
        yield _whole_row(todo, "to do", one_line(todo.what) + due, text)


def _with(what: str, *more: str | None) -> str:
    return ", ".join([what, *(one_line(word) for word in more if word)])


def _treatment(treatment: Treatment) -> str:
    unknown = treatment.active == "unknown"
    active = "active not known" if unknown else _plain(treatment.active)
    on = day_in_words(treatment.date, short=True) if treatment.date else None
    said = (treatment.product, treatment.form, treatment.amount, on)
    return _with(active, _ACTIONS[treatment.action], *said)


def _supers(supers: Supers) -> str:
    parts = (("added", supers.added), ("removed", supers.removed), ("on", supers.on))
    return ", ".join(f"{count} {word}" for word, count in parts if count is not None)


def _sample_rows(samples: tuple[Sample, ...], text: str) -> Iterator[Row]:
    for number_, sample in enumerate(samples, start=1):
        part = "Sample" if len(samples) == 1 else f"Sample {number_}"
        yield from _field_rows(sample, ("method", "mites"), text, part=part)
        yield from _range_row(sample, text, part)
        yield from _field_rows(sample, _OF_THE_SAMPLE, text, part=part)
        if sample.volume_ml is None and sample.volume_said is not None:
            value = one_line(sample.volume_said)
            yield _row(part, "amount of bees", value, sample.evidence["volume_said"], text)
        for step in sample.steps:
            value = f"{_plain(step.step)}, {step.outcome}"
            yield _whole_row(step, "step", value, text, part=part)


def _range_row(sample: Sample, text: str, part: str) -> Iterator[Row]:
    low, high = sample.mites_low, sample.mites_high
    if low is None and high is None:
        return
    if high is None:
        value = f"{low} or more"
    else:
        value = f"up to {high}" if low is None else f"between {low} and {high}"
    proofs = [sample.evidence[n] for n in ("mites_low", "mites_high") if n in sample.evidence]
    yield _row(part, "mites", value, _together(proofs), text)


def _field_row(fact: Fact, name: str, text: str, *, part: str) -> Row:
    value = _value(fact, name)
    label = _LABELS.get(name, name.replace("_", " "))
    return _row(part, label, value, fact.evidence[name], text)


def _value(fact: Fact, name: str) -> str:
    value = getattr(fact, name)
    if isinstance(value, bool):
        if name in ("queen_cells", "queen_cups"):
            return "some" if value else "none"
        return "yes" if value else "no"
    if isinstance(value, dt.date):
        return day_in_words(value)
    if name in ("rest_s", "shake_s"):
        return seconds(value)
    if name == "position" and isinstance(value, int):
        return f"frame {value}"
    if isinstance(value, (int, float)):
        unit = f" {_UNITS[name]}" if name in _UNITS else ""
        return number(value) + unit
    return one_line(_WORDS.get(name, {}).get(value) or str(value).replace("_", " "))


def _whole_row(fact: Fact, label: str, value: str, text: str, *, part: str = OBSERVED) -> Row:
    if not fact.evidence:
        return Row(part, label, value)
    return _row(part, label, value, _together(fact.evidence.values()), text)


def _row(part: str, label: str, value: str, proof: Evidence, text: str) -> Row:
    declared = ""
    if proof.declared:
        on = f" on {day_in_words(proof.on, short=True)}" if proof.on else ""
        declared = f"declared{on}: {one_line(proof.declared)}"
    elif proof.answered:
        declared = "your answer"
    quotes = tuple(quote(text, span) for span in join_spans(proof.said))
    return Row(part, label, value, quotes, declared)


def _together(proofs: Iterable[Evidence]) -> Evidence:
    """Return one proof for a fact of several fields."""
    proofs = list(proofs)
    first = next((proof for proof in proofs if not proof.said), proofs[0])
    said = tuple(chain.from_iterable(proof.said for proof in proofs))
    return Evidence(said=said, declared=first.declared, on=first.on, answered=first.answered)


def join_spans(spans: Iterable[Span]) -> list[Span]:
    """Return spans in order, those that overlap or touch made one."""
    joined: list[Span] = []
    for start, end in sorted(spans):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def quote(text: str, span: Span) -> str:
    """Return the words of a span on one line, a long passage by its two ends."""
    words = one_line(text[span[0] : span[1]])
    if len(words) <= _LONGEST_QUOTE:
        return words
    front = words[: _LONGEST_QUOTE - 20].rpartition(" ")[0] or words[: _LONGEST_QUOTE - 20]
    back = words[-20:].partition(" ")[2] or words[-20:]
    return f"{front} … {back}"


def with_neighbours(text: str, spans: Iterable[Span], *, words: int = 2) -> list[str]:
    """Return spans with a few words of the same line around each, neighbours in one quotation."""
    before = re.compile(rf"(?:\S+[^\S\n]+){{0,{words}}}\S*$")
    after = re.compile(rf"\S*(?:[^\S\n]+\S+){{0,{words}}}")
    wide = []
    for start, end in spans:
        # A window keeps this quick in a note that is one endless word.
        front = before.search(text[max(0, start - _WINDOW) : start])
        back = after.match(text[end : end + _WINDOW])
        wide.append((start - len(front[0] if front else ""), end + len(back[0] if back else "")))
    return [quote(text, span) for span in join_spans(wide)]


def _plain(key: str) -> str:
    return key.replace("_", " ")
