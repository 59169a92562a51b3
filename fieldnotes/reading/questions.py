"""Stage 11: what must be asked: by what the method needs, by doubts on the way, and by sense."""

from __future__ import annotations

from collections.abc import Callable

from ..grammar.load import Grammar
from ..grammar.schema import Wording
from ..records import Question, Span
from .drafts import Doubt, Given, SampleDraft, VisitDraft

_SHARPENS = frozenset({"volume", "bees", "frame", "todo", "other", "date", "yard", "queen"})


_OF_A_JAR = frozenset(
    {"volume_ml", "bees", "bees_weight_g", "source", "sugar_ml", "shake_s", "rest_s"}
)
"""Facts that show that bees were taken in a jar, whatever was done with them."""


def needed(sample: SampleDraft) -> list[str]:
    """Fields of the guide that this sample lacks, by what its method needs."""
    facts, method = sample.facts, sample.method
    out: list[str] = []
    if "mites" not in facts and "mites_low" not in facts and "mites_high" not in facts:
        out.append("mites")
    if method is None:
        out.append("method")
        if not (sample.wash or sample.roll or facts.keys() & _OF_A_JAR):
            # of a board or a comb of drones neither amount nor frame is asked
            return out
    if method == "sticky_board":
        if "days" not in facts:
            out.append("days")
        return out
    if method == "drone_uncapping":
        if "cells" not in facts:
            out.append("cells")
        return out
    if method == "visual":
        if "bees" not in facts:
            out.append("bees")
        return out
    if not facts.keys() & {"volume_ml", "bees", "bees_weight_g"}:
        out.append("volume")
    if "source" not in facts:
        out.append("frame")
    return out


_MANY, _BARE = 4, 3
"""Sampled colonies from which on a doubt that all of them share is asked once for all; fewer are
enough for a bare list of counts, of which no method is told."""

_OF_ALL = ("method", "volume", "frame")
"""Items that one sentence may give for all samples of a note."""


def doubts_of_all(drafts: list[VisitDraft]) -> list[Doubt]:
    """Doubts that all samples of a list of colonies share: one question for the whole list.

    Where each colony's sample is told by itself the answers may differ, and each is asked.
    """
    sampled = [d for d in drafts if d.samples]
    samples = [s for d in sampled for s in d.samples]
    said = {_method_words(s) for s in samples}
    if len(said) > 1 or len({d.name for d in sampled}) < (_BARE if said == {()} else _MANY):
        return []
    out = []
    for name in _OF_ALL:
        open_ones = [next((d for d in s.doubts if d.field == name), None) for s in samples]
        first = open_ones[0]
        if first is not None and all(first == d for d in open_ones):
            out.append(first)
        elif all(name in needed(s) for s in samples):
            out.append(Doubt(name, "missing"))
    return out


def _method_words(sample: SampleDraft) -> tuple[Span, ...]:
    """Where the method of a sample is said; empty if it is not."""
    given = sample.facts.get("method")
    return tuple(given.spans) if given is not None else ()


def unlikely(sample: SampleDraft, grammar: Grammar) -> list[Doubt]:
    """Values that no practitioner would believe, by the ranges in the protocol data."""
    out: list[Doubt] = []
    method = sample.method
    protocol = grammar.protocols.get(method or "sugar")
    facts = sample.facts
    mites, bees = facts.get("mites"), facts.get("bees")
    if protocol is not None:
        for name, given in facts.items():
            bound = protocol.believable.get(name)
            if (
                bound is None
                or not isinstance(given.value, (int, float))
                or isinstance(given.value, bool)
            ):
                continue
            if not bound.holds(given.value):
                ask = {
                    "volume_ml": "volume",
                    "bees_weight_g": "volume",
                    "sugar_ml": "other",
                    "rest_s": "other",
                    "shake_s": "other",
                    "rate_per_100": "mites",
                    "mites_per_day": "mites",
                }.get(name, name)
                out.append(
                    Doubt(ask, "unlikely", given.spans, ("yes", "no"), _amount(name, given.value))
                )
    if (
        mites
        and bees
        and mites.value > bees.value
        and method not in ("sticky_board", "drone_uncapping")
    ):
        # which of the two is wrong shows where one of them is beyond belief by itself
        field = "mites" if any(d.field == "mites" for d in out) else "bees"
        said = mites if field == "mites" else bees
        out = [d for d in out if d.field not in ("mites", "bees")]
        out.append(
            Doubt(field, "unlikely", bees.spans + mites.spans, ("yes", "no"), f"{said.value:g}")
        )
    cells = facts.get("cells")
    if mites and cells and mites.value > cells.value:
        out.append(Doubt("cells", "conflict", cells.spans + mites.spans))
    return out


def _amount(name: str, value: float) -> str:
    """A number with its unit as a question says it back: 473.176 is "473 ml"."""
    unit = {"volume_ml": " ml", "bees_weight_g": " g", "sugar_ml": " ml"}.get(name, "")
    return f"{value:.0f}{unit}" if unit and value >= 10 else f"{value:g}{unit}"


def rate_conflict(sample: SampleDraft) -> Doubt | None:
    """A rate said beside the counts that is not what the counts give."""
    facts = sample.facts
    mites = facts.get("mites")
    if mites is not None and "mites_per_day" in facts and "days" in facts:
        return _daily_conflict(mites, facts["days"], facts["mites_per_day"])
    rate = facts.get("rate_per_100")
    if rate is None or mites is None:
        return None
    bees = (
        facts["bees"].value
        if "bees" in facts
        else (300 if "volume_ml" in facts and abs(facts["volume_ml"].value - 118.3) < 5 else None)
    )
    if bees is None or not mites.value:
        return None
    true = 100 * mites.value / bees
    for factor in (1, 2):
        if abs(rate.value - true * factor) <= max(0.12 * true * factor, 0.1):
            return None
    if abs(round(true) - rate.value) < 0.01 and abs(true - rate.value) < 0.5 and rate.value >= 2:
        return None
    return Doubt("mites", "conflict", mites.spans + rate.spans, (f"{mites.value:g}",))


def _daily_conflict(mites: Given, days: Given, daily: Given) -> Doubt | None:
    """A daily drop that is not what the mites and days of a board give, rounded or not."""
    if not days.value:
        return None
    if abs(mites.value / days.value - daily.value) <= max(0.6, 0.12 * daily.value):
        return None
    spans = mites.spans + days.spans + daily.spans
    return Doubt("mites", "conflict", spans, (f"{mites.value:g}",))


class Asker:
    """Turns doubts into questions in the grammar's wording, ordered by what matters most."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar
        self.wording: dict[tuple[str, str, str | None], Wording] = {
            (q.field, q.kind, q.method): q for q in grammar.questions.question
        }
        self.rank = {field: i for i, field in enumerate(grammar.questions.order)}

    def ask(
        self,
        drafts: list[VisitDraft],
        text: str,
        span: Callable[[Span], Span],
        colony_doubt: Doubt | None,
    ) -> list[Question]:
        """All questions of a note; at most one for each colony and field."""
        out: list[Question] = []
        seen: set[tuple[str | None, str]] = set()

        def put(
            doubt: Doubt,
            colony: str | None,
            visit: int | None,
            sample: int | None,
            method: str | None,
        ) -> None:
            key = (colony, "volume" if doubt.field == "bees" else doubt.field)
            if key in seen:
                return
            seen.add(key)
            out.append(self._question(doubt, colony, visit, sample, method, text, span))

        of_all = doubts_of_all(drafts)
        for doubt in of_all:
            put(doubt, None, None, None, None)
        settled = {doubt.field for doubt in of_all}
        if colony_doubt is not None:
            put(
                colony_doubt,
                None if colony_doubt.kind == "missing" else colony_doubt.value or None,
                None,
                None,
                None,
            )
        for v, draft in enumerate(drafts):
            for doubt in draft.doubts:
                put(doubt, draft.name, v, None, None)
            for s, sample in enumerate(draft.samples):
                method = sample.method
                missing = [Doubt(field, "missing") for field in needed(sample)]
                for doubt in (*sample.doubts, *missing):
                    if doubt.field not in settled:
                        put(doubt, draft.name, v, s, method)
        out.sort(
            key=lambda q: (
                q.need != "needed",
                q.visit if q.visit is not None else -1,
                self.rank.get(q.field, 99),
            )
        )
        return out

    def _question(
        self,
        doubt: Doubt,
        colony: str | None,
        visit: int | None,
        sample: int | None,
        method: str | None,
        text: str,
        span: Callable[[Span], Span],
    ) -> Question:
        wording = (
            self.wording.get((doubt.field, doubt.kind, method))
            or self.wording.get((doubt.field, doubt.kind, None))
            or self.wording[("other", "ambiguous", None)]
        )
        words = ", ".join(f'"{" ".join(text[a:b].split())}"' for a, b in doubt.spans[:3])
        names = self.grammar.questions.value_names
        options = tuple(names.get(o, o) for o in (doubt.options or wording.options))
        of = f" for {_colony_words(colony)}" if colony else ""
        value = doubt.value or (words.strip('"') if words else "")
        sentence = wording.text.format(
            of=of,
            words=f" ({words})" if words else "",
            colony=_colony_words(colony) if colony else "this colony",
            value=value,
            options=" or ".join(options),
        )
        return Question(
            colony=colony,
            field=doubt.field,  # type: ignore[arg-type]
            kind=doubt.kind,
            need="sharpens" if doubt.field in _SHARPENS else "needed",
            text=sentence,
            options=options,
            evidence=tuple(span(s) for s in doubt.spans),
            visit=visit,
            sample=sample,
        )


def _colony_words(name: str) -> str:
    return f"hive {name}" if name[:1].isdecimal() else name
