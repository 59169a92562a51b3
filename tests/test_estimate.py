"""From a visit to its estimates: published examples, assumptions, and what is withheld."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldnotes.estimate import Estimate, estimate_visit
from fieldnotes.estimate.binomial import clopper_pearson, poisson_exact
from fieldnotes.estimate.measures import known_measures
from fieldnotes.grammar.vocabulary import Cup, Vocabulary
from fieldnotes.records import Evidence, Sample, StepSaid, Treatment, Visit
from tests.check_values import value

SAID = Evidence(said=((0, 1),))


def told(record: type[Any], **fields: Any) -> Any:
    """A record all of whose fields are said in the note."""
    proof = {name: SAID for name in fields if name not in record.PARTS}
    return record(**fields, evidence=proof)


def estimate(visit: dict[str, Any] | None = None, **sample: Any) -> Estimate:
    """The estimate of one sample, with facts of its visit beside it."""
    (only,) = estimate_visit(told(Visit, samples=(told(Sample, **sample),), **(visit or {})))
    return only


def step(name: str, outcome: str) -> StepSaid:
    found: StepSaid = told(StepSaid, step=name, outcome=outcome)
    return found


# Published worked examples.


def test_wash_of_the_research_standard() -> None:
    example = value("example.wash.13_of_303")  # BEEBOOK 4.2.3.1.2.3
    found = estimate(method="soap", **example["inputs"])
    assert found.value is not None
    assert round(found.value, 1) == example["published_output"]
    assert found.basis == "mites_per_100_adult_bees"
    assert found.bees_known == "counted or stated"
    assert found.steps[0] == "13 mites ÷ 303 bees × 100 = 4.3 mites per 100 adult bees"


def test_sugar_example_is_right_where_the_print_slips() -> None:
    example = value("example.sugar.43_of_310")  # BEEBOOK 4.2.3.1.2.1 prints 14.3
    found = estimate(method="sugar", **example["inputs"])
    assert found.value == pytest.approx(13.871, abs=5e-4)
    assert found.steps[0].endswith("= 13.9 mites per 100 adult bees")
    assert example["published_output"] == 14.3


def test_brood_example() -> None:
    example = value("example.brood.15_of_212")  # BEEBOOK 4.2.3.2
    cells = {
        "mites": example["inputs"]["infested_cells"],
        "cells": example["inputs"]["opened_cells"],
    }
    found = estimate(method="drone_uncapping", **cells)
    assert found.value is not None
    assert round(found.value, 1) == example["published_output"]
    assert found.basis == "percent_drone_cells"
    assert (found.low, found.high) == pytest.approx([100 * x for x in clopper_pearson(15, 212)])


def test_weighed_sample() -> None:
    example = value("example.wash.by_weight")  # Die Honigmacher: 15.8 per 10 g, about 100 bees
    found = estimate(
        method="soap",
        mites=example["inputs"]["mites"],
        bees_weight_g=example["inputs"]["grams"],
    )
    assert found.value == pytest.approx(example["published_output"], abs=0.05)
    assert (found.bees_known, found.denominator) == ("weighed", 335)


def test_board_example() -> None:
    example = value("example.board.20_in_5")  # Buckfastimker Weser-Ems
    found = estimate(method="sticky_board", fall="natural", **example["inputs"])
    assert found.value == example["published_output"]
    assert found.basis == "mites_per_day_natural"
    assert (found.low, found.high) == pytest.approx(poisson_exact(20, 5))
    assert found.steps[0] == "20 mites ÷ 5 days = 4.0 mites a day of natural fall"
    assert found.assumptions == ()


def test_three_in_three_hundred() -> None:
    example = value("example.oliver.3_in_300")  # Oliver R (2017)
    found = estimate(method="alcohol", **example["inputs"])
    assert found.value == example["published_output"]
    assert (found.low, found.high) == pytest.approx((0.21, 2.89), abs=5e-3)


def test_doubling_of_the_leaflet() -> None:
    example = value("example.sugar.brood_doubling_2016")
    found = estimate({"eggs": True}, method="sugar", mites=example["published_output"], bees=300)
    assert found.doubled is not None
    assert found.doubled.value == pytest.approx(example["inputs"]["percent_limit"])
    broodless = value("example.sugar.nobrood_2016")["number"]
    without = estimate({"broodless": True}, method="sugar", mites=broodless, bees=300)
    assert without.doubled is None
    assert without.value == pytest.approx(example["inputs"]["percent_limit"])


def test_divide_by_three() -> None:
    divisor = value("cp.divide", status="common practice")["number"]
    found = estimate(method="sugar", mites=9, volume_ml=118.3)
    assert found.value == pytest.approx(9 / divisor)


# How many bees.


@pytest.mark.parametrize("row", ["bees.300.volume_beebook", "bees.300.volume_ada"])
def test_a_hundred_millilitres(row: str) -> None:
    found = estimate(method="sugar", mites=3, volume_ml=value(row)["number"])
    assert (found.denominator, found.bees_known) == (300, "volume")
    assert "COLOSS BEEBOOK" in found.assumptions[0].source


@pytest.mark.parametrize("ml", [118.3, 118.4, 120, 125])
def test_half_a_cup_is_common_practice_and_says_so(ml: float) -> None:
    bees = value("cp.half_cup", status="common practice")["number"]
    assert value("bees.half_cup_ml_measure")["number"] == 125  # Oliver R (2020): shop half cups
    found = estimate(method="alcohol", mites=6, volume_ml=ml)
    assert found.denominator == bees
    assert found.assumptions[0].source == "common practice, no source"
    # The tightest filling on record, 500 in 100 mL, bounds it above.
    tight = value("bees.100ml.count_de")["number"]
    assert found.bees_high == pytest.approx(ml * tight / 100, abs=1)
    assert any("it would be 2.0 to" in line for line in found.steps)


def test_cups_keep_their_proportions() -> None:
    halves = {59.1: 150, 78.9: 200, 236.6: 600}
    for ml, bees in halves.items():
        assert estimate(method="soap", mites=2, volume_ml=ml).denominator == bees


def test_weights_span_what_the_literature_spans() -> None:
    extremes = value("bees.per_kg.extremes")
    found = estimate(method="soap", mites=3, bees_weight_g=30)
    assert found.denominator == 300  # varroa.fr; Ladenburg after Buechler
    assert found.bees_low == round(30 * extremes["low"] / 1000)
    assert found.bees_high == round(30 * extremes["high"] / 1000)
    mature = 30 * value("bees.per_kg.mature")["number"] / 1000  # Mitchell (1970)
    assert found.bees_low < mature < found.bees_high


def test_the_surest_number_of_bees_wins() -> None:
    everything = {"bees": 280, "bees_weight_g": 30.0, "volume_ml": 118.3}
    assert estimate(method="soap", mites=3, **everything).denominator == 280
    everything.pop("bees")
    assert estimate(method="soap", mites=3, **everything).bees_known == "weighed"


def test_the_keepers_own_cup_overrides() -> None:
    cup = Vocabulary(declared=dt.date(2026, 4, 2), cup=Cup(ml=110, bees=280))
    sample = told(Sample, method="sugar", mites=7, volume_ml=110.0)
    (found,) = estimate_visit(told(Visit, samples=(sample,)), cup)
    assert (found.bees_known, found.denominator) == ("own cup", 280)
    assert found.assumptions[0].source == "your own count, declared on 2026-04-02"
    assert found.bees_low is None
    uncounted = Vocabulary(declared=dt.date(2026, 4, 2), cup=Cup(ml=110))
    (found,) = estimate_visit(told(Visit, samples=(sample,)), uncounted)
    assert (found.bees_known, found.denominator) == ("volume", 330)


def test_declared_bees_are_never_said_to_be_counted() -> None:
    declared = Evidence(declared="usual.bees", on=dt.date(2026, 4, 2))
    sample = Sample(
        method="sugar",
        mites=3,
        bees=300,
        evidence={"method": SAID, "mites": SAID, "bees": declared},
    )
    (found,) = estimate_visit(told(Visit, samples=(sample,)))
    assert found.bees_known == "declared"
    assert found.assumptions[0].source == "declared on 2026-04-02"


# Zero, ranges and figures given ready made.


def test_zero_mites_still_has_an_upper_limit() -> None:
    found = estimate(method="alcohol", mites=0, bees=300)
    assert (found.value, found.low) == (0, 0)
    assert found.high == pytest.approx(1.22, abs=5e-3)
    board = estimate(method="sticky_board", mites=0, days=1)
    two_sided = value("stats.poisson.0.upper_two_sided")["number"]
    assert board.high == pytest.approx(two_sided, abs=5e-4)


def test_a_range_of_counts_gives_a_range() -> None:
    found = estimate(method="alcohol", mites_low=3, mites_high=4, bees=300)
    assert (found.value, found.at_least, found.numerator) == (None, 1, None)
    assert found.at_most == pytest.approx(4 / 3)
    assert found.low == pytest.approx(100 * clopper_pearson(3, 300)[0])
    assert found.high == pytest.approx(100 * clopper_pearson(4, 300)[1])
    more = estimate(method="sticky_board", mites_low=100, days=1)
    assert (more.at_least, more.at_most, more.high) == (100, None, None)
    assert (
        more.steps[0] == "at least 100 mites ÷ 1 day = at least 100.0 mites a day of natural fall"
    )
    fewer = estimate(method="alcohol", mites_high=3, bees=300)
    assert (fewer.at_least, fewer.at_most, fewer.low) == (None, 1, None)


def test_the_keepers_own_rate() -> None:
    found = estimate({"eggs": True}, method="sugar", rate_per_100=3.0, rate_basis="adult_bees")
    assert (found.kind, found.value, found.low, found.high) == ("stated", 3, None, None)
    assert (found.level, found.interval) == (None, None)
    assert found.doubled is not None
    assert found.doubled.value == 6
    doubled = estimate({"eggs": True}, method="sugar", rate_per_100=6.0, rate_basis="doubled")
    assert doubled.basis == "mites_per_100_bees_doubled"
    assert doubled.doubled is None
    daily = estimate(method="sticky_board", mites_per_day=3.5)
    assert (daily.kind, daily.value, daily.basis) == ("stated", 3.5, "mites_per_day_natural")
    cells = estimate(method="drone_uncapping", rate_per_100=20.0)
    assert (cells.kind, cells.basis) == ("stated", "percent_drone_cells")


def test_counts_outweigh_a_stated_rate() -> None:
    found = estimate(method="alcohol", mites=6, bees=300, rate_per_100=3.0, rate_basis="adult_bees")
    assert (found.kind, found.value) == ("counted", 2)


@pytest.mark.parametrize("basis", [{}, {"rate_basis": "not_said"}])
def test_a_rate_without_a_basis_is_withheld(basis: dict[str, str]) -> None:
    found = estimate(method="sugar", rate_per_100=3.0, **basis)
    assert found.withheld is not None
    assert "already doubled" in found.withheld


# What is withheld, and why.


@pytest.mark.parametrize(
    ("sample", "reason"),
    [
        ({"method": "sugar", "bees": 300}, "number of mites"),
        ({"method": "alcohol", "mites": 3}, "How many bees"),
        ({"mites": 3, "bees": 300}, "How the mites were counted"),
        ({"method": "sticky_board", "mites": 3}, "How many days"),
        ({"method": "sticky_board", "days": 3.0}, "number of mites"),
        ({"method": "sticky_board", "mites": 3, "days": 0.0}, "no time"),
        ({"method": "drone_uncapping", "mites": 6}, "How many cells were opened"),
        ({"method": "drone_uncapping", "cells": 60}, "How many cells held mites"),
        ({"method": "visual", "mites": 2}, "How many bees were looked over"),
        ({"method": "alcohol", "mites": 4, "bees": 3}, "More mites (4) than bees (3)"),
        ({"method": "drone_uncapping", "mites": 9, "cells": 5}, "More cells with mites"),
        ({"method": "alcohol", "mites": 0, "bees": 0}, "No bees"),
        ({"method": "soap", "mites_low": 5, "mites_high": 2, "bees": 300}, "runs backwards"),
        ({"method": "soap", "mites": 10**400, "bees": 300}, "far too large"),
        ({"method": "soap", "mites": 3, "volume_ml": math.inf}, "far too large"),
    ],
)
def test_nothing_is_made_up(sample: dict[str, Any], reason: str) -> None:
    found = estimate(**sample)
    assert found.withheld is not None
    assert reason in found.withheld
    assert (found.value, found.basis, found.figure) == (None, None, None)


def test_a_spoiled_sample_gives_only_a_lower_limit() -> None:
    steps = (step("sugar", "spoiled"),)
    found = estimate({"eggs": True}, method="sugar", mites=4, bees=300, steps=steps)
    assert (found.reads, found.high) == ("low", None)
    assert found.low is not None
    assert found.warnings[0].startswith("Likely reads low: the sugar")
    assert found.doubled is not None
    assert found.doubled.high is None


def test_no_mite_in_a_spoiled_sample_says_nothing() -> None:
    found = estimate(method="sugar", mites=0, bees=300, steps=(step("dry", "spoiled"),))
    assert found.withheld is not None
    assert "sample again" in found.withheld


def test_a_short_rest_spoils_as_well() -> None:
    found = estimate(method="sugar", mites=4, bees=300, rest_s=10.0)
    assert (found.reads, found.high) == ("low", None)
    assert "did not stand long enough" in found.warnings[0]
    assert estimate(method="sugar", mites=4, bees=300, rest_s=60.0).reads is None


def test_smoke_makes_a_board_read_high() -> None:
    found = estimate(
        method="sticky_board", mites=8, days=3.0, steps=(step("undisturbed", "spoiled"),)
    )
    assert (found.reads, found.low) == ("high", None)
    both = (step("undisturbed", "spoiled"), step("ants", "spoiled"))
    found = estimate(method="sticky_board", mites=8, days=3.0, steps=both)
    assert (found.reads, found.low, found.high, found.level) == ("either", None, None, None)


# Bases: falls, looks, combs and brood.


@pytest.mark.parametrize("fall", ["during_treatment", "after_treatment"])
def test_a_treated_fall_is_another_basis(fall: str) -> None:
    found = estimate(method="sticky_board", mites=118, days=3.0, fall=fall)
    assert found.basis == "mites_per_day_treated"
    assert "no natural fall" in found.warnings[0]


@pytest.mark.parametrize(
    ("action", "active", "basis"),
    [
        ("ongoing", "amitraz", "mites_per_day_treated"),
        ("end", "thymol", "mites_per_day_treated"),
        ("start", "formic_acid", "mites_per_day_natural"),
        ("planned", "formic_acid", "mites_per_day_natural"),
        ("ongoing", "drone_removal", "mites_per_day_natural"),
    ],
)
def test_an_unsaid_fall_is_an_assumption(action: str, active: str, basis: str) -> None:
    treatment = (told(Treatment, active=active, action=action),)
    found = estimate({"treatment": treatment}, method="sticky_board", mites=12, days=3.0)
    assert found.basis == basis
    assert found.assumptions[0].source == "not said in the note"


def test_a_look_is_no_measure() -> None:
    found = estimate({"eggs": True}, method="visual", mites=3, bees=150)
    assert (found.value, found.basis) == (2, "mites_seen_per_100_bees")
    assert (found.low, found.high, found.doubled) == (None, None, None)
    assert "no measure" in found.warnings[0]


@pytest.mark.parametrize("source", ["honey", "super", "entrance", "pollen"])
def test_bees_from_elsewhere_are_not_doubled(source: str) -> None:
    found = estimate({"eggs": True}, method="alcohol", mites=6, bees=300, source=source)
    assert found.doubled is None
    assert found.frame == source
    assert "limits" in found.warnings[0]


def test_honey_combs_by_the_published_ratio() -> None:
    ratio = value("frame.brood_vs_honey")["number"]  # Calderone and Turcotte (1998): about twice
    assert ratio == 2
    found = estimate(method="alcohol", mites=6, bees=300, source="honey")
    assert "about half" in found.warnings[0]


@pytest.mark.parametrize(
    ("visit", "doubled"),
    [
        ({}, False),
        ({"eggs": True}, True),
        ({"larvae": True}, True),
        ({"capped_brood": True}, True),
        ({"frames_brood": 3.0}, True),
        ({"frames_brood": 0.0}, False),
        ({"eggs": True, "broodless": True}, False),
        ({"eggs": True, "capped_brood": False}, False),
        ({"eggs": True, "queen_status": "laying_workers"}, False),
        ({"drone_brood": True}, False),
    ],
)
def test_doubled_only_with_worker_brood_on_record(visit: dict[str, Any], doubled: bool) -> None:
    found = estimate(visit, method="alcohol", mites=6, bees=300)
    assert (found.doubled is not None) is doubled
    if found.doubled:
        assert found.doubled.basis == "mites_per_100_bees_doubled"
        assert found.doubled.high == 2 * (found.high or 0)
        assert "Lee KV" in found.doubled.source
        with pytest.raises(TypeError, match="count different things"):
            assert found.figure == found.doubled.figure


# The record.


def test_one_estimate_a_sample_in_order() -> None:
    samples = (
        told(Sample, method="alcohol", mites=3, bees=300),
        told(Sample, method="sticky_board", mites=3),
    )
    visit = told(Visit, colony="7", date=dt.date(2026, 7, 14), samples=samples)
    found = estimate_visit(visit)
    assert [each.sample for each in found] == [0, 1]
    assert {(each.colony, each.date) for each in found} == {("7", dt.date(2026, 7, 14))}
    assert estimate_visit(told(Visit, colony="8")) == ()


def test_every_assumption_names_its_source() -> None:
    for method in ("sugar", "ether", "co2", "alcohol"):
        found = estimate(method=method, mites=3, volume_ml=118.3)
        assert all(each.source and each.line.endswith(")") for each in found.assumptions)


def test_measures_agree_with_the_published_rows() -> None:
    measures = known_measures()
    rows = [(row.bees, row.ml or row.g, row.cited) for row in measures.volume + measures.weight]
    for bees, amount, cited in rows:
        assert cited.check is not None
        published = value(cited.check, cited.status)
        per_kg = {published.get("low"), published.get("high")}
        matches = {
            "bees": bees == published.get("number"),
            "mL": amount == published.get("number"),
            "g": amount == published.get("number"),
            "bees per kg": bees in per_kg and amount == 1000,
        }
        assert matches[published["unit"]], cited.check
    for recovery in measures.recovery:
        assert recovery.cited.check is None or value(recovery.cited.check, recovery.cited.status)
    macedo = value("recovery.sugar.macedo")["number"]
    assert f"{macedo:.0f} percent" in measures.recovery[0].cited.says


counts = st.one_of(st.none(), st.integers(0, 500))
amounts = st.one_of(st.none(), st.floats(0))
methods = st.sampled_from(
    [None, "sugar", "alcohol", "soap", "co2", "ether", "drone_uncapping", "sticky_board", "visual"]
)


@given(
    st.fixed_dictionaries(
        {
            "method": methods, "mites": counts, "mites_low": counts, "mites_high": counts,
            "bees": counts, "cells": counts, "days": amounts, "volume_ml": amounts,
            "bees_weight_g": amounts, "rate_per_100": amounts, "mites_per_day": amounts,
            "rest_s": amounts,
        }
    )
)  # fmt: skip
def test_any_sample_gives_a_sound_estimate(sample: dict[str, Any]) -> None:
    said = {name: held for name, held in sample.items() if held is not None}
    found = estimate({"eggs": True}, **said)
    assert Estimate.model_validate_json(found.model_dump_json()) == found
    point = [x for x in (found.value, found.at_least, found.at_most) if x is not None]
    assert bool(point) is (found.withheld is None)
    if found.value is not None:
        assert found.low is None or found.low <= found.value * (1 + 1e-12)
        assert found.high is None or found.high >= found.value * (1 - 1e-12)
    if found.basis is not None:
        assert found.figure is not None
        assert found.steps


def test_one_mite_is_told_in_the_singular() -> None:
    found = estimate(method="alcohol", mites=1, bees=300)
    assert found.steps[0].startswith("1 mite ÷ 300 bees")
