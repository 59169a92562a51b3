"""How many bees and colonies to sample: by published plans, and for a wanted precision.

A jar of n bees from a colony with p mites per bee holds n p mites on average; their variance is
n p + (n p c) ** 2, where c is the relative doubt about the bees and recovery. Colonies of a yard
differ by a relative spread b of their true infestation. Precision is the standard error over the
mean, as in fixed-precision sampling plans (Lee 2010, see ``plans.toml``).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...errors import NumbersError
from .rows import PlanRows, YardPlan, known_plans


@dataclass(frozen=True)
class PlanLine:
    """What one plan asks for in a yard: from ``colonies`` to ``most`` of them, and who says so."""

    colonies: int
    most: int
    where: str
    says: str
    source: str
    usual: bool


def yard_plans(yard: int, rows: PlanRows | None = None) -> tuple[PlanLine, ...]:
    """What each published plan asks for in a yard of ``yard`` colonies, the one in use first.

    Plans that do not speak of so small a yard are left out; none asks for more than all.
    """
    _whole(yard, "colonies")
    rows = rows or known_plans()
    ordered = sorted(rows.yard, key=lambda row: row.role != "usual")
    return tuple(_line(row, yard) for row in ordered if (row.holds_over or 0) < yard)


def _line(row: YardPlan, yard: int) -> PlanLine:
    least = row.colonies or math.ceil((row.percent or 0) * yard / 100)
    if row.all_up_to is not None and yard <= row.all_up_to:
        least = yard
    most = max(least, row.colonies_to or least)
    return PlanLine(
        colonies=min(least, yard),
        most=min(most, yard),
        where=row.where,
        says=row.cited.says,
        source=row.cited.reference,
        usual=row.role == "usual",
    )


def bees_needed(per_100: float, precision: float, *, spread: float = 0.0) -> int | None:
    """Bees in one jar for ``precision`` at ``per_100`` mites per 100 bees: 1 / (p (D² - c²)).

    None where the doubt about the bees, ``spread``, alone is too great: then more jars, or counted
    bees, help and more bees do not. Raises NumbersError for impossible numbers.

    >>> bees_needed(2, 0.25)
    800
    """
    _possible(per_100, precision, spread)
    left = precision**2 - spread**2
    return None if left <= 0 else math.ceil(100 / (per_100 * left) - 1e-9)


def precision_of(per_100: float, bees: int, *, jars: int = 1, spread: float = 0.0) -> float:
    """The standard error over the mean of ``jars`` jars of ``bees`` from one colony.

    >>> round(precision_of(5.333, 300), 2)
    0.25
    """
    _possible(per_100, 1.0, spread)
    _whole(bees, "bees")
    _whole(jars, "jars")
    return math.sqrt((100 / (per_100 * bees) + spread**2) / jars)


def yard_precision(
    per_100: float,
    colonies: int,
    *,
    bees: int = 300,
    apart: float = 0.0,
    spread: float = 0.0,
    yard: int | None = None,
) -> float:
    """The standard error over the mean of a yard of which ``colonies`` are sampled, a jar each.

    ``apart`` is the relative spread of the colonies' true infestation. In a yard of known size
    only the colonies that were not sampled add to that part: it vanishes when all are sampled.
    """
    within = precision_of(per_100, bees, spread=spread) ** 2
    _whole(colonies, "colonies")
    if not 0 <= apart < math.inf or (yard is not None and yard < colonies):
        raise NumbersError("a spread is not negative, and no more colonies are sampled than stand")
    left = 1.0 if yard is None else 1 - colonies / yard
    return math.sqrt((within + apart**2 * left) / colonies)


def colonies_needed(
    per_100: float,
    precision: float,
    *,
    bees: int = 300,
    apart: float = 0.0,
    spread: float = 0.0,
    yard: int | None = None,
) -> int | None:
    """The fewest colonies, a jar of ``bees`` each, that reach ``precision`` for the yard's mean.

    None where even all colonies of the ``yard`` do not: then take more bees from each.
    """
    _possible(per_100, precision, spread)
    within = precision_of(per_100, bees, spread=spread) ** 2
    needed = within + apart**2
    per_colony = precision**2 + (0.0 if yard is None else apart**2 / yard)
    number = max(1, math.ceil(needed / per_colony - 1e-9))
    return None if yard is not None and number > yard else number


def bees_to_see_one(per_100: float, chance: float = 0.95) -> int:
    """Bees in which at least one mite shows with ``chance``: ln(1 - chance) / ln(1 - p).

    For mites that are spread evenly; clumped mites need more. Eypasch (1995), BMJ 311:619-620.

    >>> bees_to_see_one(1)
    299
    """
    _possible(per_100, chance, 0.0)
    if per_100 >= 100 or chance == 1:
        raise NumbersError("no number of bees is certain, and 100 mites per 100 bees need no plan")
    return math.ceil(math.log1p(-chance) / math.log1p(-per_100 / 100))


def _possible(per_100: float, share: float, spread: float) -> None:
    if not 0 < per_100 < math.inf:
        raise NumbersError("an infestation to plan for lies above zero")
    if not 0 < share <= 1:
        raise NumbersError("a precision or a chance lies between 0 and 1")
    if not 0 <= spread < math.inf:
        raise NumbersError("a spread is not negative")


def _whole(number: int, what: str) -> None:
    if isinstance(number, bool) or not isinstance(number, int) or number < 1:
        raise NumbersError(f"{number} {what}: a whole number from 1 on is needed")
