"""The records: what a note is, and what a reading of it may say.

This is the only place that defines fields. Grammar files are checked against these models when
they are loaded, and ``fieldnotes read --json`` prints them under these names.

Two rules are built in. A fact without evidence cannot exist: every field that is set has an entry
in its object's ``evidence``. And records are immutable: a correction is a new record.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, model_serializer, model_validator

Span = tuple[int, int]
"""Half-open character offsets into the note's text exactly as it came."""

Method = Literal[
    "sugar", "alcohol", "soap", "co2", "ether", "drone_uncapping", "sticky_board", "visual"
]
Source = Literal["brood", "honey", "pollen", "entrance", "super", "drone_brood"]
Temper = Literal["calm", "nervous", "defensive"]
SignName = Literal[
    "chalkbrood", "sacbrood", "european_foulbrood", "american_foulbrood", "deformed_wings",
    "nosema", "wax_moth", "hive_beetle", "perforated_cappings", "bald_brood", "spotty_brood",
    "dead_bees", "mites_on_bees", "robbing", "wasps", "ants", "mice",
]  # fmt: skip
Active = Literal[
    "formic_acid", "oxalic_acid", "thymol", "amitraz", "tau_fluvalinate", "flumethrin",
    "coumaphos", "hop_acids", "lactic_acid", "drone_removal", "brood_break", "other", "unknown",
]  # fmt: skip
Action = Literal["start", "ongoing", "end", "planned", "once"]
Feed = Literal["syrup", "fondant", "pollen", "candy", "dry_sugar"]
Fall = Literal["natural", "during_treatment", "after_treatment"]
RateBasis = Literal["adult_bees", "doubled", "not_said"]
EventName = Literal[
    "split", "united", "swarmed", "caught", "requeened", "queen_caged", "moved", "died", "harvest"
]
AskField = Literal[
    "colony", "yard", "date", "method", "volume", "bees", "mites", "frame", "days", "cells",
    "treatment", "todo", "queen", "other",
]  # fmt: skip
AskKind = Literal["missing", "ambiguous", "conflict", "unlikely"]
AskNeed = Literal["needed", "sharpens", "advice"]

Count = Annotated[int, Field(ge=0)]
Amount = Annotated[float, Field(ge=0)]


class Record(BaseModel):
    """Base of all records: immutable, no unknown keys, empty fields left out of the JSON."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    @model_serializer(mode="wrap")
    def _only_what_is_said(self, handler: Any) -> dict[str, Any]:
        """Leave out what is not stated: an absent key, never a null."""
        said: dict[str, Any] = handler(self)
        return {k: v for k, v in said.items() if v is not None and v not in ((), [], {})}


class Evidence(Record):
    """Where a fact comes from: words of the note, a declaration of the keeper's, or an answer."""

    said: tuple[Span, ...] = ()
    declared: str | None = None
    on: dt.date | None = None
    answered: str | None = None

    @model_validator(mode="after")
    def _one_source(self) -> Evidence:
        if not (self.said or self.declared or self.answered):
            raise ValueError("evidence must quote the note, a declaration or an answer")
        return self


class Fact(Record):
    """A record whose every set field must be proved in ``evidence``."""

    evidence: dict[str, Evidence] = Field(default_factory=dict)
    PARTS: ClassVar[frozenset[str]] = frozenset({"evidence"})
    """Fields that are made of facts with evidence of their own."""

    @model_validator(mode="after")
    def _nothing_without_evidence(self) -> Fact:
        for name in self._stated():
            if name not in self.evidence:
                raise ValueError(f"{name} has no evidence")
        return self

    def _stated(self) -> Iterator[str]:
        """The names under which ``evidence`` must prove what is set."""
        for name in self.model_fields_set - self.PARTS:
            if getattr(self, name) is not None:
                yield name


class StepSaid(Fact):
    """A step of the sampling protocol that the note speaks of.

    ``step`` is the id of a step in ``grammars/protocols/`` (for instance ``rest``).
    """

    step: str
    outcome: Literal["done", "skipped", "spoiled"]


class Sample(Fact):
    """One sample of bees, cells or floor debris.

    ``volume_ml``, ``sugar_ml`` in millilitres; ``rest_s``, ``shake_s`` in seconds; ``days`` in
    days; ``bees_weight_g`` in grams. ``mites`` is always a count said by the keeper: for
    ``drone_uncapping`` the infested cells, for ``sticky_board`` the mites on the board. A rate
    that was said stands in ``rate_per_100`` or ``mites_per_day`` and is never turned into a count.
    """

    PARTS: ClassVar[frozenset[str]] = frozenset({"evidence", "steps"})

    method: Method | None = None
    mites: Count | None = None
    mites_low: Count | None = None
    mites_high: Count | None = None
    bees: Count | None = None
    bees_weight_g: Amount | None = None
    volume_ml: Amount | None = None
    volume_said: str | None = None
    source: Source | None = None
    position: Literal["centre", "edge"] | Count | None = None
    days: Amount | None = None
    cells: Count | None = None
    rate_per_100: Amount | None = None
    rate_basis: RateBasis | None = None
    mites_per_day: Amount | None = None
    fall: Fall | None = None
    sugar_ml: Amount | None = None
    rest_s: Amount | None = None
    shake_s: Amount | None = None
    queen_checked: bool | None = None
    returned: bool | None = None
    steps: tuple[StepSaid, ...] = ()


class Sign(Fact):
    """A sign of disease, pest or loss that was seen, or looked for and not seen."""

    sign: SignName
    present: bool
    certainty: Literal["suspected", "confirmed"] | None = None


class Treatment(Fact):
    """A treatment against varroa: what, and whether it began, goes on, ended or is planned.

    ``date`` is set where the keeper tells of an earlier treatment with its day.
    """

    active: Active
    action: Action
    product: str | None = None
    form: str | None = None
    amount: str | None = None
    date: dt.date | None = None
    remembered: bool | None = None


class Fed(Fact):
    """Feed given."""

    what: Feed
    amount: str | None = None


class Supers(Record):
    """Honey supers added, removed or standing on the colony.

    The visit proves them, as "supers.added", "supers.removed" and "supers.on".
    """

    added: Count | None = None
    removed: Count | None = None
    on: Count | None = None


class Todo(Fact):
    """A chore that the keeper sets: free words, and the day if one is stated."""

    what: str
    due: dt.date | None = None


class Event(Fact):
    """What happened to the colony as a whole, with an amount where one is said."""

    event: EventName
    amount: str | None = None


class Visit(Fact):
    """All that a note says of one colony on one day. ``weather_c`` is in degrees Celsius."""

    PARTS: ClassVar[frozenset[str]] = frozenset(
        {"evidence", "samples", "signs", "treatment", "earlier", "fed", "supers", "todo", "events"}
    )

    colony: str | None = None
    yard: str | None = None
    date: dt.date | None = None
    time: str | None = None
    samples: tuple[Sample, ...] = ()
    queen_seen: bool | None = None
    queen_status: Literal["queenright", "queenless", "laying_workers"] | None = None
    queen_mark: str | None = None
    queen_clipped: bool | None = None
    eggs: bool | None = None
    larvae: bool | None = None
    capped_brood: bool | None = None
    drone_brood: bool | None = None
    broodless: bool | None = None
    queen_cells: Count | bool | None = None
    queen_cell_kind: Literal["swarm", "supersedure", "emergency"] | None = None
    queen_cups: Count | bool | None = None
    frames_bees: Amount | None = None
    frames_brood: Amount | None = None
    frames_stores: Amount | None = None
    temper: Temper | None = None
    signs: tuple[Sign, ...] = ()
    treatment: tuple[Treatment, ...] = ()
    earlier: tuple[Treatment, ...] = ()
    fed: tuple[Fed, ...] = ()
    supers: Supers | None = None
    excluder: bool | None = None
    hive_weight_kg: Amount | None = None
    weather_c: float | None = None
    events: tuple[Event, ...] = ()
    todo: tuple[Todo, ...] = ()

    def _stated(self) -> Iterator[str]:
        yield from super()._stated()
        if self.supers is not None:
            yield from (f"supers.{name}" for name in self.supers.model_dump())


class Question(Record):
    """What a careful assistant must ask: one doubt, in words that can be answered in one word.

    ``evidence`` quotes the words in doubt; it is empty where something is missing.
    """

    colony: str | None = None
    field: AskField
    kind: AskKind
    need: AskNeed = "needed"
    text: str
    options: tuple[str, ...] = ()
    evidence: tuple[Span, ...] = ()
    visit: Count | None = None
    sample: Count | None = None


class Note(Record):
    """The words exactly as they came, the day they were made, and where they came from."""

    text: str
    written: dt.date
    written_from: Literal["option", "file name", "first line", "today"] = "option"
    origin: str | None = None
    yard: str | None = None
    colony: str | None = None

    @property
    def id(self) -> str:
        """Sixteen hexadecimal digits; equal for the same text, day, yard and colony."""
        same = [self.text, self.written.isoformat(), self.yard, self.colony]
        return hashlib.sha256(json.dumps(same).encode()).hexdigest()[:16]


class Unread(Record):
    """A number of the note that no fact uses and that the reader could not explain."""

    text: str
    span: Span


class Reading(Record):
    """What a note says: visits with their facts, the questions, and the numbers left over.

    ``questions`` are ordered by what matters most for the sample.
    """

    id: str
    written: dt.date
    visits: tuple[Visit, ...] = ()
    questions: tuple[Question, ...] = ()
    unread: tuple[Unread, ...] = ()
