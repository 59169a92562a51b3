"""The exact limits: against published values, against SciPy, and their own laws."""

from __future__ import annotations

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, gamma

from fieldnotes.estimate.binomial import clopper_pearson, poisson_exact
from tests.check_values import value


def by_scipy(hits: int, of: int, level: float) -> tuple[float, float]:
    tail = (1 - level) / 2
    low = 0.0 if hits == 0 else beta.ppf(tail, hits, of - hits + 1)
    high = 1.0 if hits == of else beta.ppf(1 - tail, hits + 1, of - hits)
    return float(low), float(high)


@pytest.mark.parametrize(
    ("low", "high"),
    [
        ("stats.exact_ci.4_of_20.low", "stats.exact_ci.4_of_20.high"),
        ("stats.exact_ci.5_of_100000.low", "stats.exact_ci.5_of_100000.high"),
    ],
)
def test_published_limits_of_a_share(low: str, high: str) -> None:
    # Reference output of two public R packages; the sources stand in the rows.
    rows = value(low), value(high)
    inputs = rows[0]["inputs"]
    limits = clopper_pearson(inputs["x"], inputs["n"], inputs["confidence"])
    for limit, row in zip(limits, rows, strict=True):
        assert limit == pytest.approx(row["number"], rel=1e-5)


@pytest.mark.parametrize("case", ["81_of_263", "15_of_148", "0_of_20", "1_of_29"])
def test_limits_recalled_from_newcombe(case: str) -> None:
    # Newcombe RG (1998) Stat. Med. 17:857-872, table: values from memory, so only a second opinion.
    row = value(f"stats.exact_ci.newcombe.{case}", status="memory")
    limits = clopper_pearson(row["inputs"]["x"], row["inputs"]["n"], row["inputs"]["confidence"])
    assert limits == pytest.approx((row["low"], row["high"]), abs=5e-5)


def test_published_limits_of_a_count() -> None:
    # epitools R package manual; a reference page on Garwood's interval; a manual on Poisson rates.
    two_sided = value("stats.poisson.0.upper_two_sided")["number"]
    one_sided = value("stats.poisson.0.upper_one_sided")["number"]
    ten = value("stats.poisson.10")
    rate = value("stats.poisson.14_in_400")
    assert poisson_exact(0)[1] == pytest.approx(two_sided, abs=5e-4)
    # A one-sided limit of 95 percent is the upper end of a two-sided one of 90.
    assert poisson_exact(0, level=0.90)[1] == pytest.approx(one_sided, abs=5e-4)
    assert poisson_exact(10) == pytest.approx((ten["low"], ten["high"]), abs=5e-3)
    events, exposure = rate["inputs"]["events"], rate["inputs"]["exposure"]
    assert poisson_exact(events, exposure) == pytest.approx((rate["low"], rate["high"]), abs=5e-7)
    assert events / exposure == pytest.approx(0.035)  # the rate that the same page prints


def test_rule_of_three() -> None:
    # Eypasch 1995, Jovanovic and Levy 1997: nothing seen in n, upper bound about 3 / n, n over 30.
    three = value("stats.rule_of_three")["number"]
    for n in (100, 300, 1000):
        one_sided = clopper_pearson(0, n, level=0.90)[1]
        assert one_sided == pytest.approx(three / n, rel=0.02)


@pytest.mark.parametrize("row", ["stats.zero.100_at_1pct", "stats.zero.1_at_1pct"])
def test_chance_of_no_mite(row: str) -> None:
    # Oliver R (2020), who cuts the decimals. The upper one-sided limit is where that chance is 5 %,
    # so the limits and the published chances must agree through (1 - p) ** n.
    bees = value(row)["inputs"]["bees"]
    percent = value(row)["inputs"]["infestation_percent"]
    assert math.floor(100 * (1 - percent / 100) ** bees) == value(row)["published_output"]
    upper = clopper_pearson(0, bees, level=0.90)[1]
    assert (1 - upper) ** bees == pytest.approx(0.05, rel=1e-9)


@pytest.mark.parametrize(
    ("mites", "low", "high"),
    [(0, 0, 1.22), (2, 0.08, 2.39), (3, 0.21, 2.89), (6, 0.74, 4.30), (9, 1.38, 5.62)],
)
def test_usual_jars_of_300(mites: int, low: float, high: float) -> None:
    # Computed once for this trade with R's formula, not published; guards against change.
    limits = clopper_pearson(mites, 300)
    assert [100 * x for x in limits] == pytest.approx([low, high], abs=5e-3)


def test_a_grid_against_scipy() -> None:
    for of in (1, 2, 7, 20, 100, 300, 1000, 20_000):
        for hits in sorted({0, 1, 2, of // 100, of // 10, of // 3, of // 2, of - 1, of}):
            for level in (0.5, 0.8, 0.9, 0.95, 0.99, 0.999):
                if hits <= of:
                    limits = clopper_pearson(hits, of, level)
                    assert limits == pytest.approx(by_scipy(hits, of, level), abs=1e-9, rel=0)
    for events in (*range(30), 100, 317, 1000, 10_000):
        for level in (0.5, 0.8, 0.9, 0.95, 0.99, 0.999):
            tail = (1 - level) / 2
            low = 0.0 if events == 0 else gamma.ppf(tail, events)
            expected = low, gamma.ppf(1 - tail, events + 1)
            assert poisson_exact(events, level=level) == pytest.approx(expected, abs=1e-9, rel=1e-9)


shares = st.integers(1, 3000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))
levels = st.floats(0.5, 0.999)


@given(shares, levels)
def test_any_share_against_scipy(share: tuple[int, int], level: float) -> None:
    limits = clopper_pearson(*share, level)
    assert limits == pytest.approx(by_scipy(*share, level), abs=1e-9, rel=0)


@given(shares, levels)
def test_limits_hold_the_share_and_mirror(share: tuple[int, int], level: float) -> None:
    hits, of = share
    low, high = clopper_pearson(hits, of, level)
    assert 0 <= low <= hits / of <= high <= 1
    mirrored = clopper_pearson(of - hits, of, level)
    assert (1 - high, 1 - low) == pytest.approx(mirrored, abs=1e-9)


@given(st.integers(0, 2000), levels)
def test_any_count_against_scipy(events: int, level: float) -> None:
    tail = (1 - level) / 2
    low = 0.0 if events == 0 else float(gamma.ppf(tail, events))
    expected = low, float(gamma.ppf(1 - tail, events + 1))
    assert poisson_exact(events, level=level) == pytest.approx(expected, abs=1e-9, rel=1e-9)


@given(st.integers(0, 100), st.integers(1, 20))
def test_more_bees_narrow_the_limits(percent: int, times: int) -> None:
    low, high = clopper_pearson(percent, 100)
    narrower = clopper_pearson(percent * times, 100 * times)
    assert narrower[1] - narrower[0] <= high - low + 1e-12


def test_wrong_use_is_refused() -> None:
    for hits, of in ((-1, 10), (11, 10), (0, 0)):
        with pytest.raises(ValueError, match="no share"):
            clopper_pearson(hits, of)
    for events, exposure in ((-1, 1.0), (3, 0.0), (3, -1.0), (3, math.nan)):
        with pytest.raises(ValueError, match="no rate"):
            poisson_exact(events, exposure)
    for level in (0, 1, 95):
        with pytest.raises(ValueError, match="level of confidence"):
            clopper_pearson(1, 10, level)


def test_limits_cost_well_under_a_millisecond() -> None:
    rounds = 300
    best = math.inf
    for _ in range(3):  # the best of three: other work on the machine must not fail the test
        start = time.perf_counter()
        for mites in range(rounds):
            clopper_pearson(mites % 60, 300)
        best = min(best, (time.perf_counter() - start) / rounds)
    assert best < 0.001
