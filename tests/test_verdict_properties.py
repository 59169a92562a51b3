"""What no verdict may do, whatever the figure and whatever stands around it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any, get_args

from hypothesis import example, given, settings
from hypothesis import strategies as st

from fieldnotes.estimate.basis import BASES, Figure
from fieldnotes.estimate.verdict.records import SEVERITY, Verdict
from fieldnotes.estimate.verdict.situation import Choice, Situation, TreatmentRun
from fieldnotes.estimate.verdict.treating import Conditions, treatments_now
from fieldnotes.estimate.verdict.verdicts import verdict_of
from fieldnotes.grammar.advice import known_advice
from fieldnotes.grammar.thresholds import known_thresholds
from fieldnotes.grammar.treatments import known_treatments
from fieldnotes.records import Active, Method
from tests.situations import JULY, board, drones, jar

GUIDELINES = {guideline.id: guideline for guideline in known_thresholds().guidelines}
LIMITS = {limit.id: limit for g in GUIDELINES.values() for limit in g.limit}
PLACES = sorted({place for g in GUIDELINES.values() for place in g.places} | {"NZ", "IE"})
ALL_YEAR = ["usda_tucson", "california", "florida", "rule_of_thumb", "drone_cells_germany"]
CHOICES = st.one_of(  # most guidelines hold for a month or two: those that always do come often
    st.builds(Choice, guideline=st.sampled_from(ALL_YEAR)),
    st.builds(Choice, place=st.just("US"), guideline=st.sampled_from(ALL_YEAR)),
    st.builds(Choice, place=st.sampled_from(["US", "US-CA", "DE-RP", "DE-BY", "FR-GES"])),
    st.builds(Choice, place=st.sampled_from(PLACES)),
    st.builds(Choice, guideline=st.sampled_from(sorted(GUIDELINES))),
    st.builds(Choice, place=st.sampled_from(PLACES), guideline=st.sampled_from(sorted(GUIDELINES))),
)
DAYS = st.dates(dt.date(2026, 1, 1), dt.date(2027, 12, 31)) | st.dates(
    dt.date(2026, 7, 1), dt.date(2026, 8, 31)
)


def seldom(what: st.SearchStrategy[Any], usual: Any = None) -> st.SearchStrategy[Any]:
    """``usual`` three times out of four, so that verdicts other than "can't say" come often."""
    return st.integers(0, 3).flatmap(lambda n: what if n == 0 else st.just(usual))


@st.composite
def runs(draw: st.DrawFn, day: dt.date) -> TreatmentRun:
    first = draw(st.none() | st.dates(day - dt.timedelta(days=90), day + dt.timedelta(days=9)))
    last = draw(st.none() | st.dates(first or day - dt.timedelta(days=60), day + dt.timedelta(9)))
    return TreatmentRun(draw(st.sampled_from(get_args(Active))), first, last)


@st.composite
def around(draw: st.DrawFn) -> dict[str, Any]:
    """All that stands around a figure, drawn; foulbrood apart."""
    day = draw(DAYS)
    month = st.dates(day - dt.timedelta(days=40), day + dt.timedelta(days=20))
    signs = st.sampled_from(["deformed_wings", "spotty_brood", "crawling_bees", "wax_moth"])
    return {
        "day": day,
        "brood": draw(st.sampled_from(["worker brood", "none", "not said"])),
        "reads": draw(seldom(st.sampled_from(["low", "high", "either"]))),
        "frame": draw(seldom(st.sampled_from(["brood", "honey", "super"]))),
        "treatments": draw(seldom(st.none() | st.lists(runs(day), max_size=2).map(tuple), ())),
        "break_ended": draw(seldom(month)),
        "signs": frozenset(draw(seldom(st.sets(signs, max_size=2), set()))),
        "incidents": tuple(draw(seldom(st.lists(month, max_size=2), []))),
        "of": draw(st.sampled_from(["colony", "colony", "yard mean"])),
        "colony_kind": draw(st.none() | st.sampled_from(["production", "nucleus"])),
        "projected": draw(st.none() | month),
    }


@st.composite
def situations(draw: st.DrawFn) -> Situation:
    things = draw(around())
    match draw(st.sampled_from(["jar", "jar", "board", "drones"])):
        case "jar":
            method = draw(st.sampled_from(["alcohol", "sugar", "sugar", "soap", "ether", "co2"]))
            bees = draw(st.sampled_from([100, 300, 500]))
            return jar(draw(st.integers(0, 12) | st.integers(0, 60)), bees, method=method, **things)
        case "board":
            return board(draw(st.integers(0, 20) | st.integers(0, 150)), 3, **things)
        case _:
            return drones(draw(st.integers(0, 5) | st.integers(0, 60)), **things)


def more(situation: Situation, by: int) -> Situation:
    """The same with a higher count."""
    figure = situation.figure
    assert figure is not None
    assert figure.value is not None
    things = {
        name: getattr(situation, name)
        for name in (
            "day", "brood", "reads", "frame", "treatments", "break_ended", "signs", "incidents",
            "of", "colony_kind", "projected", "method", "chance_above",
        )
    }  # fmt: skip
    if situation.mites is not None and situation.bees is not None:
        return jar(situation.mites + by, int(situation.bees), **things)
    if situation.method == "sticky_board":
        return board(round(figure.value * 3) + by, 3, **things)
    return drones(round(figure.value) + by, **things)


def limits_of(verdict: Verdict) -> list[str]:
    own = [] if verdict.limit is None else [verdict.limit.row]
    return own + [other.limit.row for other in verdict.conflicts]


@settings(max_examples=300, deadline=None)
@given(situations(), CHOICES, st.integers(1, 40))
@example(jar(3, brood="not said", method="sugar"), Choice(guideline="rule_of_thumb"), 6)
@example(jar(0, signs=frozenset({"deformed_wings"})), Choice(guideline="california"), 7)
def test_a_higher_count_is_never_judged_more_mildly(
    situation: Situation, choice: Choice, by: int
) -> None:
    milder, stricter = verdict_of(situation, choice), verdict_of(more(situation, by), choice)
    assert SEVERITY[stricter.says] >= SEVERITY[milder.says]


@settings(max_examples=300, deadline=None)
@given(situations(), CHOICES)
@example(jar(9, brood="not said"), Choice(guideline="rule_of_thumb"))
def test_only_limits_that_may_decide_do(situation: Situation, choice: Choice) -> None:
    """Not from memory, on the basis of the figure, by its method, in its season."""
    verdict = verdict_of(situation, choice)
    figure = situation.figure
    assert figure is not None
    for name in limits_of(verdict):
        limit = LIMITS[name]
        assert limit.cited.status != "memory"
        assert situation.method in limit.methods
        jar_bases = {"mites_per_100_adult_bees", "mites_per_100_bees_doubled"}
        if figure.basis in jar_bases:
            assert limit.basis in jar_bases
        else:
            assert limit.basis == figure.basis
    if verdict.limit is not None and verdict.limit.basis != figure.basis:
        assert any("doubled" in reason for reason in verdict.reasons)
    for other in verdict.conflicts:
        assert (other.converted is not None) == (other.limit.basis != figure.basis)
    if verdict.says in ("fine for now", "look again"):
        assert verdict.limit is not None
    if choice.guideline is not None and verdict.limit is not None:
        assert verdict.limit.guideline == choice.guideline or verdict.limit.force == "legal duty"


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from(sorted(BASES)),
    st.floats(0, 100),
    st.sampled_from(get_args(Method)),
    st.sampled_from(["worker brood", "none", "not said"]),
    DAYS,
    CHOICES,
)
def test_a_figure_on_another_basis_never_drives(
    basis: Any, number: float, method: Any, brood: Any, day: dt.date, choice: Choice
) -> None:
    """Whatever the method claims to be, the figure's own type decides what it may meet."""
    figure: Figure = BASES[basis](value=number, low=0.0, high=number)
    found = verdict_of(
        Situation(figure, day=day, method=method, brood=brood, treatments=()), choice
    )
    meets = {
        "mites_per_100_adult_bees": {"mites_per_100_adult_bees", "mites_per_100_bees_doubled"},
        "mites_per_100_bees_doubled": {"mites_per_100_adult_bees", "mites_per_100_bees_doubled"},
        "mites_per_day_natural": {"mites_per_day_natural"},
        "percent_drone_cells": {"percent_drone_cells"},
    }.get(basis, set())
    assert {LIMITS[name].basis for name in limits_of(found)} <= meets
    if not meets:
        assert (found.says, found.limit) == ("can't say", None)


@settings(max_examples=300, deadline=None)
@given(situations(), CHOICES)
@example(
    jar(0, 100, brood="not said", break_ended=JULY), Choice(guideline="rule_of_thumb")
)  # two dates, by brood
def test_the_next_date_is_near(situation: Situation, choice: Choice) -> None:
    verdict = verdict_of(situation, choice)
    if verdict.by is None or situation.day is None:
        assert verdict.says in ("act", "can't say")
        return
    ahead = (verdict.by - situation.day).days
    assert 0 <= ahead <= (60 if situation.brood == "none" else 30)
    assert verdict.not_before is None or verdict.not_before <= verdict.by
    if situation.projected is not None and not situation.treatments:  # these break the line
        assert verdict.by <= max(situation.projected, situation.day)


@settings(max_examples=300, deadline=None)
@given(situations(), CHOICES)
def test_fine_is_hard_to_earn(situation: Situation, choice: Choice) -> None:
    """Never with an upper limit at the act level, a treatment in or just over, signs, or doubt."""
    verdict = verdict_of(situation, choice)
    if verdict.says != "fine for now":
        return
    figure, day, limit = situation.figure, situation.day, verdict.limit
    assert figure is not None
    assert day is not None
    assert limit is not None
    assert figure.high is not None
    if limit.basis == figure.basis:
        assert figure.high <= limit.act
    assert situation.reads not in ("low", "either")
    assert not situation.signs & {"deformed_wings", "spotty_brood", "crawling_bees"}
    for run in situation.treatments or ():
        shakes = run.active not in ("drone_removal", "brood_break")
        over = run.last is not None and run.last < day
        if shakes and over and run.first is not None:
            assert run.last is not None
            assert (day - run.last).days >= known_advice().after.cycle_days
    if situation.break_ended is not None and situation.break_ended <= day:
        assert (day - situation.break_ended).days >= known_advice().after.cycle_days


@settings(max_examples=200, deadline=None)
@given(situations(), CHOICES, st.floats(0, 1), st.floats(0, 1))
def test_a_larger_chance_is_never_judged_more_mildly(
    situation: Situation, choice: Choice, one: float, other: float
) -> None:
    less, greater = sorted((one, other))
    mild = verdict_of(replace(situation, chance_above=lambda _: less), choice)
    strict = verdict_of(replace(situation, chance_above=lambda _: greater), choice)
    assert SEVERITY[strict.says] >= SEVERITY[mild.says]


@settings(max_examples=200, deadline=None)
@given(situations(), CHOICES)
def test_a_sign_never_makes_it_milder(situation: Situation, choice: Choice) -> None:
    signs = situation.signs | {"deformed_wings"}
    plain = verdict_of(replace(situation, signs=frozenset()), choice)
    marked = verdict_of(replace(situation, signs=signs), choice)
    assert SEVERITY[marked.says] >= SEVERITY[plain.says]


@settings(max_examples=150, deadline=None)
@given(situations(), CHOICES)
def test_every_question_can_change_the_verdict(situation: Situation, choice: Choice) -> None:
    """Asked for brood: the two answers differ. Settled brood and treatments: nothing is asked."""
    verdict = verdict_of(situation, choice)
    asked = {ask.text for ask in verdict.asks}
    brood = any("worker brood" in text for text in asked)
    says = {
        verdict_of(situation.with_brood("none"), choice).says,
        verdict_of(situation.with_brood("worker brood"), choice).says,
    }
    assert brood == (situation.brood == "not said" and len(says) == 2)
    if situation.treatments is not None:
        assert not any("treatment" in text for text in asked)
    if verdict.says != "act":
        assert not any("supers" in text for text in asked)


# Treatments.

CONDITIONS = st.builds(
    Conditions,
    supers_on=st.none() | st.booleans(),
    temperature_c=st.none() | st.floats(-10, 50),
    brood=st.none() | st.sampled_from(["worker brood", "none"]),
    bees=st.none() | st.integers(500, 60000),
)


def against(conditions: Conditions, active: str, form: str) -> dict[str, list[str]]:
    """Texts against one treatment, by kind."""
    (found,) = [
        each for each in treatments_now(conditions) if (each.active, each.form) == (active, form)
    ]
    kinds: dict[str, list[str]] = {}
    for each in found.against:
        kinds.setdefault(each.kind, []).append(each.text)
    return kinds


def test_what_is_excluded_now() -> None:
    hot = Conditions(supers_on=True, temperature_c=32, brood="worker brood", bees=30000)
    assert any("supers on" in text for text in against(hot, "amitraz", "strips")["excluded"])
    formic = against(hot, "formic_acid", "strips")["excluded"]
    assert all("too hot" in text for text in formic)
    oxalic = against(hot, "oxalic_acid", "trickle")
    assert "excluded" not in oxalic
    assert all("sealed brood: reaches only mites on bees" in text for text in oxalic["limited"])
    mild = Conditions(supers_on=False, temperature_c=20, brood="none", bees=30000)
    assert "excluded" not in against(mild, "amitraz", "strips")
    assert "limited" not in against(mild, "oxalic_acid", "trickle")
    cold = Conditions(temperature_c=9.9, bees=9999)
    texts = against(cold, "formic_acid", "strips")["excluded"]
    assert any("too cold" in text for text in texts)
    assert any("too weak" in text for text in texts)


def test_what_is_not_known_is_said_to_be_so() -> None:
    nothing = Conditions()
    assert any("it matters" in t for t in against(nothing, "amitraz", "strips")["not known"])
    thymol = against(Conditions(temperature_c=45, supers_on=True), "thymol", "gel")
    assert "excluded" not in thymol  # its warmth and supers are recalled only
    assert any("recalled, not confirmed" in text for text in thymol["not known"])
    assert (
        "supers: not known; the label decides"
        in against(nothing, "oxalic_acid", "vapour")["not known"]
    )


@given(CONDITIONS)
def test_no_treatment_is_ever_called_allowed(conditions: Conditions) -> None:
    found = treatments_now(conditions)
    assert {each.active for each in found} == set(known_treatments())
    for each in found:
        for one in each.against:
            assert one.kind in ("excluded", "limited", "warning", "not known")
            assert one.source
            assert one.year
            assert "allowed" not in one.text
        recalled = [one for one in each.against if "from memory" in one.source]
        assert all(one.kind == "not known" for one in recalled)
        assert each.cautions


@given(CONDITIONS)
def test_supers_and_brood_only_add_to_what_speaks_against(conditions: Conditions) -> None:
    off = replace(conditions, supers_on=False, brood="none")
    on = replace(conditions, supers_on=True, brood="worker brood")
    for one, other in zip(treatments_now(off), treatments_now(on), strict=True):
        kinds = [{(x.kind, x.text) for x in each.against if x.kind != "not known"}
                 for each in (one, other)]  # fmt: skip
        assert kinds[0] <= kinds[1]
