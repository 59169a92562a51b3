"""How often the limits hold the truth, over simulated samples of known infestation.

`benchmarks/coverage.py` prints the whole table; this holds the promise over 20,000 samples.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.simulated_samples import RATES, WANTED, Held, over_rates, simulate, stressed, ways

SAMPLES = 2600  # for each of eight ways: over 20,000 in all


@pytest.fixture(scope="module")
def held() -> dict[str, tuple[Held, dict[float, Held]]]:
    rng = np.random.default_rng(7)
    return {way.name: over_rates(way, SAMPLES, rng) for way in ways()}


def test_the_likely_range_keeps_its_promise(
    held: dict[str, tuple[Held, dict[float, Held]]],
) -> None:
    total = sum(each.samples for each, _ in held.values())
    assert total >= 20_000
    assert {min(RATES), max(RATES)} == {0.2, 10.0}
    assert WANTED[0] <= sum(each.full for each, _ in held.values()) / total <= WANTED[1]
    for name, (each, _) in held.items():
        assert WANTED[0] <= each.full / each.samples <= WANTED[1], name


def test_no_infestation_is_left_out(held: dict[str, tuple[Held, dict[float, Held]]]) -> None:
    # A count is a whole number, so that single infestations swing around the promise.
    for rate in RATES:
        each = [by_rate[rate] for _, by_rate in held.values()]
        assert 0.93 <= sum(e.full for e in each) / sum(e.samples for e in each) <= 0.985


def test_counting_alone_promises_too_much(held: dict[str, tuple[Held, dict[float, Held]]]) -> None:
    loose = [held[way.name][0] for way in ways() if way.loose]
    assert len(loose) == 4
    for each in loose:
        assert each.counting / each.samples < WANTED[0] < each.full / each.samples
    counted = [held[way.name][0] for way in ways() if way.counted]
    assert all(each.counting / each.samples > 0.95 for each in counted)


def test_wrong_assumptions_cost_little() -> None:
    """Bees spread evenly over all that the sources name; a second mite on a bee never seen."""
    rng = np.random.default_rng(8)
    for way in ways():
        even = stressed(way, SAMPLES, rng)
        assert even is None or even.full / even.samples > 0.90
        one = simulate(way, 3.0, SAMPLES, rng, one_a_bee=True)
        assert one.full / one.samples > 0.92
