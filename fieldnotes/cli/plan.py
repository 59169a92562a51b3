"""``fieldnotes plan``: how many colonies of a yard to sample, and how many bees from each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import typer

from ..errors import NumbersError
from ..estimate.counts import plain
from ..estimate.yard.jar import JarLook, jar_at, spread_of_cup
from ..estimate.yard.plans import PlanLine, bees_needed, colonies_needed, yard_plans
from ..estimate.yard.rows import PlanRows, known_plans
from .safe import json_text, one_line
from .screen import Screen, standard_screen
from .shield import DONE

MOST_COLONIES = 100_000
"""No yard has so many; a larger number is a slip of the finger."""
_APART = (0.0, 0.5, 1.0)
"""How much colonies may differ, in parts of their mean: examples, since no source has a value."""


@dataclass(frozen=True)
class Wanted:
    """What the keeper asks for: colonies in the yard, mites per 100 bees, precision as a share."""

    colonies: int
    per_100: float
    precision: float


@dataclass(frozen=True)
class Worked:
    """The answer: what the plans ask for, what jars show, and what a wanted precision takes.

    ``cup`` is a jar by volume, of ``ml``; ``counted`` the same with its bees counted;
    ``second`` two jars by one cup; ``both`` two jars with their bees counted. ``apart`` pairs how
    much colonies differ with the colonies to sample for the yard's mean, None where all are too
    few.
    """

    wanted: Wanted
    rows: PlanRows
    plans: tuple[PlanLine, ...]
    ml: float
    cup: JarLook
    counted: JarLook
    second: JarLook
    both: JarLook
    bees: int | None
    apart: tuple[tuple[float, int | None], ...]


def show_plan(
    colonies: str | None, per_100: str, precision: str, *, why: bool, as_json: bool
) -> int:
    """Work out a plan and show it; raise NumbersError for numbers that none can have."""
    worked = work_out(asked_for(colonies, per_100, precision))
    if as_json:
        typer.echo(json_text(as_object(worked), indent=2))
    else:
        show(standard_screen(), worked, why=why)
    return DONE


def asked_for(colonies: str | None, per_100: str, precision: str) -> Wanted:
    """The options as numbers; raise NumbersError with the option's name and what to give."""
    if colonies is None:
        raise NumbersError("say how many colonies stand in the yard, for instance --colonies 24")
    number = _number("--colonies", colonies)
    if not 1 <= number <= MOST_COLONIES or number != int(number):
        raise NumbersError(
            f"--colonies {one_line(colonies)}: a whole number from 1 to {MOST_COLONIES} is needed"
        )
    rate = _number("--per-100", per_100)
    if not 0.01 <= rate < 100:
        raise NumbersError(
            f"--per-100 {one_line(per_100)}: mites per 100 bees from 0.01 to under 100 are needed"
        )
    percent = _number("--precision", precision)
    if not 1 <= percent <= 100:
        raise NumbersError(
            f"--precision {one_line(precision)}: a percentage from 1 to 100 is needed"
        )
    return Wanted(int(number), rate, percent / 100)


def _number(option: str, text: str) -> float:
    try:
        number = float(text.strip().removesuffix("%"))
    except ValueError:
        number = float("nan")
    if number != number:
        raise NumbersError(f"{option} {one_line(text)}: that is no number")
    return number


def work_out(wanted: Wanted) -> Worked:
    """All figures of the plan."""
    rows = known_plans()
    bees, rate = rows.colony.bees, wanted.per_100
    ml, doubt = spread_of_cup(bees)
    return Worked(
        wanted=wanted,
        rows=rows,
        plans=yard_plans(wanted.colonies, rows),
        ml=ml,
        cup=jar_at(rate, bees, spread=doubt),
        counted=jar_at(rate, bees),
        second=jar_at(rate, 2 * bees, spread=doubt),
        both=jar_at(rate, 2 * bees),
        bees=bees_needed(rate, wanted.precision),
        apart=tuple(
            (apart, colonies_needed(rate, wanted.precision, apart=apart, yard=wanted.colonies))
            for apart in _APART
        ),
    )


def show(screen: Screen, worked: Worked, *, why: bool) -> None:
    """Show the plan: what to do first, the plans, what a jar tells, what would help."""
    _show_yard(screen, worked)
    _show_jar(screen, worked)
    _show_help(screen, worked)
    if why:
        from .plan_why import show_why

        show_why(screen, worked)
    else:
        screen.blank()
        screen.paragraph("(--why shows the arithmetic and the sources)", indent=0)


def _show_yard(screen: Screen, worked: Worked) -> None:
    yard, first = worked.wanted.colonies, worked.plans[0]
    bees = worked.rows.colony.bees
    screen.heading(f"Plan for {_colonies(yard)}")
    if first.colonies < yard:
        who = f"{first.colonies} of the {yard} colonies, drawn by lot"
    else:
        who = "the one colony" if yard == 1 else f"all {yard} colonies"
    from_each = "" if yard == 1 else " of each"
    screen.paragraph(f"Sample {who}: {bees} bees from a frame of brood{from_each}.")
    if first.colonies < yard:
        screen.paragraph("Also sample any that looks weak: a mean hides the one bad colony.")
    screen.heading("What published plans ask for")
    for line in worked.plans:
        screen.item(f"{line.where}:", f"{line.says}. Here: {asked(line, yard)}.")


def asked(line: PlanLine, yard: int) -> str:
    """The colonies that a plan asks for, in words."""
    if line.colonies == yard:
        return f"all {yard}" if yard > 1 else "the one"
    if line.most > line.colonies:
        return f"{line.colonies} to {line.most}"
    return str(line.colonies)


def _show_jar(screen: Screen, worked: Worked) -> None:
    cup, rate = worked.cup, worked.wanted.per_100
    screen.heading(f"What one jar tells at {rate:g} mites per 100 bees")
    screen.paragraph(
        f"A jar of {cup.bees} bees holds {plain(cup.expected)} mites on average. Filled by the "
        f"half cup, 19 jars of 20 show {_span(cup)}."
    )
    screen.paragraph(f"{_none(cup.none)} no mite at all.")


def _show_help(screen: Screen, worked: Worked) -> None:
    screen.heading("What would make it surer")
    screen.item("Counting the bees:", f"19 jars of 20 then show {_span(worked.counted)}.")
    screen.item("A second jar by the same cup:", f"both together show {_span(worked.second)}.")
    screen.item("Two jars, bees counted:", f"both together show {_span(worked.both)}.")
    percent = f"± {100 * worked.wanted.precision:g} %"
    if worked.bees is not None:
        screen.item(
            f"For one colony within {percent}:",
            f"about {worked.bees} counted bees (one standard error). {_by_cup(worked)}",
        )
    screen.item(f"For the yard's mean within {percent}:", f"{_needs(worked)}.")


def _by_cup(worked: Worked) -> str:
    """What the same takes where the bees are not counted."""
    wanted, doubt = worked.wanted, worked.cup.spread
    bees = bees_needed(wanted.per_100, wanted.precision, spread=doubt)
    if bees is None:
        return f"Not by the cup: its bees are known to ± {100 * doubt:.0f} % only."
    return f"By the cup: {bees}."


def _needs(worked: Worked) -> str:
    """Colonies for the yard's mean, by how much they differ."""
    told = ("if they are alike", "if they differ by half their mean", "by as much as their mean")
    parts = []
    for words, (_, number) in zip(told, worked.apart, strict=True):
        many = "more bees than one jar from each of all" if number is None else _colonies(number)
        parts.append(f"{many} {words}")
    if len({number for _, number in worked.apart}) == 1:
        number = worked.apart[0][1]
        return "all, and more bees from each" if number is None else _colonies(number)
    return ", ".join(parts)


def _span(look: JarLook) -> str:
    if look.mites_low == look.mites_high:
        return f"{look.mites_low} mites"
    ends = f"{look.mites_low} to {look.mites_high} mites"
    return f"{ends}, which reads as {plain(look.low)} to {plain(look.high)} per 100"


def _none(chance: float) -> str:
    """How many jars show none, as one in so many or so many in a hundred."""
    if chance < 1e-4:
        return "Fewer than one such jar in 10,000 shows"
    if chance < 0.2:
        return f"One such jar in {1 / chance:.0f} shows"
    return f"{100 * chance:.0f} such jars in 100 show"


def _colonies(number: int) -> str:
    return f"{number} {'colony' if number == 1 else 'colonies'}"


def as_object(worked: Worked) -> dict[str, Any]:
    """The plan as the object that ``--json`` prints; shares and chances from 0 to 1."""
    wanted, rows = worked.wanted, worked.rows
    return {
        "colonies": wanted.colonies,
        "per_100": wanted.per_100,
        "precision": wanted.precision,
        "sample": {"colonies": worked.plans[0].colonies, "bees_each": rows.colony.bees},
        "plans": [
            {
                "colonies": line.colonies,
                "most": line.most,
                "where": line.where,
                "says": line.says,
                "source": line.source,
                "usual": line.usual,
            }
            for line in worked.plans
        ],
        "bees_source": rows.colony.cited.reference,
        "jars": {
            "half_cup": _look_object(worked.cup),
            "bees_counted": _look_object(worked.counted),
            "two_by_one_cup": _look_object(worked.second),
            "two_bees_counted": _look_object(worked.both),
        },
        "bees_for_precision": worked.bees,
        "colonies_for_precision": [
            {"colonies_differ_by": apart, "colonies": number} for apart, number in worked.apart
        ],
    }


def _look_object(look: JarLook) -> dict[str, Any]:
    return {
        "basis": "mites_per_100_adult_bees",
        "bees": look.bees,
        "bees_spread": look.spread,
        "mites_expected": look.expected,
        "mites_low": look.mites_low,
        "mites_high": look.mites_high,
        "low": look.low,
        "high": look.high,
        "level": 0.95,
        "precision": look.precision,
        "chance_of_none": look.none,
    }
