"""Pictures that are hard to draw: crowded, empty, far off the scale, in other scripts."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable
from typing import Any

from fieldnotes.estimate.basis import FallPerDay, PerHundredAdults
from fieldnotes.estimate.dated import DatedCount, Happening
from fieldnotes.estimate.growth.outlook import outlook_of
from fieldnotes.estimate.verdict.situation import TreatmentRun
from fieldnotes.estimate.yard.yard import OfColony, yard_of
from fieldnotes.pictures.joining import trend_of, yard_picture_of
from fieldnotes.pictures.trend import Level, Trend
from fieldnotes.pictures.yard_dots import YardDots

D = dt.date
ACT = PerHundredAdults(value=3.0)
LEVELS = (
    Level("watch", PerHundredAdults(value=1.0), "Guide of the Province"),
    Level("act", ACT, "Guide of the Province"),
)
NAMES = (
    "Willow 3", "柳の木の箱", "כוורת שבע", "A colony with a name that is too long for a picture",
    "H7", "Salt", "$a_1$ & <b>", "Oak\x1b[31m",
)  # fmt: skip


def count(day: dt.date, mites: int, of: float = 300, **rest: Any) -> DatedCount:
    """A jar of 300 bees, known to a fifth, unless said otherwise."""
    return DatedCount(day, mites, of, **({"method": "alcohol", "spread": 0.2} | rest))


def growing() -> Trend:
    """Three counts that grow, with the line ahead."""
    counts = [count(D(2026, 5, 4), 1), count(D(2026, 6, 2), 3), count(D(2026, 7, 1), 7)]
    outlook = outlook_of(counts, act=ACT, today=D(2026, 7, 2))
    return trend_of(counts, outlook, title="Willow 3", levels=LEVELS)


def crowded() -> Trend:
    """Counts a day apart, two methods, treatments with open ends, three things that happened."""
    counts = [
        count(D(2026, 5, 4), 1), count(D(2026, 5, 5), 4), count(D(2026, 6, 2), 13, method="sugar"),
        count(D(2026, 7, 1), 2), count(D(2026, 7, 2), 3),
    ]  # fmt: skip
    happenings = [
        Happening("swarmed", D(2026, 5, 20)),
        Happening("robbing", D(2026, 5, 22)),
        Happening("requeened", D(2026, 6, 12)),
    ]
    treatments = [
        TreatmentRun("formic_acid", D(2026, 6, 5), D(2026, 6, 19)),
        TreatmentRun("oxalic_acid", None, D(2026, 5, 6)),
        TreatmentRun("thymol", D(2026, 7, 3), None, ongoing=True),
    ]
    treated = Happening("treatment", D(2026, 6, 5), D(2026, 6, 19))
    outlook = outlook_of(counts, [*happenings, treated], act=ACT, today=D(2026, 7, 3))
    return trend_of(
        counts, outlook, title="Willow 3", levels=LEVELS, treatments=treatments,
        happenings=happenings,
    )  # fmt: skip


def one() -> Trend:
    """One count and nothing else."""
    return trend_of([count(D(2026, 7, 1), 4)], title="One count")


def nothing_found() -> Trend:
    """Two counts without a mite."""
    counts = [count(D(2026, 6, 1), 0), count(D(2026, 7, 1), 0)]
    outlook = outlook_of(counts, act=ACT, today=D(2026, 7, 2))
    return trend_of(counts, outlook, title="No mite", levels=LEVELS)


def two_seasons() -> Trend:
    """Twenty counts over two seasons, some a day apart, one far above the others."""
    draw = random.Random(4)
    counts, day = [], D(2025, 4, 10)
    for number in range(20):
        counts.append(count(day, 31 if number == 9 else int(draw.expovariate(1 / 6))))
        day += dt.timedelta(days=draw.choice([1, 21, 28, 35]))
    treatments = [
        TreatmentRun("formic_acid", D(2025, 8, 5), D(2025, 8, 19)),
        TreatmentRun("oxalic_acid", D(2025, 12, 27), D(2025, 12, 27)),
        TreatmentRun("thymol", D(2026, 8, 1), D(2026, 9, 10)),
    ]
    happenings = [Happening("swarmed", D(2026, 5, 20))]
    outlook = outlook_of(counts, happenings, act=ACT, today=counts[-1].day)
    return trend_of(
        counts, outlook, title="Two seasons", levels=LEVELS, treatments=treatments,
        happenings=happenings,
    )  # fmt: skip


def far_above() -> Trend:
    """Counts far above the act level; title and guideline of great length."""
    counts = [count(D(2026, 7, 1), 80), count(D(2026, 8, 1), 140)]
    outlook = outlook_of(counts, act=ACT, today=D(2026, 8, 2))
    long = "A guideline with a very long name, as published by the association of the whole region"
    levels = (Level("watch", PerHundredAdults(value=2.0), long), LEVELS[1])
    return trend_of(counts, outlook, title="Far above " * 20, levels=levels)


def right_to_left() -> Trend:
    """A name written from the right."""
    return trend_of([count(D(2026, 7, 1), 4)], title=f"{NAMES[2]} 7", levels=LEVELS)


def wide_signs() -> Trend:
    """A name in wide signs, with signs that mean something to TeX and to XML."""
    return trend_of([count(D(2026, 7, 1), 4)], title=f"{NAMES[1]} $x_1$ <b>&", levels=LEVELS)


def board() -> Trend:
    """Boards, on their own basis."""
    counts = [
        count(D(2026, 7, 1) + dt.timedelta(days=7 * turn), 5 * turn + 3, 3, spread=0.0,
              basis=FallPerDay, method="sticky_board")
        for turn in range(5)
    ]  # fmt: skip
    act = FallPerDay(value=10.0)
    outlook = outlook_of(counts, act=act, today=D(2026, 9, 1))
    return trend_of(counts, outlook, title="Board", levels=(Level("act", act, "Land"),))


def yard(colonies: int = 8, more: int = 0) -> YardDots:
    """A yard with names of all kinds, of which one stands out."""
    draw = random.Random(2)
    mites = [3, 5, 2, 4, 40, 3, 0, 6] + [draw.randrange(9) for _ in range(40)]
    names = [*NAMES, *(f"N{turn}" for turn in range(40))]
    counts = [
        OfColony(name, count(D(2026, 7, 1), number))
        for name, number in list(zip(names, mites, strict=True))[:colonies]
    ]
    roster = [*(each.colony for each in counts), "9", "10", *(f"Hive {n}" for n in range(more))]
    return yard_picture_of(yard_of(counts, roster), title="Orchard", levels=LEVELS)


TRENDS: dict[str, Callable[[], Trend]] = {
    made.__name__: made
    for made in (
        growing, crowded, one, nothing_found, two_seasons, far_above, right_to_left, wide_signs,
        board,
    )
}  # fmt: skip
YARDS: dict[str, Callable[[], YardDots]] = {
    "yard": yard,
    "large_yard": lambda: yard(40, 30),
    "yard_of_one": lambda: yard(1),
}
CASES: dict[str, Callable[[], Trend | YardDots]] = {**TRENDS, **YARDS}
