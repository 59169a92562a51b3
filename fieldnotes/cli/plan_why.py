"""The arithmetic behind a plan, step by step as on paper, and who says so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..estimate.counts import plain
from ..estimate.measures import known_measures
from ..estimate.yard.jar import JarLook
from .screen import Screen

if TYPE_CHECKING:
    from .plan import Worked


def show_why(screen: Screen, worked: Worked) -> None:
    """Show the steps and the sources of the plan."""
    _steps(screen, worked)
    _sources(screen, worked)


def _steps(screen: Screen, worked: Worked) -> None:
    counted, cup, wanted = worked.counted, worked.cup, worked.wanted
    rate, bees = wanted.per_100, counted.bees
    screen.heading("The arithmetic")
    screen.paragraph(f"{bees} bees × {rate:g} ÷ 100 = {plain(counted.expected)} mites on average.")
    screen.paragraph(
        "By chance alone the standard error is 1 ÷ √mites of the figure: "
        f"1 ÷ √{plain(counted.expected)} = {_percent(counted.precision)}."
    )
    screen.paragraph(
        f"How many bees {worked.ml:g} mL hold is known to ± {_percent(cup.spread)}. Together: "
        f"√({_percent(counted.precision)}² + {_percent(cup.spread)}²) = {_percent(cup.precision)}."
    )
    screen.paragraph(
        "A second jar lessens the part of chance, but not the doubt about the cup, which both "
        "share: "
        f"{_percent(worked.second.precision)}. With both jars counted: "
        f"{_percent(worked.both.precision)}."
    )
    screen.paragraph(
        f"No mite in {bees} counted bees: (1 − {rate:g} ÷ 100) to the power of {bees} = "
        f"{_chance(counted)}; allowing for the cup {_chance(cup)}."
    )
    if worked.bees is not None:
        d = f"{wanted.precision:g}"
        screen.paragraph(
            f"Counted bees for ± {_percent(wanted.precision)} of one colony: "
            f"100 ÷ ({rate:g} × {d}²) = {worked.bees}."
        )
    for apart, number in worked.apart:
        found = "even all are too few" if number is None else f"{number}"
        within = f"{plain(counted.precision)}²"
        screen.paragraph(
            f"Colonies that differ by {_percent(apart)} of their mean: ({within} + {apart:g}²) ÷ "
            f"({wanted.precision:g}² + {apart:g}² ÷ {wanted.colonies}), rounded up: {found}."
        )
    screen.paragraph(
        "No source read says how much colonies of a yard differ, so these are examples. Mites "
        "that clump on a few frames make every figure here less sure."
    )


def _sources(screen: Screen, worked: Worked) -> None:
    screen.heading("Sources")
    colony, aim = worked.rows.colony, worked.rows.precision
    screen.item("Bees:", f"{colony.cited.says} ({colony.cited.reference}).")
    for line in worked.plans:
        used = ", the plan used above" if line.usual else ""
        screen.item("Colonies:", f"{line.says} ({line.source}{used}).")
    screen.item("Precision of that plan:", f"{aim.cited.says} ({aim.cited.reference}).")
    cups = known_measures().cups.cited
    screen.item("The cup:", f"{cups.says} ({cups.reference}); sources differ.")


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _chance(look: JarLook) -> str:
    return f"{100 * look.none:.2g} %"
