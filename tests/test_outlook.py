"""Growth of mites: the line, its dates and its words, against published rates and simulations."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from fieldnotes.errors import DateError, FieldnotesError, GrammarError, NumbersError
from fieldnotes.estimate.basis import (
    FallPerDay,
    PercentDroneCells,
    PerHundredAdults,
    PerHundredDoubled,
    TreatedFallPerDay,
)
from fieldnotes.estimate.dated import DatedCount, Happening
from fieldnotes.estimate.efficacy.rows import load_efficacy
from fieldnotes.estimate.growth.crossing import crossing_of
from fieldnotes.estimate.growth.growth import growth_of
from fieldnotes.estimate.growth.line import line_of
from fieldnotes.estimate.growth.outlook import Outlook, doubling, outlook_of
from fieldnotes.estimate.growth.rows import known_growth, load_growth
from fieldnotes.estimate.growth.words import in_words
from fieldnotes.estimate.yard.rows import load_plans
from fieldnotes.grammar import grammars_folder
from fieldnotes.grammar.protocols import load_sources
from tests.check_values import value
from tests.simulated_growth import PLANS, WANTED, outcomes

JUNE = dt.date(2026, 6, 1)
ACT = PerHundredAdults(value=3.0)


def day(days: int) -> dt.date:
    """So many days after the first of June."""
    return JUNE + dt.timedelta(days=days)


def count(days: int, mites: int, of: float = 300, **rest: Any) -> DatedCount:
    rest = {"method": "alcohol", "comb": "brood"} | rest
    return DatedCount(day(days), mites, of, **rest)


def outlook(*counts: DatedCount, today: int = 60, **rest: Any) -> Outlook:
    return outlook_of(counts, rest.pop("happenings", ()), ACT, today=day(today), **rest)


# The published rates.


def test_published_doubling_time() -> None:
    # Weblog Bee Surprised (June 2026) quoting Oliver R: 0.021 a day, doubling in 33 days.
    rate, published = value("growth.daily_r")["number"], value("growth.daily_r.doubling")
    assert known_growth().prior.daily == rate == published["inputs"]["r"]
    found = doubling(rate)
    assert found is not None
    assert round(found) == published["published_output"]


def test_published_rates_are_those_of_the_sources() -> None:
    rows = {row.cited.check: row for row in known_growth().rate}
    month, ln = 30, math.log
    # Korpela (1992), Finland: under five months of brood, so at least that growth a day.
    korpela = value("growth.year_factor.korpela")
    # Jack CJ et al. (2023), Florida: from 0.25 to 3 mites per 100 bees.
    start = value("growth.florida.start")["number"]
    winter = value("growth.florida.winter_spring_months")
    summer = value("growth.florida.summer_fall_months")
    # Immelieb, Germany; Oliver R, Monitoring varroa; Deutsches Bienen-Journal.
    immelieb = value("growth.month_factor.immelieb")
    expected = {
        "growth.daily_r": (value("growth.daily_r")["number"],) * 2,
        "growth.doubling.oliver": (ln(2) / (month * value("growth.doubling.oliver")["number"]),)
        * 2,
        "growth.doubling.bienenjournal": (
            ln(2) / (7 * value("growth.doubling.bienenjournal")["number"]),
        )
        * 2,
        "growth.month_factor.immelieb": (
            ln(immelieb["low"]) / month,
            ln(immelieb["high"]) / month,
        ),
        "growth.year_factor.korpela": (ln(korpela["low"]) / 150, ln(korpela["high"]) / 150),
        "growth.florida.winter_spring_months": (
            ln(3 / start) / (month * winter["high"]),
            ln(3 / start) / (month * winter["low"]),
        ),
        "growth.florida.summer_fall_months": (ln(3 / start) / (month * summer["high"]), None),
    }
    assert rows.keys() == expected.keys()
    for check, (low, high) in expected.items():
        assert rows[check].low == pytest.approx(low, abs=1e-4)
        assert rows[check].high == (None if high is None else pytest.approx(high, abs=1e-4))


def test_the_prior_holds_every_published_rate() -> None:
    prior = known_growth().prior
    low, high = prior.daily - 1.96 * prior.sigma, prior.daily + 1.96 * prior.sigma
    for row in known_growth().rate:
        assert low < row.low < high
        assert row.high is None or low < row.high < high


def test_the_next_count_is_due_by_published_schedule() -> None:
    # varroa.org.au: once a month where varroa is established. Worker cappings: textbook figures.
    assert 30 / known_growth().ahead.season_days == value("schedule.au.established")["number"]
    capped = value("bee.worker.capped")["number"]
    assert {row.settles_days for row in known_growth().happening} == {0, capped}


# The posterior, against the same model summed up by other means.


def by_brute_force(counts: tuple[DatedCount, ...], levels: int = 1201) -> tuple[float, ...]:
    """Medians and 80 percent limits of level and rate on a wide even grid, with SciPy."""
    prior = known_growth().prior
    level, rate = np.meshgrid(
        np.linspace(-9, 5, levels), np.linspace(-0.07, 0.11, 721), indexing="ij"
    )
    slope = 0.5 if any(c.mites for c in counts) else 1.0
    log = slope * level + stats.norm.logpdf(rate, prior.daily, prior.sigma)
    for each in counts:
        mean = np.exp(level + rate * (each.day - counts[-1].day).days) * each.exposure
        if each.spread:
            k = each.spread**-2
            log += stats.nbinom.logpmf(each.mites, k, k / (k + mean))
        else:
            log += stats.poisson.logpmf(each.mites, mean)
    weight = np.exp(log - log.max())
    found = []
    for axis, values in ((1, level[:, 0]), (0, rate[0])):
        below = np.cumsum(weight.sum(axis=axis))
        below = (below - weight.sum(axis=axis) / 2) / below[-1]
        found += [float(np.interp(q, below, values)) for q in (0.1, 0.5, 0.9)]
    return tuple(found)


@pytest.mark.parametrize(
    "counts",
    [
        (count(0, 4),),
        (count(0, 0), count(28, 0)),
        (count(0, 3, spread=0.15), count(30, 9, spread=0.3)),
        (count(0, 12), count(14, 3), count(28, 8, spread=0.2)),
        (count(0, 2), count(28, 7), count(56, 21), count(84, 60)),
    ],
)
def test_posterior_against_scipy(counts: tuple[DatedCount, ...]) -> None:
    growth = growth_of(counts)
    expected = by_brute_force(counts)
    for chance, log_level, rate in zip((0.1, 0.5, 0.9), expected[:3], expected[3:], strict=True):
        assert math.log(growth.level(chance)) == pytest.approx(log_level, abs=0.03)
        assert growth.daily(chance) == pytest.approx(rate, abs=2e-4)


def test_one_count_of_a_known_rate_is_the_gamma_posterior() -> None:
    # With one exact count the level is a gamma variate: Jeffreys' prior, shape mites + 1/2.
    growth = growth_of([count(0, 6)])
    for chance in (0.025, 0.1, 0.5, 0.9, 0.975):
        expected = stats.gamma.ppf(chance, 6.5) / 3
        assert growth.level(chance) == pytest.approx(expected, rel=0.01)


def test_many_counts_agree_with_a_poisson_regression() -> None:
    # statsmodels: with so many mites the prior hardly matters.
    counts = [
        count(14 * turn, round(300 * math.exp(0.021 * 14 * turn)), 30_000) for turn in range(6)
    ]
    days = np.array([(c.day - counts[-1].day).days for c in counts], dtype=float)
    fit = sm.GLM(
        [c.mites for c in counts],
        sm.add_constant(days),
        family=sm.families.Poisson(),
        offset=np.log([c.exposure for c in counts]),
    ).fit()
    growth = growth_of(counts)
    assert math.log(growth.level(0.5)) == pytest.approx(fit.params[0], abs=0.01)
    assert growth.daily(0.5) == pytest.approx(fit.params[1], abs=1e-4)
    width = (growth.daily(0.975) - growth.daily(0.025)) / (2 * 1.96)
    assert width == pytest.approx(fit.bse[1], rel=0.05)


def test_the_interval_holds_the_day_as_often_as_it_says() -> None:
    # The benchmark benchmarks/crossing.py does the same with more colonies and more ways.
    rng = np.random.default_rng(20260601)
    found = [each for plan in PLANS[:4] for each in outcomes(plan, 350, rng) if each.told]
    assert len(found) > 900
    assert WANTED[0] <= sum(each.held for each in found) / len(found) <= WANTED[1]
    # Neither side alone holds all the misses.
    for side in ("before", "after"):
        assert sum(each.miss == side for each in found) / len(found) < 0.15


# The day of the act level.


def test_a_known_line_crosses_where_arithmetic_says() -> None:
    counts = [count(14 * turn, round(3000 * math.exp(0.03 * 14 * turn)), 3e5) for turn in range(6)]
    now, last = math.exp(0.03 * 70), 70
    crossing = crossing_of(growth_of(counts), PerHundredAdults(value=2 * now))
    expected = day(last) + dt.timedelta(days=math.log(2) / 0.03)
    assert crossing.likely is not None
    assert abs((crossing.likely - expected).days) <= 1
    assert crossing.chance_now < 1e-6


def test_ends_are_in_order_and_the_wider_holds_the_narrower() -> None:
    crossing = crossing_of(growth_of([count(0, 3), count(28, 4)]), ACT)
    ends = (crossing.early_95, crossing.early_80, crossing.likely, crossing.late_80)
    assert None not in ends
    assert list(ends) == sorted(x for x in ends if x is not None)
    assert crossing.late_95 is None or crossing.late_80 <= crossing.late_95  # type: ignore[operator]


def test_a_level_passed_long_ago_and_one_never_reached() -> None:
    high = crossing_of(growth_of([count(0, 90)]), ACT)
    assert high.early_80 == high.likely == high.late_95 == JUNE
    assert high.chance_now > 0.999
    never = crossing_of(growth_of([count(0, 0, 3000)]), PerHundredAdults(value=50))
    assert (never.early_95, never.likely, never.late_80) == (None, None, None)


@pytest.mark.parametrize(
    "act", [PerHundredDoubled(value=6.0), FallPerDay(value=10.0), PercentDroneCells(value=10.0)]
)
def test_an_act_level_on_another_basis_is_refused(act: Any) -> None:
    with pytest.raises(TypeError, match="cannot be compared"):
        crossing_of(growth_of([count(0, 3)]), act)
    with pytest.raises(TypeError, match="cannot be compared"):
        outlook_of([count(0, 3)], (), act, today=JUNE)


def test_an_act_level_needs_a_value() -> None:
    for act in (PerHundredAdults(at_least=2), PerHundredAdults(value=0)):
        with pytest.raises(NumbersError, match="above zero"):
            crossing_of(growth_of([count(0, 3)]), act)


def test_boards_and_drone_cells_make_lines_of_their_own() -> None:
    board = [count(0, 14, 7, basis=FallPerDay), count(28, 28, 7, basis=FallPerDay)]
    found = outlook_of(board, (), FallPerDay(value=10.0), today=day(30))
    assert isinstance(found.level, FallPerDay)
    assert found.level.value == pytest.approx(4, rel=0.25)
    with pytest.raises(TypeError, match="different bases"):
        growth_of([count(0, 3), board[1]])


# What breaks a line, and what voids its dates.


@pytest.mark.parametrize(
    "kind",
    [
        "treatment",
        "split",
        "united",
        "swarmed",
        "caught",
        "requeened",
        "queen_caged",
        "brood_break",
    ],
)
def test_a_break_leaves_only_the_counts_after_it(kind: Any) -> None:
    counts = (count(0, 9), count(20, 12), count(50, 3), count(64, 4))
    found = outlook(*counts, today=70, happenings=[Happening(kind, day(21), day(30))])
    assert found.line.counts == counts[2:]
    assert found.line.set_aside == counts[:2]
    assert any("The line begins after" in note for note in found.notes)


def test_a_count_too_soon_after_a_treatment_is_left_out() -> None:
    happenings = [Happening("treatment", day(10), day(20))]
    soon = outlook(count(0, 9), count(25, 0), today=26, happenings=happenings)
    assert soon.crossing is None
    assert soon.withheld is not None
    assert soon.look_again == day(32)  # twelve days of worker brood after its end
    later = outlook(count(0, 9), count(25, 0), count(40, 3), happenings=happenings)
    assert later.line.counts == (count(40, 3),)


def test_a_count_on_the_day_of_a_treatment_is_of_before() -> None:
    found = outlook(count(0, 9), count(28, 12), happenings=[Happening("treatment", day(28))])
    assert found.withheld is not None
    assert found.line.counts == ()


def test_what_lies_in_the_future_has_not_happened() -> None:
    found = outlook(count(0, 9), today=5, happenings=[Happening("treatment", day(10))])
    assert found.withheld is None


@pytest.mark.parametrize("kind", ["robbing", "collapse_nearby"])
def test_mites_from_outside_void_the_dates_and_bring_the_count_forward(kind: Any) -> None:
    plain = outlook(count(0, 1), count(28, 1), today=35)
    robbed = outlook(count(0, 1), count(28, 1), today=35, happenings=[Happening(kind, day(33))])
    assert plain.crossing is not None
    assert robbed.crossing is None
    assert robbed.voided is not None
    assert robbed.look_again is not None
    assert plain.look_again is not None
    assert robbed.look_again == day(33 + known_growth().ahead.alarm_days) < plain.look_again
    # A count made since then begins a new line.
    after = outlook(count(0, 1), count(40, 1), happenings=[Happening(kind, day(33))])
    assert after.voided is None
    assert after.line.counts == (count(40, 1),)


@pytest.mark.parametrize(
    ("change", "word"),
    [({"method": "sugar"}, "method"), ({"comb": "honey"}, "comb"),
     ({"basis": FallPerDay, "method": "sticky_board", "of": 7}, "method")],
)  # fmt: skip
def test_another_method_or_comb_breaks_the_line(change: dict[str, Any], word: str) -> None:
    first = count(0, 3, **change)
    found = outlook(first, count(28, 6), count(40, 9))
    assert found.line.set_aside == (first,)
    assert any(word in note for note in found.notes)


def test_a_comb_not_said_does_not_break_the_line_but_is_told() -> None:
    found = outlook(count(0, 3), count(28, 6, comb=None), count(40, 9))
    assert len(found.line.counts) == 3
    assert any("which comb" in note for note in found.notes)
    # Nor does an unsaid comb join two that differ.
    apart = outlook(count(0, 3, comb="honey"), count(28, 6, comb=None), count(40, 9))
    assert len(apart.line.counts) == 2


# What is handled in words.


def test_no_count_one_count_zero_counts_and_a_falling_line() -> None:
    assert outlook().withheld == "There is no count yet."
    one = outlook(count(0, 3), today=1)
    assert any("not this colony's own" in note for note in one.notes)
    none = outlook(count(0, 0), count(28, 0), today=29)
    assert none.level is not None
    assert 0 < (none.level.high or 0) < 2
    assert any("No mite was found" in note for note in none.notes)
    falling = outlook(count(0, 12), count(28, 8), today=29)
    assert any("no proof" in note for note in falling.notes)
    for found in (one, none, falling):
        assert in_words(found)[0].startswith("About ")


def test_dates_out_of_order_and_ahead_of_today_give_no_figure() -> None:
    mixed = outlook(count(28, 3), count(0, 6))
    assert mixed.withheld == (
        "The counts are out of order: 1 June 2026 stands after 29 June 2026. Check the dates."
    )
    ahead = outlook(count(61, 3), today=60)
    assert ahead.withheld is not None
    assert "future" in ahead.withheld
    for found in (mixed, ahead):
        assert (found.level, found.crossing, found.look_again) == (None, None, None)
    with pytest.raises(NumbersError):
        growth_of([count(28, 3), count(0, 6)])


def test_without_brood_there_is_no_pace() -> None:
    found = outlook(count(0, 3), brood=False)
    assert found.withheld is not None
    assert found.pace is None
    assert any("capped brood" in line for line in in_words(found))


def test_a_count_that_fits_no_line_is_asked_about() -> None:
    found = outlook(count(0, 90), count(30, 0), today=31)
    assert found.voided is not None
    assert "fits no line" in found.voided
    assert found.crossing is None
    assert found.look_again == day(31)


def test_no_comfortable_date_from_two_small_counts() -> None:
    ahead = known_growth().ahead
    for mites in (0, 1):
        plain = outlook(count(0, mites), count(28, mites), today=29)
        late = outlook(count(0, mites), count(28, mites), today=29, late=True)
        assert plain.look_again == day(28 + ahead.season_days)
        assert late.look_again == day(28 + ahead.late_days)
        assert ahead.late_days < ahead.season_days == 30
    near = outlook(count(0, 4), count(28, 6), today=29)
    assert near.look_again is not None
    assert near.look_again < day(28 + ahead.season_days)
    past = outlook(count(28, 30), today=29)
    assert past.look_again == day(29)


def test_the_words_of_a_usual_colony() -> None:
    lines = in_words(outlook(count(0, 3, spread=0.15), count(28, 5, spread=0.15), today=30))
    assert lines[0].startswith("About 1.8 mites per 100 adult bees on 29 June 2026")
    assert "doubling in about 33 days" in lines[1]
    assert lines[2].startswith("3.0 mites per 100 adult bees: likely passed about ")
    assert lines[3].startswith("Look again by ")


# Bad input.


@pytest.mark.parametrize(
    "numbers",
    [{"mites": -1}, {"mites": 2.5}, {"mites": True}, {"of": 0}, {"of": -300}, {"of": math.inf},
     {"of": math.nan}, {"mites": 301}, {"spread": -0.1}, {"spread": 2.0}, {"spread": math.nan}],
)  # fmt: skip
def test_impossible_numbers_are_errors(numbers: dict[str, Any]) -> None:
    with pytest.raises(NumbersError) as caught:
        DatedCount(**({"day": JUNE, "mites": 3, "of": 300} | numbers))
    assert isinstance(caught.value, FieldnotesError)


def test_a_doubled_figure_or_a_fall_under_treatment_is_no_count() -> None:
    for basis in (PerHundredDoubled, TreatedFallPerDay):
        with pytest.raises(TypeError, match="no count"):
            DatedCount(JUNE, 3, 300, basis)


def test_a_happening_that_ends_before_it_begins() -> None:
    with pytest.raises(DateError, match="before it begins"):
        Happening("treatment", day(3), day(1))


@pytest.mark.parametrize(
    ("name", "load", "line", "complaint"),
    [
        ("growth.toml", load_growth, "daily = 0.021", "must have been read"),
        ("efficacy.toml", load_efficacy, "percent = 95\nactives", "must have been read"),
        ("plans.toml", load_plans, 'role = "usual"', "must have been read"),
    ],
)
def test_a_row_from_memory_cannot_drive_a_figure(
    tmp_path: Path, name: str, load: Callable[..., object], line: str, complaint: str
) -> None:
    text = (grammars_folder() / name).read_text(encoding="utf-8")
    before, found, after = text.partition(line)
    assert found
    path = tmp_path / name
    path.write_text(before + found + after.replace('"read"', '"memory"', 1), encoding="utf-8")
    with pytest.raises(GrammarError, match=complaint):
        load(path, load_sources(grammars_folder() / "protocols"))


# Laws.

colony = st.lists(
    st.tuples(st.integers(0, 40), st.integers(0, 60), st.sampled_from([0.0, 0.15, 0.4])),
    min_size=1,
    max_size=6,
)


def line_from(drawn: list[tuple[int, int, float]]) -> list[DatedCount]:
    days, found = 0, []
    for apart, mites, spread in drawn:
        days += apart
        found.append(count(days, mites, spread=spread))
    return found


@settings(max_examples=60, deadline=None)
@given(colony, st.floats(0.3, 20))
def test_any_line_is_sound(drawn: list[tuple[int, int, float]], act: float) -> None:
    counts = line_from(drawn)
    growth = growth_of(counts)
    levels = [growth.level(chance) for chance in (0.025, 0.1, 0.5, 0.9, 0.975)]
    rates = [growth.daily(chance) for chance in (0.025, 0.1, 0.5, 0.9, 0.975)]
    assert levels == sorted(levels)
    assert rates == sorted(rates)
    assert levels[0] > 0
    passed = [growth.chance_passed(act, days) for days in (0, 7, 30, 180)]
    assert passed == sorted(passed)
    assert 0 <= passed[0] <= passed[-1] <= 1 + 1e-9
    assert growth.chance_above(act) == pytest.approx(passed[0])
    assert growth.chance_above(levels[2]) == pytest.approx(0.5, abs=1e-6)
    again = growth_of(counts)
    assert [again.level(0.5), again.daily(0.5)] == [levels[2], rates[2]]


@settings(max_examples=40, deadline=None)
@given(colony, st.integers(1, 200))
def test_more_mites_in_the_last_count_never_bring_comfort(
    drawn: list[tuple[int, int, float]], more: int
) -> None:
    counts = line_from(drawn)
    last = counts[-1]
    worse = [*counts[:-1], count((last.day - JUNE).days, last.mites + more, spread=last.spread)]
    assert growth_of(worse).chance_passed(3, 30) >= growth_of(counts).chance_passed(3, 30) - 1e-3


@settings(max_examples=40, deadline=None)
@given(
    colony,
    st.lists(
        st.tuples(
            st.sampled_from(sorted(row.kind for row in known_growth().happening)),
            st.integers(-10, 200),
            st.integers(0, 60),
        ),
        max_size=4,
    ),
    st.booleans(),
)
def test_any_colony_gets_an_outlook_or_a_reason(
    drawn: list[tuple[int, int, float]], told: list[tuple[Any, int, int]], late: bool
) -> None:
    counts = line_from(drawn)
    happenings = [Happening(kind, day(at), day(at + long)) for kind, at, long in told]
    today = max(counts[-1].day, JUNE)
    line = line_of(counts, happenings, today=today)
    assert sorted(line.counts + line.set_aside, key=id) == sorted(counts, key=id)
    found = outlook_of(counts, happenings, ACT, today=today, late=late)
    assert (found.level is None) == (found.withheld is not None)
    assert all(line and "None" not in line for line in in_words(found))
    if found.look_again is not None and found.line.counts and found.line.voided_on is None:
        assert today <= found.look_again <= counts[-1].day + dt.timedelta(days=30)
    if found.voided:
        assert found.crossing is None


def test_a_chance_lies_between_zero_and_one() -> None:
    growth = growth_of([count(0, 3)])
    for chance in (0, 1, -0.1, 95):
        with pytest.raises(NumbersError):
            growth.level(chance)
        with pytest.raises(NumbersError):
            growth.daily(chance)
