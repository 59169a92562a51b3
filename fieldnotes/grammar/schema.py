"""The shape of the grammar files: one strict model per kind of file."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class Strict(BaseModel):
    """Frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")


Phrases = tuple[str, ...]
Words = frozenset[str]


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
    denial_passes: Words
    denial_goes_on: Words
    denial_joints: Words
    denial_after_ends: Words
    cue: tuple[Cue, ...]
    pseudo: tuple[Pseudo, ...]


class Repairs(Strict):
    """``repairs.toml``"""

    repair: Between
    add: Between
    total: Between
    filler: Between


class Columns(Strict):
    """What the header of a table names: words and terms -> slot."""

    words: dict[str, str]
    terms: dict[str, str]
    amounts: Words


class SceneWords(Strict):
    """``scenes.toml``"""

    next: Between
    all: Between
    back: Between
    same: Between
    not_names: Between
    descriptive: Between
    headings: Between
    columns: Columns


class NameWords(Strict):
    """``names.toml``"""

    likely: Words
    ordinary: Words
    before: Words
    after: Words
    person: Words
    listing: Words
    spots: Words
    lead: Words
    places: Words


class CommonWords(Strict):
    """Shared by several ways of finding a name."""

    the: Words
    ands: Words
    ors: Words
    at: Words
    lists: Words
    letter_list: Words
    pair_list: Words
    owning: Words
    keeper: Words
    pronouns: Words
    none: Words
    counting: Words
    count_follows: Words
    clause_openers: Words
    countable: Words
    sums: Words


class HiveNounWords(Strict):
    """Around a hive noun."""

    single: Words
    plural: Words
    no_name_before: Words
    box: Words
    box_parts: Words
    nuc: Words
    nuc_head: Words
    nuc_things: Words
    links: Words
    being: Words
    no: Words
    calling: Words
    pointing: Words
    letter_words: Words
    letter_capital: Words
    endings: Phrases


class BeforeHiveWords(Strict):
    """Before a hive noun."""

    capitals: Words
    stops: Words
    small: Words
    sizes: Words
    any: Words
    growing: Words
    leads: Words
    endings: Phrases


class NumberedWords(Strict):
    """Around "#4" and "no. 4"."""

    no: Words
    no_capital: Words
    after: Words
    other_before: Words


class CodeWords(Strict):
    """Letters of codes like A4."""

    other: Words
    queen: Words
    row_letters: Words


class LineHeadWords(Strict):
    """Around numbers and letters that name hives in a list."""

    verbs: Words
    after_number: Words
    before_inline: Words
    after_letter: Words
    before_colour: Words


class ScoredNameWords(Strict):
    """Around a name that no hive noun shows."""

    not_part: Words
    no_lead: Words
    lead_after: Words
    looking: Words
    joining: Words
    against: Words
    endings: Phrases


class AgainWords(Strict):
    """Around a name that the note has made known."""

    other_letters: Words
    hive_nouns: Words
    speaks: Words
    breaks: Words
    verbs: Words
    opens: Words


class YardWords(Strict):
    """Around the name of a yard."""

    sides: Words
    before_sides: Words
    home: Words
    no_names: Words
    leads: Words
    endings: Phrases
    empty: Words
    place_leads: Words
    to_place: Words
    spots: Words
    links: Words
    apiary: Words


class SettleWords(Strict):
    """By which mentions are settled against each other."""

    ends: Words
    list_ends: Words
    within: Words
    toward: Words
    subject: Words
    repair: Words


class MentionWords(Strict):
    """``mentions.toml``"""

    common: CommonWords
    hive: HiveNounWords
    before_hive: BeforeHiveWords
    numbered: NumberedWords
    codes: CodeWords
    heads: LineHeadWords
    scored: ScoredNameWords
    again: AgainWords
    yards: YardWords
    settle: SettleWords


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
