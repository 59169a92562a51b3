"""The yard: pooled rate, the colony that stands out, what to sample next, and sample sizes."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fieldnotes.errors import NumbersError
from fieldnotes.estimate.basis import FallPerDay, PerHundredAdults, PerHundredDoubled
from fieldnotes.estimate.dated import DatedCount
from fieldnotes.estimate.yard.plans import (
    bees_needed,
    bees_to_see_one,
    colonies_needed,
    precision_of,
    yard_plans,
    yard_precision,
)
from fieldnotes.estimate.yard.pooled import pooled_of, scatter_of
from fieldnotes.estimate.yard.rows import known_plans
from fieldnotes.estimate.yard.yard import OfColony, Yard, yard_of
from tests.check_values import value

JULY = dt.date(2026, 7, 1)


def count(mites: int, of: float = 300, days: int = 0, **rest: Any) -> DatedCount:
    rest = {"method": "alcohol", "comb": "brood"} | rest
    return DatedCount(JULY + dt.timedelta(days=days), mites, of, **rest)


def named(*mites: int) -> list[OfColony]:
    return [OfColony(str(number), count(each)) for number, each in enumerate(mites, 1)]


def said(found: Yard, words: str) -> bool:
    return any(words in note for note in found.notes)


# Published plans.


def test_plans_are_those_of_the_sources() -> None:
    rows = known_plans()
    # Lee KV, Moon RD, Burkness EC, Hutchison WD, Spivak M (2010).
    assert rows.colony.bees == value("stats.lee.bees")["number"]
    assert rows.colony.researcher_units == value("stats.lee.researcher_units")["number"]
    aim = value("stats.lee.precision", status="memory")  # recalled: shown, never used
    assert (rows.precision.aim, rows.precision.cited.status) == (aim["number"], "memory")
    by_check = {row.cited.check: row for row in rows.yard}
    assert by_check["stats.lee.colonies"].role == "usual"
    # Lee 2010; ADA Auvergne-Rhone-Alpes; ADA Grand-Est; varroa.org.au; New York inspection.
    for check, least in (
        ("stats.lee.colonies", "number"),
        ("stats.colonies.ada_aura", "number"),
        ("stats.colonies.ada_ge", "low"),
        ("stats.colonies.au", "low"),
    ):
        assert by_check[check].colonies == value(check)[least]
    assert by_check["stats.colonies.ada_ge"].colonies_to == value("stats.colonies.ada_ge")["high"]
    assert by_check["stats.colonies.nys"].percent == value("stats.colonies.nys")["number"]
    assert len(by_check) == len(rows.yard) == 5


def test_plans_for_yards_of_some_sizes() -> None:
    def asked(yard: int) -> dict[str, tuple[int, int]]:
        return {line.where.split()[0]: (line.colonies, line.most) for line in yard_plans(yard)}

    # Lee 2010: 8 whatever the size. Australia, New York: all of a small yard.
    assert asked(5) == {"USA": (5, 5), "Grand-Est": (5, 5), "Australia": (5, 5), "New": (5, 5)}
    assert asked(40) == {
        "USA": (8, 8), "Auvergne-Rhone-Alpes": (8, 8), "Grand-Est": (8, 10),
        "Australia": (10, 10), "New": (4, 4),
    }  # fmt: skip
    assert [line.usual for line in yard_plans(40)] == [True, False, False, False, False]


def test_plans_need_a_yard() -> None:
    for yard in (0, -3, 2.5, True):
        with pytest.raises(NumbersError):
            yard_plans(yard)  # type: ignore[arg-type]


# Precision, against simulated jars and yards.


def test_precision_against_simulation() -> None:
    rng = np.random.default_rng(20260701)
    turns, apart, spread = 40_000, 0.7, 0.2
    colonies = 8
    truth = 2.0 * rng.gamma(apart**-2, apart**2, (turns, colonies))
    varied = rng.gamma(spread**-2, spread**2, (turns, colonies))
    means = rng.poisson(truth * 3 * varied).mean(axis=1) / 3
    expected = yard_precision(2.0, colonies, apart=apart, spread=spread)
    # The doubt about the bees multiplies colonies that differ, a part that the formula leaves out.
    assert means.std() / 2.0 == pytest.approx(expected, rel=0.03)


def test_precision_of_a_yard_of_known_size_against_simulation() -> None:
    rng = np.random.default_rng(20260702)
    turns, apart, yard, colonies = 30_000, 0.7, 12, 7
    truth = 2.0 * rng.gamma(apart**-2, apart**2, (turns, yard))
    mites = rng.poisson(truth[:, :colonies] * 3)
    missed = mites.mean(axis=1) / 3 - truth.mean(axis=1)
    expected = yard_precision(2.0, colonies, apart=apart, yard=yard)
    assert missed.std() / 2.0 == pytest.approx(expected, rel=0.03)


def test_what_is_needed_reaches_the_precision_and_no_less_does() -> None:
    bees = bees_needed(2.0, 0.25, spread=0.1)
    assert bees is not None
    assert precision_of(2.0, bees, spread=0.1) <= 0.25 < precision_of(2.0, bees - 1, spread=0.1)
    for yard in (None, 12, 40):
        number = colonies_needed(2.0, 0.25, apart=0.7, yard=yard)
        assert number is not None
        assert yard_precision(2.0, number, apart=0.7, yard=yard) <= 0.25
        assert yard_precision(2.0, number - 1, apart=0.7, yard=yard) > 0.25


def test_what_cannot_be_reached_is_none() -> None:
    assert bees_needed(2.0, 0.25, spread=0.3) is None
    assert colonies_needed(0.2, 0.1, yard=6) is None
    # Three samples, as researchers take (Lee 2010), help where more bees in one jar do not.
    units = known_plans().colony.researcher_units
    assert precision_of(2.0, 300, jars=units) < precision_of(2.0, 300)


def test_bees_to_see_one_mite() -> None:
    # Oliver R (2020): no mite in 100 bees at a true 1 percent, 36 times in a hundred.
    row = value("stats.zero.100_at_1pct")
    bees, percent = row["inputs"]["bees"], row["inputs"]["infestation_percent"]
    chance = 1 - row["published_output"] / 100
    assert bees_to_see_one(percent, chance) == pytest.approx(bees, abs=2)
    # Eypasch (1995), Jovanovic and Levy (1997): the rule of three.
    three = value("stats.rule_of_three")["number"]
    for per_100 in (0.5, 1.0, 2.0):
        assert bees_to_see_one(per_100) == pytest.approx(100 * three / per_100, rel=0.02)


def test_impossible_plans_are_errors() -> None:
    for call in (
        lambda: bees_needed(0, 0.25),
        lambda: bees_needed(2, 0),
        lambda: bees_needed(2, 25),
        lambda: bees_needed(2, 0.25, spread=-1),
        lambda: colonies_needed(-1, 0.25),
        lambda: precision_of(2, 0),
        lambda: yard_precision(2, 8, yard=5),
        lambda: yard_precision(2, 8, apart=-1),
        lambda: bees_to_see_one(1, 1.0),
        lambda: bees_to_see_one(100),
    ):
        with pytest.raises(NumbersError):
            call()


# The pooled figure, against references.

COUNTS = [(3, 300), (12, 310), (1, 280), (7, 300), (22, 330), (5, 150)]


def test_pooled_rate_and_scatter_against_statsmodels() -> None:
    counts = [count(mites, bees) for mites, bees in COUNTS]
    fit = sm.GLM(
        [mites for mites, _ in COUNTS],
        np.ones(len(COUNTS)),
        family=sm.families.Poisson(),
        offset=np.log([bees / 100 for _, bees in COUNTS]),
    ).fit(scale="X2")
    pooled = pooled_of(counts)
    assert math.log(pooled.figure.value or 0) == pytest.approx(fit.params[0])
    assert pooled.scatter == pytest.approx(fit.scale)
    assert pooled.sigma == pytest.approx(fit.bse[0])
    t = stats.t.ppf(0.975, len(COUNTS) - 1)
    expected = np.exp(fit.params[0] + np.array([-t, t]) * fit.bse[0])
    assert (pooled.figure.low, pooled.figure.high) == pytest.approx(tuple(expected))


def test_even_colonies_get_limits_no_narrower_than_chance() -> None:
    pooled = pooled_of([count(4) for _ in range(8)])
    assert pooled.scatter == 1.0
    assert pooled.apart == 0.0
    low, high = stats.gamma.ppf(0.025, 32) / 24, stats.gamma.ppf(0.975, 33) / 24
    assert pooled.figure.low <= low < high <= pooled.figure.high  # type: ignore[operator]


def test_the_limits_hold_the_mean_of_yards_whose_colonies_differ() -> None:
    rng = np.random.default_rng(20260703)
    turns, held, chance_alone, apart = 1500, 0, 0, []
    for _ in range(turns):
        truth = 3.0 * rng.gamma(2, 0.5, 8)
        pooled = pooled_of([count(int(m)) for m in rng.poisson(truth * 3)])
        held += (pooled.figure.low or 0) <= 3.0 <= (pooled.figure.high or 0)
        low, high = (
            stats.gamma.ppf(0.025, pooled.mites) / 24,
            stats.gamma.ppf(0.975, pooled.mites + 1) / 24,
        )
        chance_alone += low <= 3.0 <= high
        apart.append(pooled.apart)
    assert 0.92 <= held / turns <= 0.97
    assert chance_alone / turns < 0.80
    assert np.median(apart) == pytest.approx(math.sqrt(0.5), rel=0.2)


def test_chance_above_an_act_level() -> None:
    pooled = pooled_of([count(mites, bees) for mites, bees in COUNTS])
    at_limit = pooled.chance_above(PerHundredAdults(value=pooled.figure.low))
    assert at_limit == pytest.approx(0.975, abs=1e-6)
    assert pooled.chance_above(PerHundredAdults(value=pooled.figure.value)) == pytest.approx(0.5)
    assert pooled_of([count(0)]).chance_above(PerHundredAdults(value=3.0)) is None
    one = pooled_of([count(9)]).chance_above(PerHundredAdults(value=3.0))
    assert one == pytest.approx(0.5)
    for act in (PerHundredDoubled(value=6.0), FallPerDay(value=6.0)):
        with pytest.raises(TypeError, match="different things"):
            pooled.chance_above(act)


def test_bases_are_never_pooled() -> None:
    with pytest.raises(TypeError, match="one basis"):
        pooled_of([count(3), count(3, 7, basis=FallPerDay)])
    with pytest.raises(TypeError, match="one basis"):
        pooled_of([])


# The yard.


def test_the_colony_that_stands_out() -> None:
    found = yard_of(named(3, 5, 2, 4, 40, 3))
    assert found.stands_out == ("5",)
    assert found.highest is not None
    assert found.highest.colony == "5"
    assert said(found, "The mean hides 5")
    assert found.next[0] == "5"
    assert yard_of(named(3, 5, 2, 4, 8, 3)).stands_out == ()
    assert yard_of(named(0, 0, 0, 0)).stands_out == ()


def test_alike_colonies_seldom_stand_out() -> None:
    rng = np.random.default_rng(20260704)
    turns = 600
    falsely = sum(bool(yard_of(named(*map(int, rng.poisson(6, 8)))).stands_out)
                  for _ in range(turns))  # fmt: skip
    assert falsely / turns <= 0.07


def test_colonies_not_sampled_and_which_to_sample_next() -> None:
    roster = [str(number) for number in range(1, 13)]
    last = {"9": JULY - dt.timedelta(days=60), "10": JULY - dt.timedelta(days=20)}
    found = yard_of(named(3, 5, 2, 4, 3, 6, 2), roster, last)
    assert found.sampled == tuple("1234567")
    assert found.not_sampled == ("8", "9", "10", "11", "12")
    assert (found.wanted, len(found.next)) == (8, 1)
    assert found.next[0] in {"8", "11", "12"}  # never counted
    assert said(found, "7 of 8 colonies are sampled (Lee KV")
    fewer = yard_of(named(3, 5, 2), roster, last)
    assert len(fewer.next) == 5
    assert set(fewer.next[:-1]) > {"8", "11", "12"}
    again = yard_of(named(3, 5, 2), roster[::-1], last)
    assert again.next == fewer.next
    done = yard_of(named(*range(3, 11)), roster)
    assert done.next == ()


def test_counts_made_otherwise_or_long_ago_are_left_out_and_told() -> None:
    counts = [
        *named(3, 5, 2),
        OfColony("4", count(9, method="sugar")),
        OfColony("5", count(9, comb="honey")),
        OfColony("6", count(9, 7, basis=FallPerDay, method="sticky_board")),
        OfColony("7", count(9, days=-30)),
    ]
    found = yard_of(counts)
    assert found.sampled == ("1", "2", "3")
    assert found.not_sampled == ("4", "5", "6", "7")
    assert said(found, "another way, so left out: 4, 5, 6")
    assert said(found, "Counted before 17 June 2026, so left out: 7")


def test_the_latest_day_of_a_colony_counts_and_its_jars_are_added() -> None:
    counts = [
        OfColony("1", count(20, days=-7)),
        OfColony("1", count(3, 300, spread=0.2)),
        OfColony("1", count(5, 100, spread=0.2)),
    ]
    found = yard_of(counts)
    assert found.pooled is not None
    assert (found.pooled.mites, found.pooled.colonies) == (8, 1)
    assert found.pooled.figure.value == pytest.approx(2)
    assert said(found, "One colony says little")


def test_a_yard_without_counts_gives_no_figure() -> None:
    found = yard_of([], ["1", "2"])
    assert found.pooled is None
    assert found.withheld == "No colony of the yard was counted."
    assert set(found.next) == {"1", "2"}
    empty = yard_of([])
    assert (empty.wanted, empty.next) == (0, ())


@given(st.lists(st.tuples(st.integers(0, 90), st.integers(90, 600)), min_size=1, max_size=14))
def test_any_yard_is_sound(drawn: list[tuple[int, int]]) -> None:
    counts = [OfColony(str(i), count(m, b)) for i, (m, b) in enumerate(drawn)]
    found = yard_of(counts, ["x", "y"])
    assert found.pooled is not None
    figure = found.pooled.figure
    mites, bees = (sum(column) for column in zip(*drawn, strict=True))
    assert figure.value == pytest.approx(100 * mites / bees)
    assert figure.low <= figure.value <= figure.high  # type: ignore[operator]
    assert found.pooled.scatter >= 1
    assert found.pooled.apart >= 0
    assert set(found.sampled) | set(found.not_sampled) == {*map(str, range(len(drawn))), "x", "y"}
    assert set(found.next) <= set(found.not_sampled) | set(found.stands_out)
    shuffled = yard_of(counts[::-1], ["x", "y"])
    assert shuffled.pooled is not None
    assert shuffled.pooled.figure.high == pytest.approx(figure.high)
    assert set(shuffled.stands_out) == set(found.stands_out)


def test_scatter_of_one_colony_is_chance() -> None:
    assert scatter_of([count(9)]) == 1.0
