"""The likely range: against quadrature by SciPy, the sources' values, and its own laws."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate
from scipy.stats import beta, binomtest, gamma, lognorm, nbinom

from fieldnotes.errors import NumbersError
from fieldnotes.estimate import Estimate, estimate_visit
from fieldnotes.estimate.exposure import exposure_of
from fieldnotes.estimate.likely import posterior_of
from fieldnotes.estimate.measures import bees_in, known_measures
from fieldnotes.estimate.posterior import Posterior, Spread, product
from fieldnotes.estimate.unseen import chance_in_jar, chance_of_none, most_when_none
from fieldnotes.estimate.wilson import wilson
from fieldnotes.grammar.vocabulary import Vocabulary
from fieldnotes.records import Evidence, Sample, StepSaid, Visit
from tests.check_values import value

SAID = Evidence(said=((0, 1),))


def told(record: type[Any], **fields: Any) -> Any:
    proof = {name: SAID for name in fields if name not in record.PARTS}
    return record(**fields, evidence=proof)


def estimate(visit: dict[str, Any] | None = None, **sample: Any) -> Estimate:
    (only,) = estimate_visit(told(Visit, samples=(told(Sample, **sample),), **(visit or {})))
    return only


def step(name: str, outcome: str) -> StepSaid:
    found: StepSaid = told(StepSaid, step=name, outcome=outcome)
    return found


# Wilson's limits.


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_recalled_from_newcombe(hits: int, of: int, low: float, high: float) -> None:
    # Newcombe RG (1998) Stat. Med. 17:857-872, method 3: from memory, so only a second opinion.
    assert wilson(hits, of) == pytest.approx((low, high), abs=1e-4)


@given(st.integers(1, 3000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_against_scipy(share: tuple[int, int]) -> None:
    hits, of = share
    for level in (0.8, 0.95, 0.99):
        expected = binomtest(hits, of).proportion_ci(level, method="wilson")
        assert wilson(hits, of, level) == pytest.approx(tuple(expected), abs=1e-9)


def test_wilson_refuses_what_is_no_share() -> None:
    for hits, of in ((-1, 10), (11, 10), (0, 0)):
        with pytest.raises(ValueError, match="no share"):
            wilson(hits, of)
    with pytest.raises(ValueError, match="level"):
        wilson(1, 10, 1.0)


def test_both_counting_limits_stand_side_by_side() -> None:
    found = estimate(method="alcohol", mites=13, bees=303)
    assert found.wilson_low is not None
    assert (found.wilson_low, found.wilson_high) == pytest.approx(
        [100 * x for x in wilson(13, 303)]
    )
    cells = estimate(method="drone_uncapping", mites=15, cells=212)
    assert cells.wilson_high == pytest.approx(100 * wilson(15, 212)[1])
    spoiled = estimate(method="sugar", mites=4, bees=300, steps=(step("sugar", "spoiled"),))
    assert (spoiled.wilson_high, spoiled.likely and spoiled.likely.high) == (None, None)
    assert spoiled.wilson_low is not None


# The posterior.


def by_quadrature(mites: int, mean: float, cv: float, per_100: float) -> float:
    """The chance below ``per_100``, integrated over a gamma exposure without any closed form."""
    k = cv**-2
    a = mites + (0.5 if mites else 1.0)
    prior = gamma(k, scale=mean / k)
    ends = prior.ppf(1e-12), prior.ppf(1 - 1e-12)

    def weight(exposure: float) -> float:
        return float(prior.pdf(exposure) * exposure ** (mites - a))

    def below(exposure: float) -> float:
        return weight(exposure) * float(gamma.cdf(per_100 / 100 * exposure, a))

    above, whole = (integrate.quad(f, *ends, epsrel=1e-9, limit=200)[0] for f in (below, weight))
    return float(above / whole)


@pytest.mark.parametrize(("mean", "cv"), [(300, 0.05), (279, 0.17), (367, 0.29), (40, 0.6)])
@pytest.mark.parametrize("mites", [0, 1, 3, 12, 60])
def test_closed_form_against_quadrature(mites: int, mean: float, cv: float) -> None:
    posterior = Posterior(mites, Spread(mean, cv))
    for chance in (0.025, 0.5, 0.9, 0.975):
        point = posterior.quantile(chance)
        assert by_quadrature(mites, mean, cv, point) == pytest.approx(chance, abs=1e-6)
        assert posterior.below(point) == pytest.approx(chance, abs=1e-9)
        assert posterior.above(point) == pytest.approx(1 - chance, abs=1e-9)


@pytest.mark.parametrize("mites", [0, 2, 6, 25])
def test_a_gamma_exposure_stands_in_for_the_true_shapes(mites: int) -> None:
    """A log-normal number of bees times a beta recovery, integrated on a grid as it is."""
    sd = value("recovery.sugar.macedo")["sd"] / 100  # Macedo et al. (2002)
    share = value("recovery.sugar.macedo")["number"] / 100
    size = share * (1 - share) / sd**2 - 1
    sigma = math.sqrt(math.log1p(0.2**2))
    bees = lognorm(sigma, scale=300 * math.exp(-(sigma**2) / 2)).ppf((np.arange(300) + 0.5) / 300)
    found = beta(share * size, (1 - share) * size).ppf((np.arange(60) + 0.5) / 60)
    exposure = np.outer(bees, found).ravel()
    a = mites + (0.5 if mites else 1.0)
    weights = exposure ** (mites - a)
    low, high = Posterior(mites, product(Spread(300, 0.2), Spread(share, sd / share))).limits()
    for limit, chance in ((low, 0.025), (high, 0.975 if mites else 0.95)):
        if limit:
            below = float(weights @ gamma.cdf(limit / 100 * exposure, a) / weights.sum())
            assert below == pytest.approx(chance, abs=0.006)


def test_an_exact_exposure_is_the_limit_of_a_sure_one() -> None:
    for mites in (0, 3, 40):
        exact = Posterior(mites, Spread(300.0)).limits()
        assert Posterior(mites, Spread(300.0, 2e-4)).limits() == pytest.approx(exact, rel=1e-5)
        assert exact[1] == pytest.approx(
            100 * gamma.ppf(0.975 if mites else 0.95, mites + (0.5 if mites else 1)) / 300
        )


spreads = st.builds(Spread, st.floats(20, 2000), st.floats(0, 0.6))


@given(st.integers(0, 400), spreads, st.floats(0.01, 0.2))
def test_laws_of_the_likely_range(mites: int, exposure: Spread, more: float) -> None:
    low, high = Posterior(mites, exposure).limits()
    assert 0 <= low < high < math.inf
    assert (low == 0) is (mites == 0)
    wider = Posterior(mites, product(exposure, Spread(1.0, more))).limits()
    assert wider[1] > high
    if mites:  # the middle moves up with the spread as well, so the limits' ratio is what widens
        assert wider[1] / wider[0] > high / low
    assert Posterior(mites + 1, exposure).above(high) > Posterior(mites, exposure).above(high)
    twice = Posterior(mites, Spread(2 * exposure.mean, exposure.cv)).limits()
    assert twice == pytest.approx((low / 2, high / 2), rel=1e-6)


def test_nonsense_is_refused() -> None:
    for mites, exposure in (
        (-1, Spread(300.0)), (2.5, Spread(300.0)), (3, Spread(0.0)), (3, Spread(-5.0)),
        (3, Spread(math.nan)), (3, Spread(math.inf)), (3, Spread(300.0, 2.0)),
        (3, Spread(9.0, -0.1)),
    ):  # fmt: skip
        with pytest.raises(NumbersError):
            Posterior(mites, exposure)  # type: ignore[arg-type]
    for chance in (0.0, 1.0, -1.0):
        with pytest.raises(NumbersError, match="chance"):
            Posterior(3, Spread(300.0)).quantile(chance)


# How sure the bees are.


def spread_of(**sample: Any) -> tuple[float, float, str]:
    likely = estimate(**sample).likely
    assert likely is not None
    return likely.bees, likely.bees_spread, likely.bees_how


def test_counted_bees_are_exact_and_round_numbers_are_not() -> None:
    assert spread_of(method="alcohol", mites=3, bees=303) == (303, 0, "counted")
    assert spread_of(method="alcohol", mites=3, bees=300)[2] == "assumed"
    counted = (step("count_bees", "done"),)
    assert spread_of(method="alcohol", mites=3, bees=300, steps=counted) == (300, 0, "counted")
    declared = Evidence(declared="usual.bees")
    proof = {"method": SAID, "mites": SAID, "bees": declared}
    sample = Sample(method="sugar", mites=3, bees=311, evidence=proof)
    (found,) = estimate_visit(told(Visit, samples=(sample,)))
    assert found.likely is not None
    assert found.likely.bees_how == "assumed"


def test_a_volume_is_as_unsure_as_its_sources() -> None:
    # BEEBOOK 4.2.3.1.1 and ADA Grand-Est: 300 in 100 mL; Kirchhain measure: 500; half a cup: 300.
    loose = 300 * 100 / 118.3
    sources = [loose, 300.0, 300.0, float(value("bees.100ml.count_de")["number"])]
    assert (
        value("bees.300.volume_beebook")["number"] == 100 == value("bees.300.volume_ada")["number"]
    )
    belief = [0.125] * 4
    mean = 150 + sum(w * n for w, n in zip(belief, sources, strict=True))
    spread = 0.5 * (300 - mean) ** 2 + sum(
        w * (n - mean) ** 2 for w, n in zip(belief, sources, strict=True)
    )
    expected = product(Spread(mean, math.sqrt(spread) / mean), Spread(1, 0.10))
    bees, percent, how = spread_of(method="sugar", mites=3, volume_ml=100.0)
    assert how == "volume"
    assert (bees, percent / 100) == pytest.approx(expected)
    # The spread of a bare round number is about that of a volume: between 20 and 30 percent.
    assert 20 < percent < 30
    assert spread_of(method="sugar", mites=3, bees=300)[1] == pytest.approx(25)


@pytest.mark.parametrize(
    "row",
    ["bees.per_kg.mature", "bees.per_kg.newly_emerged", "bees.per_kg.smoked"],
)
def test_weighed_bees_span_the_weights_of_the_literature(row: str) -> None:
    # Mitchell C (1970) Am. Bee J. 110; Morse: 90 mg a bee on average; ADA Grand-Est: 40 g for 300.
    bees, percent, how = spread_of(method="soap", mites=3, bees_weight_g=30.0)
    assert how == "weighed"
    for there in (30 * value(row)["number"] / 1000, 30_000 / value("bees.mass_mean")["number"]):
        assert abs(there - bees) < 2 * bees * percent / 100
    heavy = 30 * 300 / value("bees.300.mass_ada")["number"]
    assert abs(heavy - bees) < 2 * bees * percent / 100
    assert 30 * 300 / value("bees.300.mass_ladenburg")["number"] == 300


def test_weighing_adds_little_where_a_bee_is_known() -> None:
    # Calderone and Turcotte (1998): concordance of 0.99 with counted bees.
    assert value("recovery.weight_count.concordance_ny")["number"] == 0.99
    rows = {row.known: row for row in known_measures().spread}
    assert rows["weighed"].percent / 100 <= math.sqrt(1 - 0.98**2) / 2
    assert rows["counted"].percent == 0
    assert rows["counted"].percent < rows["weighed"].percent < rows["own cup"].percent
    assert rows["own cup"].percent < rows["assumed"].percent


def test_a_packed_measure_holds_light_bees() -> None:
    # Osnabrueck: the 100 mL measure holds 50 g; Kirchhain: 500 bees. So a bee weighs a tenth gram.
    grams = value("bees.100ml.mass_de")["number"]
    bees = value("bees.100ml.count_de")["number"]
    assert estimate(method="soap", mites=3, bees_weight_g=float(grams)).denominator == bees


# Recovery.


def test_sugar_leaves_mites_by_the_published_share() -> None:
    row = value("recovery.sugar.macedo")  # Macedo et al. (2002), 92.9 ± 5.5 percent
    likely = estimate(method="sugar", mites=6, bees=303).likely
    assert likely is not None
    assert 100 * (likely.recovery or 0) == pytest.approx(row["number"])
    assert 100 * (likely.recovery_spread or 0) == pytest.approx(row["sd"])
    assert likely.value == pytest.approx(100 * 6 / 303 / (row["number"] / 100))
    wash = estimate(method="alcohol", mites=6, bees=303).likely
    assert wash is not None
    assert wash.high is not None
    assert likely.high is not None
    assert likely.high > wash.high


def test_a_count_is_divided_by_the_efficiency() -> None:
    # BEEBOOK 4.2.3.1.2.4: first count 10 of 11 in all is 0.91; a count is divided by the mean, 0.9.
    check = value("example.efficiency.10_of_11")
    efficiency = check["inputs"]["first_count"] / check["inputs"]["all_mites"]
    assert round(efficiency, 2) == check["published_output"]
    divisor = value("example.efficiency.correction")["number"]
    plain = Posterior(9, Spread(300.0)).quantile(0.5)
    corrected = Posterior(9, product(Spread(300.0), Spread(divisor))).quantile(0.5)
    assert corrected == pytest.approx(plain / divisor)


@pytest.mark.parametrize("method", ["alcohol", "soap", "co2", "ether"])
def test_without_a_source_nothing_is_corrected_and_it_says_so(method: str) -> None:
    # A wash: 90 to 98 percent, from memory only; ether: concordances, which are no recovery.
    found = estimate(method=method, mites=6, bees=303)
    assert found.likely is not None
    assert (found.likely.recovery, found.likely.value) == (None, found.value)
    assert "no source" in found.likely.note
    assert found.assumptions
    for row in ("recovery.ether.concordance_ny", "recovery.ether.concordance_dc"):
        assert value(row)["unit"] == "concordance coefficient"


def test_only_what_was_read_may_correct() -> None:
    for row in known_measures().recovery:
        assert row.mean is None or row.cited.status == "read"
    assert known_measures().clumping is not None
    assert value("stats.overdispersion")["number"] == 1  # Maggi et al. (2010): clumped, no index
    assert known_measures().clumping.k is None


def test_clumping_is_the_negative_binomial() -> None:
    """With an index, a Poisson count of a gamma exposure is SciPy's negative binomial."""
    k, mean = 2.5, 6.0
    jar = product(Spread(300.0), Spread(1.0, k**-0.5))
    assert chance_in_jar(jar, 100 * mean / 300) == pytest.approx(nbinom.pmf(0, k, k / (k + mean)))
    assert chance_of_none(300, 2.0, k=k) == pytest.approx(nbinom.pmf(0, k, k / (k + mean)))
    measures = known_measures()
    assert measures.clumping is not None
    clumped = measures.model_copy(
        update={"clumping": measures.clumping.model_copy(update={"k": k})}
    )
    sample = told(Sample, method="alcohol", mites=6, bees=303)
    bees = bees_in(sample, Vocabulary(), clumped)
    assert bees is not None
    assert exposure_of(sample, "alcohol", bees, clumped).whole.cv == pytest.approx(k**-0.5)


# No mite found.


@pytest.mark.parametrize("row", ["stats.zero.100_at_1pct", "stats.zero.1_at_1pct"])
def test_chance_of_none_as_published(row: str) -> None:
    example = value(row)  # Oliver R (2020), who cuts the decimals
    chance = chance_of_none(example["inputs"]["bees"], example["inputs"]["infestation_percent"])
    assert math.floor(100 * chance) == example["published_output"]


def test_the_rule_of_three() -> None:
    # Eypasch et al. (1995); Jovanovic and Levy (1997): at most about 3 in n, for n over 30.
    three = value("stats.rule_of_three")["number"]
    for n in (31, 100, 300, 1000):
        assert most_when_none(n) == pytest.approx(100 * three / n, rel=0.05)
        assert chance_of_none(n, most_when_none(n)) == pytest.approx(0.05)
        # Its Bayesian form: the flat prior that the likely range uses after none was seen.
        assert Posterior(0, Spread(float(n))).limits()[1] == pytest.approx(
            100 * three / n, rel=0.002
        )
    assert most_when_none(300) < 1


def test_one_jar_does_not_show_a_light_infestation() -> None:
    # varroa.fr: under about 2 percent one sample of 300 does not show reliably.
    floor = value("recovery.detection_floor")["number"]
    assert Posterior(round(3 * floor), Spread(300.0)).limits()[0] < floor / 2
    assert chance_of_none(300, floor / 4) > 0.2


def test_no_mite_tells_its_limit_and_its_chance() -> None:
    found = estimate(method="alcohol", mites=0, bees=303)
    assert found.none_most == pytest.approx(most_when_none(303))
    assert found.likely is not None
    assert (found.likely.low, found.likely.value) == (0, 0)
    assert [each.per_100 for each in found.unseen] == [1, 2, 3]
    assert found.unseen[0].chance == pytest.approx(math.exp(-3.03))
    assert any("shows no mite: 5 % at 1" in line for line in found.steps)
    assert estimate(method="alcohol", mites=1, bees=303).unseen == ()
    unsure = estimate(method="alcohol", mites=0, volume_ml=118.3)
    assert unsure.unseen[1].chance > math.exp(
        -2 * (unsure.likely.bees if unsure.likely else 0) / 100
    )


def test_no_chance_from_nonsense() -> None:
    for bees, rate in ((0, 1.0), (-3, 1.0), (300, -1.0), (300, 101.0), (300, math.nan)):
        with pytest.raises(NumbersError):
            chance_of_none(bees, rate)
    with pytest.raises(NumbersError, match="clumping"):
        chance_of_none(300, 1.0, k=0.0)
    with pytest.raises(NumbersError):
        most_when_none(0)
    with pytest.raises(NumbersError):
        most_when_none(300, 1.0)


# The record.


def test_the_chance_above_a_level() -> None:
    found = estimate(method="sugar", mites=9, volume_ml=118.3)
    posterior = posterior_of(found)
    assert posterior is not None
    assert found.likely is not None
    assert posterior.limits() == pytest.approx((found.likely.low, found.likely.high))
    as_read = posterior_of(found, as_read=True)
    assert as_read is not None
    assert as_read.above(3.0) < posterior.above(3.0)
    spoiled = estimate(method="sugar", mites=4, bees=300, steps=(step("sugar", "spoiled"),))
    assert posterior_of(spoiled) is None
    assert posterior_of(estimate(method="sticky_board", mites=9, days=3.0)) is None
    assert posterior_of(estimate(method="alcohol", mites_low=3, mites_high=5, bees=303)) is None


def test_a_range_of_counts_has_a_likely_range() -> None:
    likely = estimate(method="alcohol", mites_low=3, mites_high=5, bees=303).likely
    assert likely is not None
    assert likely.value is None
    assert likely.low == pytest.approx(Posterior(3, Spread(303.0)).limits()[0])
    assert likely.high == pytest.approx(Posterior(5, Spread(303.0)).limits()[1])
    more = estimate(method="alcohol", mites_low=3, bees=303).likely
    assert more is not None
    assert more.high is None


@given(
    st.integers(0, 300),
    st.sampled_from(["sugar", "alcohol", "soap", "co2", "ether"]),
    st.sampled_from([{"bees": 303}, {"bees": 300}, {"volume_ml": 118.3}, {"bees_weight_g": 31.0}]),
)
def test_every_jar_says_its_likely_range(mites: int, method: str, bees: dict[str, Any]) -> None:
    found = estimate(method=method, mites=mites, **bees)
    assert Estimate.model_validate_json(found.model_dump_json()) == found
    assert found.likely is not None
    assert found.likely.source
    assert found.likely.basis == "mites_per_100_adult_bees"
    assert any(line.startswith("likely range") for line in found.steps)


def test_no_heavy_library_is_needed() -> None:
    program = (
        "import sys\n"
        "from fieldnotes.estimate import estimate_visit\n"
        "from fieldnotes.records import Evidence, Sample, Visit\n"
        "said = dict.fromkeys(('method', 'mites', 'volume_ml'), Evidence(said=((0, 1),)))\n"
        "jar = Sample(method='sugar', mites=4, volume_ml=118.3, evidence=said)\n"
        "assert estimate_visit(Visit(samples=(jar,)))[0].likely\n"
        "print(sorted({'scipy', 'numpy', 'statsmodels', 'spacy'} & set(sys.modules)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "[]"
