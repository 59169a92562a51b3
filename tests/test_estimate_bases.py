"""Figures on different bases cannot meet, at run time or before it."""

from __future__ import annotations

import itertools
import operator
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldnotes.estimate import BASES, double_for_brood, halve_to_adults
from fieldnotes.estimate.basis import (
    BROOD_FACTOR,
    LEE_2010,
    FallPerDay,
    Figure,
    PerHundredAdults,
    PerHundredDoubled,
)
from tests.check_values import value

COMPARISONS = (operator.lt, operator.le, operator.gt, operator.ge, operator.eq, operator.ne)


@pytest.mark.parametrize("compare", COMPARISONS)
@pytest.mark.parametrize(("one", "other"), list(itertools.permutations(BASES.values(), 2)))
def test_no_two_bases_compare(
    one: type[Figure], other: type[Figure], compare: Callable[[Figure, Figure], bool]
) -> None:
    with pytest.raises(TypeError, match="count different things"):
        compare(one(value=3), other(value=3))


@pytest.mark.parametrize("mix", [operator.add, operator.sub, operator.mul, operator.truediv, max])
def test_no_two_bases_mix(mix: Callable[[Figure, Figure], object]) -> None:
    with pytest.raises(TypeError):
        mix(PerHundredAdults(value=3), PerHundredDoubled(value=6))


@pytest.mark.parametrize("compare", COMPARISONS[:4])
def test_a_bare_number_has_no_basis(compare: Callable[[object, object], bool]) -> None:
    with pytest.raises(TypeError, match="same basis"):
        compare(PerHundredAdults(value=3), 2)


def test_one_basis_compares() -> None:
    three, four = PerHundredAdults(value=3, low=1, high=5), PerHundredAdults(value=4)
    assert three < four
    assert three <= four
    assert four > three
    assert four >= three
    assert three == PerHundredAdults(value=3, low=1, high=5)
    assert three != four
    assert hash(three) == hash(PerHundredAdults(value=3, low=1, high=5))
    with pytest.raises(ValueError, match="no single value"):
        assert three < PerHundredAdults(at_least=30)


def test_a_figure_needs_a_basis_and_sane_numbers() -> None:
    with pytest.raises(TypeError, match="needs a basis"):
        Figure(value=3)
    for number in (-1.0, float("nan"), float("inf")):
        with pytest.raises(ValueError, match="finite"):
            FallPerDay(value=number)


def test_doubling_is_named_sourced_and_reversible() -> None:
    # University of Minnesota poster, via a weblog: 5 per 100 becomes 10 per 100, doubled.
    example = value("example.umn.doubling")
    adults = PerHundredAdults(value=example["inputs"]["mites_per_100_bees"], low=2, high=8)
    doubled = double_for_brood(adults)
    assert doubled.figure.value == example["published_output"]
    assert (doubled.figure.low, doubled.figure.high) == (4, 16)
    assert doubled.source == LEE_2010
    assert halve_to_adults(doubled.figure).figure == adults
    # Lee et al. (2010), abstract: the factor itself.
    assert value("convert.doubling.lee")["number"] == BROOD_FACTOR
    assert value("convert.doubling.lee")["source"].startswith(LEE_2010)


def test_a_leaflet_agrees_with_the_doubling() -> None:
    # Sugar shaker leaflet, April 2016: 2 percent is 3 mites in 300 with brood, 6 without.
    with_brood = value("example.sugar.brood_doubling_2016")
    without = value("example.sugar.nobrood_2016")
    limit = with_brood["inputs"]["percent_limit"]
    raw = PerHundredAdults(value=100 * with_brood["published_output"] / 300)
    assert double_for_brood(raw).figure == PerHundredDoubled(value=limit)
    assert PerHundredAdults(value=100 * without["number"] / 300) == PerHundredAdults(value=limit)


def test_a_type_checker_refuses_it_too(tmp_path: Path) -> None:
    pytest.importorskip("mypy")
    package = Path(__file__).parents[1] / "fieldnotes" / "estimate"
    wrong = "from basis import *\n_ = PerHundredAdults(value=3) < PerHundredDoubled(value=6)\n"
    right = "from basis import *\n_ = PerHundredAdults(value=3) < PerHundredAdults(value=6)\n"

    def complaints(code: str) -> str:
        command = [sys.executable, "-m", "mypy", "--strict", "--config-file", os.devnull]
        done = subprocess.run(
            [*command, "--cache-dir", str(tmp_path), "-c", code],
            env=os.environ | {"MYPYPATH": str(package)},
            capture_output=True, text=True, check=False, timeout=120,
        )  # fmt: skip
        return done.stdout

    assert "Unsupported operand types for <" in complaints(wrong)
    assert "Success" in complaints(right)
