"""Mites under the cappings: when they are added, by how much, and on which basis."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldnotes.errors import NumbersError
from fieldnotes.estimate import Estimate, estimate_visit
from fieldnotes.estimate.basis import PerHundredAdults, PerHundredDoubled
from fieldnotes.estimate.brood import add_brood, brood_changes_verdict
from fieldnotes.estimate.cappings import Share, share_in_brood, share_in_cells
from fieldnotes.estimate.measures import known_measures
from fieldnotes.records import Evidence, Sample, Visit
from tests.check_values import value

SAID = Evidence(said=((0, 1),))
ROWS = known_measures().under_cappings


def told(record: type[Any], **fields: Any) -> Any:
    proof = {name: SAID for name in fields if name not in record.PARTS}
    return record(**fields, evidence=proof)


def estimate(visit: dict[str, Any] | None = None, **sample: Any) -> Estimate:
    jar = {"method": "alcohol", "mites": 6, "bees": 303} | sample
    (only,) = estimate_visit(told(Visit, samples=(told(Sample, **jar),), **(visit or {})))
    return only


# The published relation.


def test_the_rows_are_the_published_numbers() -> None:
    assert ROWS.trap.drone_cells == value("drone.trap.boot")["number"]  # Boot et al. (1995)
    assert ROWS.preference.usual == value("drone.preference.boot")["number"]  # Boot et al. (1995)
    assert ROWS.preference.low == value("drone.preference.fuchs")["number"]  # Fuchs (1990)
    assert ROWS.capped.days == value("bee.worker.capped")["number"]
    assert ROWS.capped.of == value("bee.worker.total")["number"]
    label = value("formic.strip.min_bees")["number"]  # about 6 frames covered
    assert ROWS.bees.usual == round(label / 6)


def test_the_rate_of_entering_worker_cells() -> None:
    """Boot's rates, from memory 6.5 g a drone cell and 0.56 g a worker cell, follow from it."""
    per_drone_cell = -math.log(1 - ROWS.trap.trapped) * 1000 / ROWS.trap.drone_cells
    assert per_drone_cell == pytest.approx(6.5, abs=0.05)
    per_worker_cell = per_drone_cell / ROWS.preference.usual
    assert per_worker_cell == pytest.approx(0.56, abs=0.01)
    # Half of the mites are in cells where the bees weigh as much as k times the cells.
    assert share_in_cells(1000, 1000 * per_worker_cell, ROWS.trap, ROWS.preference.usual) == 0.5


def test_against_colonies_that_were_counted_whole() -> None:
    """Delaplane and Hood (1997), mid-August: 3172 mites, 24,808 bees, 15 in 300 by ether roll.

    All mites per bee over mites per bee in the jar is 2.6. Their sealed brood was 1825 square
    centimetres, at about 4 worker cells each (from memory). Bees of a tenth of a gram.
    """
    mites = value("threshold.se_usa.1997.colony")["number"]
    bees = value("threshold.se_usa.1997.bees")["number"]
    jar = value("threshold.se_usa.1997.ether")["number"] / 300
    seen = mites / bees / jar
    assert seen == pytest.approx(2.6, abs=0.05)
    share = share_in_cells(1825 * 4, bees / 10, ROWS.trap, ROWS.preference.usual)
    assert 1 / (1 - share) == pytest.approx(seen, rel=0.1)


@pytest.mark.parametrize(("brood", "bees"), [(4.0, 10.0), (5.0, 9.0), (8.0, 18.0)])
def test_a_summer_colony_lies_where_the_sources_see_it(brood: float, bees: float) -> None:
    share = share_in_brood(brood, bees, ROWS, 10.0)
    # Oliver: half or more in summer; 70 percent of a mite's time. ADA France: about 80 percent.
    assert share.usual >= value("convert.brood_share.oliver_min")["low"] / 100
    for row in ("convert.brood_share.oliver_time", "convert.brood_share.ada"):
        assert share.low < value(row)["number"] / 100 < share.high
    # Huang: 5 to 11 days on bees between 12 under cappings, which is 52 to 71 percent.
    days = value("growth.phoretic_days")
    shares = [12 / (12 + days[end]) for end in ("high", "low")]
    assert share.low < shares[1]
    assert share.high > shares[0]


@given(st.floats(0.1, 20), st.floats(0, 20), st.floats(0.1, 5))
def test_laws_of_the_share(brood: float, more_bees: float, more_brood: float) -> None:
    share = share_in_brood(brood, brood + more_bees, ROWS, 10.0)
    assert 0 < share.low <= share.usual <= share.high < 1
    bigger = share_in_brood(brood, brood + more_bees + 1, ROWS, 10.0)
    assert bigger.usual < share.usual
    broodier = share_in_brood(brood + more_brood, brood + more_bees + more_brood, ROWS, 10.0)
    assert broodier.usual >= share.usual * (1 - 1e-12)


def test_no_share_from_nonsense() -> None:
    for brood, bees in ((0, 8), (-1, 8), (9, 8), (3, 0), (3, math.inf), (math.nan, 8)):
        with pytest.raises(NumbersError):
            share_in_brood(brood, bees, ROWS, 10.0)
    for cells, grams in ((-1, 1000), (10, 0), (math.inf, 1000)):
        with pytest.raises(NumbersError):
            share_in_cells(cells, grams, ROWS.trap, 10.0)


# The figure.


def test_frames_give_a_figure_on_a_basis_of_its_own() -> None:
    found = estimate({"frames_brood": 5.0, "frames_bees": 9.0})
    both = found.with_brood
    assert both is not None
    assert both.basis == "mites_per_100_bees_with_brood"
    assert both.value == pytest.approx((found.value or 0) / (1 - both.share_in_brood))
    assert found.likely is not None
    assert both.low == pytest.approx((found.likely.low or 0) / (1 - both.share_low))
    assert both.high == pytest.approx((found.likely.high or 0) / (1 - both.share_high))
    assert "Boot" in both.source
    assert found.doubled is not None
    for other in (found.figure, found.doubled.figure):
        with pytest.raises(TypeError, match="count different things"):
            assert both.figure == other


def test_a_weblog_example_of_the_whole_colony() -> None:
    # Weblog of a Salt Lake City beekeeper (2017): 15 in 300, doubled, 40,000 bees are 4000 mites.
    example = value("example.blog.15_in_jar")
    inputs = example["inputs"]
    per_100 = 100 * inputs["mites"] / inputs["bees"]
    half = add_brood(PerHundredAdults(value=per_100), Share(0.5, 0.5, 0.5)).figure
    assert half.value == per_100 * inputs["factor"]
    assert half.value * inputs["colony_bees"] / 100 == example["published_output"]


@pytest.mark.parametrize(
    ("visit", "sample"),
    [
        ({"frames_brood": 5.0}, {}),
        ({"frames_bees": 9.0, "eggs": True}, {}),
        ({"frames_brood": 0.0, "frames_bees": 9.0}, {}),
        ({"frames_brood": 10.0, "frames_bees": 9.0}, {}),
        ({"frames_brood": 5.0, "frames_bees": 9.0, "broodless": True}, {}),
        ({"frames_brood": 5.0, "frames_bees": 9.0, "capped_brood": False}, {}),
        ({"frames_brood": 5.0, "frames_bees": 9.0, "queen_status": "laying_workers"}, {}),
        ({"frames_brood": 5.0, "frames_bees": 9.0}, {"source": "honey"}),
        (
            {"frames_brood": 5.0, "frames_bees": 9.0},
            {"mites": None, "mites_low": 3, "mites_high": 5},
        ),
    ],
)
def test_only_with_worker_brood_and_frames_of_both(
    visit: dict[str, Any], sample: dict[str, Any]
) -> None:
    assert estimate(visit, **sample).with_brood is None


# Brood that is not said.


@pytest.mark.parametrize(
    ("visit", "known"),
    [
        ({}, "not said"),
        ({"eggs": False}, "not said"),
        ({"drone_brood": True}, "not said"),
        ({"eggs": True}, "worker brood"),
        ({"frames_brood": 3.0}, "worker brood"),
        ({"broodless": True}, "none"),
        ({"capped_brood": False}, "none"),
        ({"frames_brood": 0.0}, "none"),
        ({"queen_status": "laying_workers"}, "none"),
    ],
)
def test_what_is_known_of_the_brood(visit: dict[str, Any], known: str) -> None:
    found = estimate(visit)
    assert found.brood == known
    assert (found.doubled is not None) is (known == "worker brood")
    assert (found.if_brood is not None) is (known == "not said")


def test_unknown_brood_is_asked_where_it_matters() -> None:
    found = estimate()  # 2 per 100, 4 if doubled
    assert found.if_brood is not None
    assert found.if_brood.value == pytest.approx(2 * (found.value or 0))
    assert "does not say" in found.if_brood.note
    assert brood_changes_verdict(found, PerHundredDoubled(value=3))
    assert not brood_changes_verdict(found, PerHundredDoubled(value=1))
    assert not brood_changes_verdict(found, PerHundredDoubled(value=6))
    for visit in ({"eggs": True}, {"broodless": True}):
        assert not brood_changes_verdict(estimate(visit), PerHundredDoubled(value=3))
    assert not brood_changes_verdict(estimate(source="honey"), PerHundredDoubled(value=3))
    with pytest.raises(TypeError):
        brood_changes_verdict(found, PerHundredAdults(value=3))  # type: ignore[arg-type]


def test_other_bases_know_no_brood() -> None:
    board = estimate(method="sticky_board", days=3.0)
    assert (board.brood, board.if_brood, board.with_brood, board.likely) == (None,) * 4
