"""Did it work: formulas against published values, limits against references and simulation."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.rates import confint_poisson_2indep, test_poisson_2indep

from fieldnotes.errors import DateError, NumbersError
from fieldnotes.estimate.basis import FallPerDay
from fieldnotes.estimate.dated import DatedCount
from fieldnotes.estimate.efficacy.efficacy import Efficacy, abbott_of, efficacy_of
from fieldnotes.estimate.efficacy.ratios import (
    Ratio,
    abbott,
    abbott_shares,
    divided,
    henderson_tilton,
    killed_share,
    ratio_of,
    reduction,
    widened,
)
from fieldnotes.estimate.efficacy.rows import known_efficacy
from fieldnotes.estimate.efficacy.windows import Course, Pair
from fieldnotes.estimate.student import t_below, t_beyond
from tests.check_values import value

START, END = dt.date(2026, 8, 1), dt.date(2026, 9, 12)
STRIPS = Course("amitraz", START, END)
BEFORE, AFTER = START - dt.timedelta(days=4), END + dt.timedelta(days=16)

exact_p = test_poisson_2indep
exact_p.__test__ = False  # pytest must not take the reference function for a test


def count(day: dt.date, mites: int, of: float = 300, **rest: Any) -> DatedCount:
    return DatedCount(day, mites, of, **({"method": "alcohol", "comb": "brood"} | rest))


def pair(before: int, after: int, colony: str = "7", **rest: Any) -> Pair:
    return Pair(colony, count(BEFORE, before, **rest), count(AFTER, after, **rest))


def said(found: Efficacy, words: str) -> bool:
    return any(words in note for note in found.notes)


# Published worked values.


def test_reduction_abbott_and_henderson_tilton() -> None:
    # Unit tests of a public repository on crop trials; formulas of Abbott (1925) and of
    # Henderson and Tilton (1955).
    row = value("efficacy.reduction_example")
    assert reduction(**row["inputs"]) == row["published_output"]
    row = value("efficacy.abbott.counts_example")
    assert abbott(**row["inputs"]) == row["published_output"]
    row = value("efficacy.henderson_tilton.example")
    assert henderson_tilton(**row["inputs"]) == pytest.approx(row["published_output"], abs=5e-4)


def test_abbott_of_shares() -> None:
    # US EPA, short-term methods for estimating chronic toxicity: corrected proportion.
    row = value("efficacy.abbott.epa")
    assert abbott_shares(**row["inputs"]) == pytest.approx(row["published_output"], abs=5e-8)


def test_published_values_through_whole_counts() -> None:
    row = value("efficacy.henderson_tilton.example")["inputs"]
    treated = pair(row["treated_before"], row["treated_after"])
    control = pair(row["control_before"], row["control_after"], "control")
    found = efficacy_of([treated], STRIPS, [control])
    assert found.formula == "henderson_tilton"
    assert found.percent == pytest.approx(93.333, abs=5e-4)
    row = value("efficacy.abbott.counts_example")["inputs"]
    found = abbott_of([count(AFTER, row["treated"])], [count(AFTER, row["control"])])
    assert found.percent == pytest.approx(80)
    row = value("efficacy.reduction_example")["inputs"]
    assert efficacy_of([pair(row["before"], row["after"])], STRIPS).percent == pytest.approx(75)


def test_the_windows_and_standards_are_those_of_the_sources() -> None:
    rows = known_efficacy()
    # BEEBOOK, section 4.5.4, after the EU guideline; 14 days until mites have left the cells.
    assert rows.standard_for("amitraz").percent == value("efficacy.standard.synthetic")["low"]  # type: ignore[union-attr]
    other = value("efficacy.standard.nonsynthetic")["low"]
    assert rows.standard_for("thymol").percent == other  # type: ignore[union-attr]
    assert rows.standard_for("other") is None
    assert rows.followup.percent == value("efficacy.followup.min")["number"]
    assert rows.window.after_from_days == value("efficacy.wait.min")["low"]
    # Common practice: retest two to four weeks after.
    retest = value("schedule.retest_days", status="common practice")
    assert rows.window.after_to_days == 7 * retest["high"]
    assert rows.window.after_from_days == 7 * retest["low"]
    # Textbook figures of brood development.
    assert rows.brood.worker_capped == value("bee.worker.capped")["number"]
    assert rows.brood.worker_total == value("bee.worker.total")["number"]
    assert rows.brood.drone_capped == value("bee.drone.capped")["number"]
    assert rows.window.after_from_days >= rows.brood.worker_capped


# Limits against references.


@pytest.mark.parametrize(
    ("after", "bees_after", "before", "bees_before"),
    [(2, 3.0, 6, 3.0), (5, 3.1, 50, 2.8), (0, 3.0, 12, 3.0), (40, 3.0, 30, 5.0), (3, 9.0, 3, 1.0)],
)
def test_limits_invert_the_exact_test(
    after: int, bees_after: float, before: int, bees_before: float
) -> None:
    # statsmodels: the exact conditional test of two Poisson rates has a one-sided P of 2.5 % there.
    found = ratio_of(after, bees_after, before, bees_before)
    for limit, side in ((found.low, "larger"), (found.high, "smaller")):
        if limit > 0:
            p = exact_p(after, bees_after, before, bees_before, value=limit,
                        method="exact-cond", alternative=side).pvalue  # fmt: skip
            assert p == pytest.approx(0.025, rel=1e-6)


def test_limits_agree_with_the_score_limits_of_large_counts() -> None:
    found = ratio_of(400, 30, 900, 30)
    low, high = confint_poisson_2indep(400, 30, 900, 30, method="score", compare="ratio")
    assert (found.low, found.high) == pytest.approx((low, high), rel=0.01)


def test_student() -> None:
    for freedom in (1, 2, 3, 7, 30, 200):
        for level in (0.5, 0.8, 0.95, 0.99):
            t = t_beyond(level, freedom)
            assert t == pytest.approx(stats.t.ppf((1 + level) / 2, freedom), rel=1e-7)
            assert t_below(t, freedom) == pytest.approx((1 + level) / 2, abs=1e-9)
            assert t_below(-t, freedom) == pytest.approx((1 - level) / 2, abs=1e-9)


def test_limits_hold_the_truth_where_bees_are_doubtful_and_colonies_differ() -> None:
    rng = np.random.default_rng(20260801)
    spread, turns = 0.2, 600
    held = {1: 0, 6: 0}
    for colonies in held:
        for _ in range(turns):
            level = 4.0 * rng.gamma(2, 0.5, colonies)
            # Each colony has an effect of its own around the one that is looked for.
            left = 0.15 * (rng.gamma(8, 1 / 8, colonies) if colonies > 1 else np.ones(1))
            bees = 3 * rng.gamma(spread**-2, spread**2, (2, colonies))
            before = rng.poisson(level * bees[0])
            after = rng.poisson(level * left * bees[1])
            found = efficacy_of(
                [pair(int(b), int(a), str(i), spread=spread)
                 for i, (b, a) in enumerate(zip(before, after, strict=True))],
                STRIPS,
            )  # fmt: skip
            low = -math.inf if found.low is None else found.low
            high = 100.0 if found.high is None else found.high
            held[colonies] += low <= 85 <= high
    for colonies, good in held.items():
        assert 0.93 <= good / turns <= 1.0, colonies


def test_a_control_that_did_not_change_only_widens() -> None:
    alone = efficacy_of([pair(60, 6)], STRIPS)
    beside = efficacy_of([pair(60, 6)], STRIPS, [pair(50, 50, "control")])
    assert beside.percent == pytest.approx(alone.percent)
    assert beside.low < alone.low <= alone.percent <= alone.high < beside.high  # type: ignore[operator]


def test_ratios_of_ratios_against_simulation() -> None:
    # The spread of the log of four Poisson counts' double ratio is the root of the sum of 1 / n.
    treated, control = ratio_of(100, 3, 400, 3), ratio_of(300, 3, 250, 3)
    found = divided(treated, control)
    sigma = math.sqrt(1 / 100 + 1 / 400 + 1 / 300 + 1 / 250)
    assert math.log(found.high / found.low) == pytest.approx(2 * 1.96 * sigma, rel=0.03)
    assert widened(treated, 0.0) == treated
    none = Ratio(0.0, 0.0, 0.3)
    assert divided(treated, none) == Ratio(math.inf, 0.0, math.inf)


# What is said with a figure.


def test_one_colony_proves_little_and_the_yard_more() -> None:
    # From 6 to 2 mites in 300 the reduction is 67 percent, and the limits hold no change at all.
    one = efficacy_of([pair(6, 2)], STRIPS)
    assert one.percent == pytest.approx(200 / 3)
    assert one.low < 0 < 67 < one.high  # type: ignore[operator]
    assert said(one, "One colony proves little")
    counts = [(6, 2), (9, 2), (15, 4), (8, 3), (12, 4), (10, 3)]
    yard = efficacy_of([pair(*each, str(i)) for i, each in enumerate(counts)], STRIPS)
    assert yard.colonies == 6
    assert yard.percent == pytest.approx(70)
    assert yard.high - yard.low < one.high - one.low  # type: ignore[operator]
    assert not said(yard, "proves little")
    assert said(efficacy_of([pair(6, 2, "1"), pair(9, 2, "2")], STRIPS), "Only 2 colonies")


def test_zero_before_and_zero_after() -> None:
    none = efficacy_of([pair(0, 3)], STRIPS)
    assert (none.percent, none.low, none.high, none.at_least) == (None,) * 4
    assert none.withheld is not None
    assert "no percentage" in none.withheld
    gone = efficacy_of([pair(30, 0)], STRIPS)
    assert gone.percent is None
    assert 80 < gone.at_least < 100  # type: ignore[operator]
    assert said(gone, "at least")
    few = efficacy_of([pair(2, 0)], STRIPS)
    assert (few.percent, few.at_least) == (None, None)
    assert few.withheld is not None


def test_more_mites_after_than_before() -> None:
    found = efficacy_of([pair(6, 12)], STRIPS)
    assert found.percent == pytest.approx(-100)
    assert found.high < 95  # type: ignore[operator]


@pytest.mark.parametrize(
    ("days", "brood", "early"), [(0, None, True), (11, True, True), (13, None, True),
                                 (14, None, False), (3, False, False)],
)  # fmt: skip
def test_too_early_while_brood_has_not_emerged(days: int, brood: bool | None, early: bool) -> None:
    after = count(END + dt.timedelta(days=days), 2)
    course = Course("amitraz", START, END, brood)
    found = efficacy_of([Pair("7", count(BEFORE, 20), after)], course)
    assert found.early is early
    assert said(found, "too early") is early
    assert not early or said(found, "26 September 2026")


def test_too_late_and_too_old() -> None:
    after = count(END + dt.timedelta(days=40), 2)
    old = count(START - dt.timedelta(days=30), 20)
    found = efficacy_of([Pair("7", old, after)], STRIPS)
    assert said(found, "late: growth and mites")
    assert said(found, "days older than the treatment")


@pytest.mark.parametrize(
    ("before", "after", "why"),
    [
        (count(AFTER, 9), count(BEFORE, 2), "does not lie after"),
        (count(START + dt.timedelta(days=2), 9), count(AFTER, 2), "after the treatment began"),
        (count(BEFORE, 9), count(END - dt.timedelta(days=2), 2), "before the treatment ended"),
        (count(BEFORE, 9, method="sugar"), count(AFTER, 2), "two ways, sugar and alcohol"),
        (count(BEFORE, 9, comb="honey"), count(AFTER, 2), "two kinds of comb, honey and brood"),
        (count(BEFORE, 9), count(AFTER, 9, 5, basis=FallPerDay), "cannot be compared"),
    ],
)  # fmt: skip
def test_counts_that_cannot_be_compared_give_no_figure(
    before: DatedCount, after: DatedCount, why: str
) -> None:
    found = efficacy_of([Pair("Willow", before, after)], STRIPS)
    assert (found.percent, found.low, found.high) == (None, None, None)
    assert found.withheld is not None
    assert found.withheld.startswith("Willow: ")
    assert why in found.withheld
    # Beside a pair that can be compared it is set aside, with its reason.
    both = efficacy_of([pair(20, 2), Pair("Willow", before, after)], STRIPS)
    assert both.colonies == 1
    assert said(both, why)


def test_low_efficacy_hints_at_its_causes() -> None:
    pairs = [pair(40, 20, str(i)) for i in range(6)]
    strips = efficacy_of(pairs, STRIPS)
    assert said(strips, "resist")
    assert said(strips, "carried in from other colonies")
    acid = efficacy_of(pairs, Course("oxalic_acid", START, START))
    assert said(acid, "under cappings")
    assert not said(acid, "resist")
    # One colony with few mites: chance alone could do that.
    assert said(efficacy_of([pair(6, 2)], STRIPS), "chance alone could do that")
    good = efficacy_of([pair(400 // 4, 1, str(i)) for i in range(8)], STRIPS)
    assert not said(good, "elow")
    unknown = efficacy_of(pairs, Course(None, START, END))
    assert not said(unknown, "hints")


def test_untreated_colonies_are_wanted_and_checked() -> None:
    assert said(efficacy_of([pair(20, 2)], STRIPS), "Without untreated colonies")
    poor = efficacy_of([pair(20, 2)], STRIPS, [pair(5, 0, "control")])
    assert poor.formula == "reduction"
    assert said(poor, "too few mites")
    wrong = Pair("control", count(BEFORE, 9, method="sugar"), count(AFTER, 9))
    aside = efficacy_of([pair(20, 2)], STRIPS, [wrong, pair(20, 30, "other")])
    assert aside.formula == "henderson_tilton"
    assert said(aside, "Untreated set aside: control")
    assert aside.percent == pytest.approx(100 * (1 - 2 * 20 / (20 * 30)))


def test_abbott_needs_both_sides_counted_alike() -> None:
    assert abbott_of([], [count(AFTER, 9)]).withheld is not None
    assert abbott_of([count(AFTER, 1)], [count(AFTER, 0)]).withheld is not None
    mixed = abbott_of([count(AFTER, 1)], [count(AFTER, 9, method="sugar")])
    assert mixed.withheld == "The colonies were not all counted in the same way."


# Bad input and laws.


def test_impossible_numbers_are_errors() -> None:
    for call in (
        lambda: reduction(0, 3),
        lambda: reduction(-1, 3),
        lambda: abbott(0, 0),
        lambda: abbott_shares(0.5, 1.0),
        lambda: abbott_shares(1.5, 0.0),
        lambda: henderson_tilton(0, 1, 1, 1),
        lambda: henderson_tilton(5, 1, 5, 0),
        lambda: killed_share(0, 0),
        lambda: killed_share(math.nan, 1),
        lambda: ratio_of(0, 3, 0, 3),
        lambda: ratio_of(1, 0, 1, 3),
    ):
        with pytest.raises(NumbersError):
            call()
    with pytest.raises(DateError):
        Course("amitraz", END, START)


mites = st.integers(0, 300)


@given(st.lists(st.tuples(mites, mites), min_size=1, max_size=8), st.sampled_from([0, 0.2, 0.5]))
def test_any_yard_gets_sound_limits_or_a_reason(
    drawn: list[tuple[int, int]], spread: float
) -> None:
    pairs = [pair(b, a, str(i), spread=spread) for i, (b, a) in enumerate(drawn)]
    found = efficacy_of(pairs, STRIPS)
    given_ = [x for x in (found.percent, found.at_least) if x is not None]
    assert len(given_) == (0 if found.withheld else 1)
    if found.percent is not None:
        assert found.high is not None
        assert found.percent <= found.high + 1e-9 <= 100 + 1e-8
        assert found.low is None or found.low <= found.percent + 1e-9
        before, after = (sum(column) for column in zip(*drawn, strict=True))
        assert found.percent == pytest.approx(reduction(before, after))


@given(st.integers(1, 500), st.integers(0, 500), st.integers(1, 500), st.integers(1, 500))
def test_henderson_tilton_is_the_reduction_where_the_untreated_stay(
    before: int, after: int, control: int, other: int
) -> None:
    assert henderson_tilton(before, after, control, control) == pytest.approx(
        reduction(before, after)
    )
    # It is Abbott's formula where both groups began alike.
    assert henderson_tilton(control, after, control, other) == pytest.approx(abbott(other, after))


@given(st.integers(1, 200), st.integers(1, 200), st.floats(0, 0.5))
def test_doubt_widens_and_turning_over_mirrors(over: int, under: int, spread: float) -> None:
    plain, doubtful = ratio_of(over, 3, under, 3), ratio_of(over, 3, under, 3, spread=spread)
    assert doubtful.low <= plain.low * (1 + 1e-9)
    assert doubtful.high >= plain.high * (1 - 1e-9)
    turned = ratio_of(under, 3, over, 3, spread=spread)
    assert 1 / turned.high == pytest.approx(doubtful.low, rel=1e-6)
