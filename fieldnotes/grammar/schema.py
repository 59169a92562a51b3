"""The shape of the grammar files: one strict model per kind of file."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class Strict(BaseModel):
    """Frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")


Phrases = tuple[str, ...]


class Hedges(Strict):
    """Words that make a number less than certain, or a bound."""

    before: Phrases
    after: Phrases
    over: Phrases
    under: Phrases
    open: Phrases


class NumberWords(Strict):
    """``numbers.toml``"""

    words: dict[str, float]
    tens: dict[str, float]
    multipliers: dict[str, float]
    sets: dict[str, float]
    fractions: dict[str, float]
    ordinals: dict[str, float]
    hedges: Hedges


Dimension = Literal["volume", "mass", "duration", "temperature", "percent"]


class Unit(Strict):
    """One unit: ``factor`` converts to ml, g, s, C or percent."""

    id: str
    dimension: Dimension
    factor: float = Field(gt=0)
    phrases: Phrases
    risky: Phrases = ()


class Between(Strict):
    phrases: Phrases


class Units(Strict):
    """``units.toml``"""

    unit: tuple[Unit, ...]
    between: Between


class Clock(Strict):
    oclock: Phrases
    am: Phrases
    pm: Phrases
    noon: Phrases
    half_past: Phrases


class DateWords(Strict):
    """``dates.toml``"""

    weekdays: dict[str, int | Phrases]
    months: dict[str, int]
    relative: dict[str, int]
    clock: Clock


class Term(Strict):
    """One term of the trade and the phrases that say it."""

    id: str = Field(pattern=r"^[a-z0-9_]+(\.[a-z0-9_]+)?$")
    phrases: Phrases = Field(min_length=1)


class Terms(Strict):
    """A file of ``terms/``"""

    term: tuple[Term, ...]


class Cue(Strict):
    """Words that change how a clause stands; see ``standing.toml``."""

    id: str
    standing: Literal["denied", "planned", "remembered", "supposed", "reported", "rule"]
    direction: Literal["forward", "backward"]
    reach: int = Field(gt=0, le=40)
    ends_at: Phrases = ()
    phrases: Phrases


class Pseudo(Strict):
    id: str
    phrases: Phrases


class Cues(Strict):
    """``standing.toml``"""

    ends_at: Phrases
    cue: tuple[Cue, ...]
    pseudo: tuple[Pseudo, ...]


class Repairs(Strict):
    """``repairs.toml``"""

    repair: Between
    add: Between
    total: Between
    filler: Between


class SceneWords(Strict):
    """``scenes.toml``"""

    next: Between
    all: Between
    back: Between
    same: Between
    not_names: Between
    descriptive: Between
    headings: Between
    columns: dict[str, str]


class NameWords(Strict):
    """``names.toml``"""

    likely: Phrases
    ordinary: Phrases
    before: Phrases
    after: Phrases
    person: Phrases
    listing: Phrases
    spots: Phrases
    lead: Phrases
    places: Phrases


class Heard(Strict):
    """A mishearing and the company in which it is read as another word."""

    text: str
    means: str
    before: Phrases = ()
    after: Phrases = ()
    unless_before: Phrases = ()
    unless_after: Phrases = ()
    needs: Phrases = ()


class Mishearings(Strict):
    """``mishearings.toml``"""

    heard: tuple[Heard, ...]


class Bind(Strict):
    """A rule of ``bindings.toml``: forms that give a value, or a fixed ``value``, to a slot."""

    slot: str
    weight: float = 3.0
    forms: Phrases = Field(min_length=1)
    value: Any = None
    flip: bool = True
    done: bool = False


class Bindings(Strict):
    """``bindings.toml``"""

    macro: dict[str, str] = Field(default_factory=dict)
    bind: tuple[Bind, ...]


class Wording(Strict):
    """How one kind of question is put. ``text`` may hold {colony}, {words}, {options}, {value}."""

    field: str
    kind: Literal["missing", "ambiguous", "conflict", "unlikely"]
    method: str | None = None
    text: str
    options: Phrases = ()


class Questions(Strict):
    """``questions.toml``: ``order`` is what matters most for a sample, first."""

    order: Phrases
    question: tuple[Wording, ...]
    value_names: dict[str, str]
