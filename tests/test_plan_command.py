"""``fieldnotes plan``: published plans, what a jar tells, and errors in one line."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from typer.testing import CliRunner, Result

from fieldnotes.cli.app import app
from fieldnotes.errors import NumbersError
from fieldnotes.estimate.yard.jar import jar_at, mites_between, spread_of_cup
from tests.check_values import value


def run(*arguments: str) -> Result:
    done = CliRunner().invoke(app, ["plan", *arguments])
    assert done.exception is None or isinstance(done.exception, SystemExit)
    return done


def told(*arguments: str) -> dict[str, Any]:
    done = run(*arguments, "--json")
    assert done.exit_code == 0, done.output
    found: dict[str, Any] = json.loads(done.stdout)
    return found


# What the plans ask for.


def test_the_plan_in_use_is_that_of_lee() -> None:
    # Lee KV, Moon RD, Burkness EC, Hutchison WD, Spivak M (2010): 8 colonies, 300 bees from each.
    found = told("--colonies", "24")
    colonies = value("stats.lee.colonies")["number"]
    assert found["sample"] == {"colonies": colonies, "bees_each": value("stats.lee.bees")["number"]}
    assert found["plans"][0]["source"].startswith("Lee KV, Moon RD")
    words = run("--colonies", "24").stdout
    assert f"Sample {colonies} of the 24 colonies" in words
    assert "300 bees from a frame of brood of each" in words


def test_each_plan_says_what_its_source_says() -> None:
    plans = {plan["where"]: plan for plan in told("--colonies", "24")["plans"]}
    # ADA Auvergne-Rhone-Alpes, ADA Grand-Est, varroa.org.au and New York State inspection.
    aura, ge, au, nys = (
        value(f"stats.colonies.{name}") for name in ("ada_aura", "ada_ge", "au", "nys")
    )
    assert plans["Auvergne-Rhone-Alpes"]["colonies"] == aura["number"]
    assert (plans["Grand-Est"]["colonies"], plans["Grand-Est"]["most"]) == (ge["low"], ge["high"])
    assert plans["Australia"]["colonies"] == au["low"]
    share = nys["number"] / 100
    assert plans["New York State inspection"]["colonies"] == np.ceil(24 * share)
    assert sum(plan["usual"] for plan in plans.values()) == 1


def test_a_small_yard_is_sampled_whole() -> None:
    found = told("--colonies", "5")
    assert found["sample"]["colonies"] == 5
    assert all(plan["colonies"] == 5 for plan in found["plans"])
    # The plan for more than 20 colonies says nothing of 5.
    assert "Auvergne-Rhone-Alpes" not in {plan["where"] for plan in found["plans"]}
    assert "Sample all 5 colonies" in run("--colonies", "5").stdout
    assert "Sample the one colony" in run("--colonies", "1").stdout


# What a jar tells.


def test_the_chance_of_no_mite_is_the_published_one() -> None:
    # Oliver R (2020): no mite in 100 bees at a true 1 percent, 36 times in a hundred.
    row = value("stats.zero.100_at_1pct")
    inputs = row["inputs"]
    look = jar_at(inputs["infestation_percent"], inputs["bees"])
    assert 100 * look.none == pytest.approx(row["published_output"], abs=1)
    at_1 = told("--colonies", "8", "--per-100", "1")["jars"]["bees_counted"]
    assert at_1["chance_of_none"] == pytest.approx(stats.binom.pmf(0, 300, 0.01))


def test_the_precision_that_lee_aims_at_takes_three_jars_at_two_percent() -> None:
    # Lee (2010) takes three units of 300 bees where researchers want more precision; the aim of a
    # quarter is recalled from the body of the paper.
    aim = value("stats.lee.precision", status="memory")["number"]
    units = value("stats.lee.researcher_units")["number"]
    bees = told("--colonies", "8", "--precision", str(100 * aim))["bees_for_precision"]
    assert 300 * (units - 1) < bees <= 300 * units


@given(st.floats(0.01, 900), st.floats(0.0, 0.6).filter(lambda c: c == 0 or c > 0.01))
def test_the_mites_of_a_jar_against_scipy(expected: float, spread: float) -> None:
    if spread:
        index = spread**-2
        law = stats.nbinom(index, index / (index + expected))
    else:
        law = stats.poisson(expected)
    low, high = mites_between(expected, spread)
    for mites, chance in ((low, 0.025), (high, 0.975)):
        # The smallest number that is not exceeded with that chance, but for rounding.
        assert law.cdf(mites) >= chance - 1e-9
        assert mites == 0 or law.cdf(mites - 1) < chance + 1e-9


def test_the_cup_is_as_doubtful_as_the_estimate_of_a_half_cup() -> None:
    from tests.simulated_samples import Way

    way = Way("half a cup", "alcohol", {"volume_ml": 118.3}, lambda rng, n: np.full(n, 300.0))
    likely = way.estimate(3).likely
    assert likely is not None
    ml, doubt = spread_of_cup(300)
    assert ml == pytest.approx(118.3)
    assert 100 * doubt == pytest.approx(likely.bees_spread)
    with pytest.raises(NumbersError, match="no cup"):
        spread_of_cup(301)


def test_a_second_jar_and_counted_bees_make_it_surer() -> None:
    jars = told("--colonies", "8")["jars"]

    def width(name: str) -> float:
        return float(jars[name]["high"] - jars[name]["low"])

    assert width("half_cup") > width("bees_counted") > width("two_bees_counted")
    assert width("half_cup") > width("two_by_one_cup") > width("two_bees_counted")
    # The same cup twice has the same fault twice: more jars of it never beat its own doubt.
    assert jars["two_by_one_cup"]["precision"] > jars["half_cup"]["bees_spread"]


def test_why_shows_the_arithmetic_and_every_source() -> None:
    short, long = run("--colonies", "24").stdout, run("--colonies", "24", "--why").stdout
    assert "300 bees × 2 ÷ 100 = 6.0 mites on average" in long
    assert "100 ÷ (2 × 0.25²) = 800" in long
    for plan in told("--colonies", "24")["plans"]:
        assert plan["source"].split(" (")[0] in long
    assert "from memory" in long
    assert "The arithmetic" not in short
    assert "--why" in short


# Numbers that none can have.


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "how many colonies"),
        (["--colonies", "0"], "--colonies 0: a whole number"),
        (["--colonies", "2.5"], "--colonies 2.5: a whole number"),
        (["--colonies", "many"], "--colonies many: that is no number"),
        (["--colonies", "nan"], "that is no number"),
        (["--colonies", "inf"], "a whole number"),
        (["--colonies", "100001"], "a whole number"),
        (["--colonies", "8", "--per-100", "0"], "--per-100 0"),
        (["--colonies", "8", "--per-100", "100"], "--per-100 100"),
        (["--colonies", "8", "--infested-percent", "-2"], "--per-100 -2"),
        (["--colonies", "8", "--precision", "0"], "--precision 0"),
        (["--colonies", "8", "--precision", "250"], "--precision 250"),
        (["--colonies", "8\x1b[2J"], "that is no number"),
    ],
)
def test_bad_numbers_are_one_clear_line(arguments: list[str], says: str) -> None:
    done = run(*arguments)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert says in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "\x1b" not in done.stderr


@given(
    st.integers(1, 100_000),
    st.floats(0.01, 99.9).map(lambda x: f"{x:.4f}"),
    st.floats(1, 100).map(lambda x: f"{x:.2f}%"),
)
def test_any_plan_is_sound(colonies: int, per_100: str, precision: str) -> None:
    found = told("--colonies", str(colonies), "--per-100", per_100, "--precision", precision)
    for plan in found["plans"]:
        assert 1 <= plan["colonies"] <= plan["most"] <= colonies
    for jar in found["jars"].values():
        assert 0 <= jar["mites_low"] <= jar["mites_expected"] + 1
        assert jar["mites_expected"] <= jar["mites_high"] + 1
        assert 0 <= jar["chance_of_none"] < 1
    needed = [each["colonies"] for each in found["colonies_for_precision"]]
    assert all(number is None or 1 <= number <= colonies for number in needed)
    told_numbers = [number for number in needed if number is not None]
    assert told_numbers == sorted(told_numbers)
    words = run(
        "--colonies", str(colonies), "--per-100", per_100, "--precision", precision, "--why"
    )
    assert words.exit_code == 0
