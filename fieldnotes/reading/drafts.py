"""Stage 10: what is gathered for one visit before it becomes a record."""

from __future__ import annotations

import dataclasses
import datetime as dt
from dataclasses import dataclass
from typing import Any

from ..records import AskKind, Span
from .binding import Candidate


@dataclass(slots=True)
class Given:
    """A value and the spans of clean text that prove it, or the declaration it comes from."""

    value: Any
    spans: list[Span]
    declared: str | None = None
    on: dt.date | None = None
    weight: float = 0.0
    at: int = -1


@dataclass(slots=True)
class Doubt:
    """Something to ask: field and kind as in the guide, the words in doubt, possible answers."""

    field: str
    kind: AskKind
    spans: list[Span] = dataclasses.field(default_factory=list)
    options: tuple[str, ...] = ()
    value: str = ""
    need: str = "needed"


@dataclass(slots=True)
class SampleDraft:
    """One sample in the making."""

    facts: dict[str, Given] = dataclasses.field(default_factory=dict)
    counts: list[Candidate] = dataclasses.field(default_factory=list)
    doubts: list[Doubt] = dataclasses.field(default_factory=list)
    steps: list[tuple[int, str, Span]] = dataclasses.field(default_factory=list)
    zeros: list[Candidate] = dataclasses.field(default_factory=list)
    vague: Span | None = None
    unsure: Span | None = None
    """Words of a mishap after which the count may not be the whole."""
    wash: Span | None = None
    roll: Span | None = None
    sugar_words: Span | None = None
    test: bool = False

    @property
    def method(self) -> str | None:
        """The method that is known of the sample, if one is."""
        given = self.facts.get("method")
        return None if given is None else str(given.value)

    def doubts_on(self, name: str) -> bool:
        """Whether a doubt on this field of the guide is noted."""
        return any(d.field == name for d in self.doubts)


@dataclass(slots=True)
class VisitDraft:
    """One visit in the making."""

    name: str | None
    facts: dict[str, Given] = dataclasses.field(default_factory=dict)
    samples: list[SampleDraft] = dataclasses.field(default_factory=list)
    signs: dict[str, tuple[bool, Span]] = dataclasses.field(default_factory=dict)
    treatment: list[dict[str, Given]] = dataclasses.field(default_factory=list)
    earlier: list[dict[str, Given]] = dataclasses.field(default_factory=list)
    fed: list[dict[str, Given]] = dataclasses.field(default_factory=list)
    supers: dict[str, Given] = dataclasses.field(default_factory=dict)
    todo: list[dict[str, Given]] = dataclasses.field(default_factory=list)
    events: list[tuple[str, Span]] = dataclasses.field(default_factory=list)
    doubts: list[Doubt] = dataclasses.field(default_factory=list)
    weak: bool = False
    told: bool = False
    """Whether the note names the colony for certain and as what it speaks of: a visit by itself."""

    def give(self, name: str, value: Any, span: Span, weight: float = 1.0) -> None:
        """Set a fact; a later equal one adds evidence, a later different one replaces it."""
        old = self.facts.get(name)
        if old is not None and old.value == value:
            old.spans.append(span)
            return
        self.facts[name] = Given(value, [span], weight=weight)
