"""The shape of the grammar files: one strict model per kind of file."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    field_validator,
    model_validator,
)

from ..records import AskField, AskKind, Method
from .slots import COLUMNS, SLOTS, fixed_value


class Strict(BaseModel):
    """Frozen, and an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")


def _neat(phrase: str) -> str:
    if not phrase or phrase != " ".join(phrase.split()):
        raise ValueError("must be words with one space between them")
    return phrase


def _lower(phrase: str) -> str:
    if phrase != phrase.lower():
        raise ValueError("must be in small letters, or it is never found")
    return phrase


def _twice(names: Iterable[str]) -> str | None:
    """The first name that comes a second time."""
    seen: set[str] = set()
    for name in names:
        if name in seen:
            return name
        seen.add(name)
    return None


Said = Annotated[str, AfterValidator(_neat)]
"""Words with one space between them; their capitals may count."""

Phrase = Annotated[Said, AfterValidator(_lower)]
"""Words looked for in a note; capitals in the note do not matter."""

Phrases = tuple[Phrase, ...]
Words = frozenset[str]
"""Single words to compare with; a line break stands for its end, nothing for the note's end."""


class Hedges(Strict):
    """Words that make a number less than certain, or a bound."""

    before: Phrases
    after: Phrases
    over: Phrases
    under: Phrases
    open: Phrases


class NumberSaid(Strict):
    """Words within numbers as they are said."""

    articles: Words
    not_parts: Words
    parts_added: Words
    parts_counted: Words
    hundreds_of: Words


class NumberWords(Strict):
    """``numbers.toml``"""

    words: dict[str, float]
    tens: dict[str, float]
    multipliers: dict[str, float]
    sets: dict[str, float]
    fractions: dict[str, float]
    ordinals: dict[str, float]
    hedges: Hedges
    said: NumberSaid


Dimension = Literal["volume", "mass", "duration", "temperature", "percent"]


class Unit(Strict):
    """One unit: ``factor`` converts to ml, g, s, C or percent."""

    id: str
    dimension: Dimension
    factor: float = Field(gt=0)
    phrases: tuple[Said, ...]
    risky: tuple[Said, ...] = ()


class Between(Strict):
    phrases: Phrases


class AirWords(Strict):
    """Words around degrees: of what lies below zero, and of what is only announced."""

    below_zero: Words
    forecast: Words


class Units(Strict):
    """``units.toml``"""

    unit: tuple[Unit, ...]
    between: Between
    air: AirWords

    @model_validator(mode="after")
    def _each_once(self) -> Units:
        if twice := _twice(unit.id for unit in self.unit):
            raise ValueError(f"the id {twice!r} is given twice")
        if twice := _twice(phrase for unit in self.unit for phrase in set(unit.phrases)):
            raise ValueError(f"two units claim {twice!r}")
        return self


class Clock(Strict):
    oclock: Phrases
    am: Phrases
    pm: Phrases
    noon: Phrases
    parts: dict[str, int]
    joints: Words
    leads: Words
    company_before: Words
    company_after: Words
    halves: Words
    early: Words
    late: Words
    military: Words
    minutes: Words
    counted: Words


class SpanWords(Strict):
    """Spans of days: "in ten days", "three weeks ago"."""

    ahead: Words
    ones: Words
    months: Words
    one_week: Words
    weeks: Words
    counted_from: Words
    back: Words
    now: Words
    loose: Words
    owning: Words
    time: Words
    days: dict[str, int]


class DayWords(Strict):
    """Days of the week and of the month."""

    leads: Words
    before_month: Words
    ends: Words
    next_week: Words
    before_number: Words
    parts: Words
    after_month: Words
    counted: Words
    later_today: Words
    weekday_leads: dict[str, str]


class VisitWords(Strict):
    """Words beside a day by which the visit's own day is told from the day of another thing."""

    now: Words
    not_now: Words
    not_after: Words
    not_before: Words
    teller: Words
    inspected: Words
    past: Words
    past_endings: Phrases


class DateWords(Strict):
    """``dates.toml``"""

    weekdays: dict[str, Annotated[int, Field(ge=0, le=6)] | Phrases]
    months: dict[str, Annotated[int, Field(ge=1, le=12)]]
    relative: dict[str, int]
    clock: Clock
    span: SpanWords
    day: DayWords
    visit: VisitWords


class Term(Strict):
    """One term of the trade and the phrases that say it."""

    id: str = Field(pattern=r"^[a-z0-9_]+(\.[a-z0-9_]+)?$")
    phrases: Phrases = Field(min_length=1)


class Terms(Strict):
    """A file of ``terms/``"""

    term: tuple[Term, ...]


class _Phrased(Strict):
    """Phrases of ``standing.toml``."""

    id: str
    phrases: Phrases
    combined: tuple[tuple[Phrases, ...], ...] = ()
    """Rows of alternatives, each row said in all its combinations."""

    @property
    def every_phrase(self) -> tuple[str, ...]:
        """The phrases and all combinations, each once."""
        combined = (" ".join(words) for row in self.combined for words in product(*row))
        return tuple(dict.fromkeys((*self.phrases, *combined)))


class Pseudo(_Phrased):
    """Words that look like a cue and are none."""


class Cue(_Phrased):
    """Words that change how a clause stands."""

    standing: Literal["denied", "planned", "remembered", "supposed", "reported", "rule"]
    direction: Literal["forward", "backward"]
    reach: int = Field(gt=0, le=40)
    ends_at: Phrases = ()
    through: Words = frozenset()
    unless_counted: bool = False
    """Whether it is none before a number of mites: "she gets thirty four mites"."""


class PlanWords(Strict):
    """Verbs that make a plan of a day beside them."""

    bids: Words
    objects: Words
    doing: Words
    comes: Words
    subjects: Words
    helpers: Words
    past: Words
    conditions: Words
    asides: Words
    on: Words
    was: Phrases
    today: Words


class Cues(Strict):
    """``standing.toml``"""

    ends_at: Phrases
    denial_passes: Words
    denial_goes_on: Words
    denial_joints: Words
    denial_after_ends: Words
    carries_on: Words
    denial_corrects: Words
    denial_swaps: Words
    leads_to_name: Words
    plans: PlanWords
    cue: tuple[Cue, ...]
    pseudo: tuple[Pseudo, ...]


class Repairs(Strict):
    """``repairs.toml``"""

    repair: Between
    add: Between
    total: Between
    settled: Between
    void: Between
    unsettled: Between
    filler: Between


def _column(slot: str) -> str:
    if slot not in COLUMNS:
        raise ValueError(f"no column can hold {slot!r}")
    return slot


Column = Annotated[str, AfterValidator(_column)]


class Columns(Strict):
    """What the header of a table names: words and terms -> slot."""

    words: dict[Phrase, Column]
    terms: dict[str, Column]
    amounts: Words


class SceneWords(Strict):
    """``scenes.toml``"""

    next: Between
    all: Between
    back: Between
    other: Between
    others: Between
    first: Between
    list_first: Between
    list_last: Between
    same: Between
    same_amount: Between
    unvisited: Between
    refused: Between
    unmeasured: Between
    compared: Between
    not_names: Between
    descriptive: Between
    headings: Between
    columns: Columns


class NameCue(Strict):
    """Words that give a cue at these distances from a name: -1 is the word before, 1 that after."""

    name: str
    where: list[int]
    words: Words


class NameWords(Strict):
    """``names.toml``"""

    likely: Words
    after: Words
    person: Words
    speaks: Words
    does: Phrases
    hailed: Words
    greeted: Phrases
    keeper: Words
    present: Words
    present_ends: Words
    listing: Words
    beneath: Words
    out_from: Words
    spots: Words
    lead: Words
    places: Words
    place_ends: Words
    ends: Words
    titles: Words
    things: Words
    spoken: Words
    exclaimed: Words
    endings: Phrases
    no_endings: Phrases
    filled: Words
    rates: Words
    bands: list[int]
    cue: list[NameCue]


class NameWeights(Strict):
    """``name_weights.toml``: a logistic model of what makes a name a colony's.

    ``certain``, ``take``, ``ask`` and ``spare`` are the chances from which a name shows a visit by
    itself, is taken, is taken and asked about, and is guessed at where nothing else names a colony.
    ``among`` weighs how a name stands among the other names of its note, ``weights`` its evidence.
    """

    bias: float
    among_bias: float
    certain: float
    take: float
    ask: float
    spare: float
    among: dict[str, float]
    weights: dict[str, float]


class CommonWords(Strict):
    """Shared by several ways of finding a name."""

    the: Words
    ands: Words
    thens: Words
    none_left: Words
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
    dealt: Words
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
    box_heads: Words
    nuc: Words
    nuc_head: Words
    count_in: Words
    nuc_things: Words
    links: Words
    being: Words
    no: Words
    calling: Words
    pointing: Words
    one_frame: Words
    several_frames: Words
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
    on: Words
    queen_parts: Words
    counted_from: Words


class CodeWords(Strict):
    """Letters of codes like A4."""

    other: Words
    queen: Words
    priced: Words
    zeros: Words
    dashes: Words
    row_letters: Words
    articles: Words
    told: Words


class LineHeadWords(Strict):
    """Around numbers and letters that name hives in a list."""

    verbs: Words
    after_number: Words
    pronouns: Words
    pointing: Words
    before_inline: Words
    after_letter: Words
    before_colour: Words
    before_list: Words
    list_verbs: Words
    together: Words


class AgainWords(Strict):
    """Around a name that the note has made known."""

    other_letters: Words
    hive_nouns: Words
    speaks: Words
    breaks: Words
    verbs: Words
    gave: Words
    given: Words
    opens: Words
    back: Words
    to: Words
    keeper: Words


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
    arrived: Words
    on_the_way: Words
    turning: Words
    stepping: Words
    goes_on: Words
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
    pointing: Words
    repair: Words


class ToldWords(Strict):
    """Around the name of a colony of which nothing else is told."""

    aside: Words
    no_all: Words
    all_alone: Words
    all_that: Words
    all_well: Words
    all_begins: Words
    all_tests: Words
    owners: Words
    origin: Words
    brought: Words
    compared: Words


class MentionWords(Strict):
    """``mentions.toml``"""

    common: CommonWords
    hive: HiveNounWords
    before_hive: BeforeHiveWords
    numbered: NumberedWords
    codes: CodeWords
    heads: LineHeadWords
    again: AgainWords
    yards: YardWords
    settle: SettleWords
    told: ToldWords


class LetterWords(Strict):
    """Around single letters, and words that are terms only in company."""

    counts: Words
    company: Words
    counted: Words
    nouns: Words
    owning: Words
    articles: Words
    glued: dict[str, str]
    shouted: Words
    shorthand: Words
    words: Words
    before: Words
    not_fillers: Words
    frames: Words


class PronounWords(Strict):
    """Around number words that stand for a thing: "the one by the gate"."""

    words: Words
    before: Words
    after: Words
    leads: Words
    groups: Words
    of: Words
    them: Words


class JoinWords(Strict):
    """By which items are joined."""

    ranges: Words
    either: Words
    not_ranges: Words
    lists: Words
    aloud: Words
    spelling: Words
    into: Words
    level: Words
    asking: Words
    out_from: Words


class DayCompany(Strict):
    """Around days, and what only looks like one."""

    lying: Words
    boards: Words
    planning: Words
    dropped: Words
    short: Words
    scores: Words
    before_dotted: Words
    bullets: Words
    before_short: Words


class UnitCompany(Strict):
    """Around units."""

    parts_added: Words
    seconds: Words
    scales: Words
    capitals: Words
    scale_letters: Words
    frames: Words


class ItemWords(Strict):
    """``items.toml``"""

    glued: Words
    letters: LetterWords
    pronouns: PronounWords
    joins: JoinWords
    days: DayCompany
    units: UnitCompany


class RoleWords(Strict):
    """``roles.toml``"""

    rounds: Words
    first: Words
    later: Words
    the: Words
    soft_repairs: Words
    passing: Words
    sums_after: Words
    mites: Words
    of_round: Words
    gave: Words
    more: Words
    another: Words
    lists: Words


class CellWords(Strict):
    """In the cells of a table."""

    yes: Words
    no: Words
    denied: Words


class BesideNames(Strict):
    """Around counts beside the name of a colony."""

    before: Words
    opens: Words
    none_before: Words
    between: Words
    ends: Words
    passed: Words
    within: Words
    none: Words
    showed: Words
    none_phrases: Phrases
    dealt: Words
    dealt_between: Words


class BareNumbers(Strict):
    """Around numbers without a noun of their own."""

    words: Words
    any: Words
    naming: Words
    pronouns: Words
    pointing: Words
    having: Words


class AloneWords(Strict):
    """Around numbers that are a sentence by themselves."""

    before: Words


class CountWords(Strict):
    """``counts.toml``"""

    cells: CellWords
    names: BesideNames
    bare: BareNumbers
    alone: AloneWords


class BoardWords(Strict):
    """Around sticky boards."""

    under: Words
    dated: Words
    lying: Words
    put_in: Words
    lay_from: Words
    taken_out: Words


class EachWords(Strict):
    """Words by an amount or a frame that holds for every jar taken from one colony."""

    after: Words
    before: Words


class DroneWords(Strict):
    """Within the words of a drone brood test."""

    parts: Words


class SampleWords(Strict):
    """``samples.toml``"""

    boards: BoardWords
    drone: DroneWords
    each: EachWords


class TreatmentWords(Strict):
    """Around treatments."""

    bare: Words
    pronouns: Words
    forms: Words
    told: Words
    timeless: Phrases
    takes_out: Words
    of_hives: Words
    treated: Words
    given_beside: Words
    given_within: Words
    conditions: Words
    no_conditions: Words
    to_come: Words
    not_starts: Words
    did: Words
    got: Words
    determiners: Words
    in_hives: Words


class FeedWords(Strict):
    """Around feed."""

    taken: Words
    given: Words


class SuperWords(Strict):
    """Around supers."""

    many: Words


class ChoreWords(Strict):
    """``chores.toml``"""

    treatments: TreatmentWords
    feed: FeedWords
    supers: SuperWords


class Heard(Strict):
    """Sound-alikes of one word and the company in which they are read as it.

    The company names words or, as "<group>", a group of them. ``before`` and ``after`` must hold
    for the next word and the word before; ``needs`` for one of the next three words;
    ``unless_lead`` is looked for in the word two before; none of
    ``unless_lately`` may be among the last six words, none of ``unless_soon`` among the next five.
    """

    texts: Phrases = Field(min_length=1)
    means: Phrase
    before: Words = frozenset()
    after: Words = frozenset()
    needs: Words = frozenset()
    unless_before: Words = frozenset()
    unless_after: Words = frozenset()
    unless_lead: Words = frozenset()
    unless_lately: Words = frozenset()
    unless_soon: Words = frozenset()

    @field_validator("means")
    @classmethod
    def _one_word(cls, means: str) -> str:
        if " " in means:
            raise ValueError("must be one word")
        return means

    @property
    def company(self) -> frozenset[str]:
        """Every word and group that it names."""
        return frozenset().union(
            self.before, self.after, self.needs,
            self.unless_before, self.unless_after, self.unless_lead, self.unless_lately,
            self.unless_soon,
        )  # fmt: skip


NUMBER_GROUP = "number"
"""The group of company that stands for every number, in words or digits."""


class Mishearings(Strict):
    """``mishearings.toml``"""

    groups: dict[str, Words]
    heard: tuple[Heard, ...]

    @model_validator(mode="after")
    def _known_groups(self) -> Mishearings:
        for heard in self.heard:
            for name in heard.company:
                group = name.strip("<>")
                if name.startswith("<") and group not in (*self.groups, NUMBER_GROUP):
                    raise ValueError(f"{heard.texts[0]!r} names no group: {name}")
        return self


class Bind(Strict):
    """A rule of ``bindings.toml``: forms that give a value, or a fixed ``value``, to a slot."""

    slot: str
    weight: float = 3.0
    forms: tuple[str, ...] = Field(min_length=1)
    value: Any = None

    @model_validator(mode="after")
    def _of_a_slot(self) -> Bind:
        if self.slot not in SLOTS:
            raise ValueError(f"there is no slot {self.slot!r}")
        if self.value is not None:
            fixed_value(self.slot, self.value)
        return self


class Bindings(Strict):
    """``bindings.toml``"""

    macro: dict[str, str] = Field(default_factory=dict)
    bind: tuple[Bind, ...]


PLACES = ("of", "words", "colony", "value", "options")
"""What a question's text may name in braces: " for hive 7", the words in doubt, and so on."""


class Wording(Strict):
    """How one kind of question is put; ``text`` may hold the :data:`PLACES`."""

    field: AskField
    kind: AskKind
    method: Method | None = None
    text: Said
    options: tuple[Said, ...] = ()

    @field_validator("text")
    @classmethod
    def _known_places(cls, text: str) -> str:
        try:
            text.format(**dict.fromkeys(PLACES, ""))
        except (KeyError, ValueError, IndexError) as error:
            raise ValueError(f"cannot be filled in ({error})") from None
        return text


class Questions(Strict):
    """``questions.toml``: ``order`` is what matters most for a sample, first."""

    order: Phrases
    question: tuple[Wording, ...]
    value_names: dict[str, str]
