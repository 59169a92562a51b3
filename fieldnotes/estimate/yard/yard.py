"""One figure for a yard, the colony that stands out, and which colonies to sample next.

Keepers sample some colonies and treat all, so the yard's mean decides for the yard; but a mean
hides the one bad colony, which is named beside it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..dated import DatedCount, on
from .plans import yard_plans
from .pooled import Pooled, pooled_of, scatter_of
from .rows import PlanRows, known_plans

_RARE = 0.05
"""A colony stands out if chance alone gives one so high in fewer than one yard in twenty."""


@dataclass(frozen=True)
class OfColony:
    """A colony's name and its count."""

    colony: str
    count: DatedCount


@dataclass(frozen=True)
class Yard:
    """The yard's pooled figure with its reason, or why there is none (``withheld``).

    ``sampled`` and ``not_sampled`` name colonies; ``stands_out`` those with more mites than the
    rest explains, ``highest`` the one with the highest figure. ``next`` are the colonies to sample
    next, in order, and ``wanted`` how many the plan asks for in all.
    """

    pooled: Pooled | None
    reason: str
    sampled: tuple[str, ...]
    not_sampled: tuple[str, ...]
    highest: OfColony | None
    stands_out: tuple[str, ...]
    next: tuple[str, ...]
    wanted: int
    notes: tuple[str, ...] = ()
    withheld: str | None = None
    counts: tuple[OfColony, ...] = ()
    """What each of ``sampled`` goes into the figure with, jars of one day added up."""


def yard_of(
    counts: Sequence[OfColony],
    roster: Sequence[str] = (),
    last_counted: Mapping[str, dt.date] | None = None,
    *,
    rows: PlanRows | None = None,
) -> Yard:
    """The yard from the latest count of each colony, by the largest group counted in one way.

    ``roster`` names all colonies of the yard, ``last_counted`` when those were last counted that
    have no count now. Several counts of a colony: those of its latest day are added up.
    """
    rows = rows or known_plans()
    alike, notes = _largest_group(counts, rows)
    latest = _latest(alike)
    names = list(dict.fromkeys([*roster, *(each.colony for each in counts)]))
    sampled = tuple(each.colony for each in latest)
    others = tuple(name for name in names if name not in sampled)
    plan = yard_plans(len(names), rows)[0] if names else None
    wanted = plan.colonies if plan else 0
    if not latest:
        return Yard(
            None, "", (), others, None, (), _next(others, (), last_counted or {}, wanted), wanted,
            withheld="No colony of the yard was counted.",
        )  # fmt: skip
    pooled = pooled_of([each.count for each in latest])
    out = _stand_out(latest)
    due = _next(others, out, last_counted or {}, wanted - len(latest))
    if len(latest) < wanted and plan:
        notes += (f"{len(latest)} of {wanted} colonies are sampled ({plan.source}).",)
    if len(latest) == 1:
        notes += ("One colony says little of a yard.",)
    if out:
        notes += (f"The mean hides {' and '.join(out)}: judge by their own counts too.",)
    return Yard(
        pooled=pooled,
        reason=_reason(latest, len(names)),
        sampled=sampled,
        not_sampled=others,
        highest=max(latest, key=lambda each: (each.count.rate, each.count.mites)),
        stands_out=out,
        next=due,
        wanted=wanted,
        notes=notes,
        counts=tuple(latest),
    )


def _largest_group(
    counts: Sequence[OfColony], rows: PlanRows
) -> tuple[list[OfColony], tuple[str, ...]]:
    """The counts made in one way by most colonies and at one time, and what was set aside."""
    groups: dict[tuple[object, ...], list[OfColony]] = {}
    for each in counts:
        count = each.count
        groups.setdefault((count.basis, count.method, count.comb), []).append(each)
    if not groups:
        return [], ()
    best = max(groups.values(), key=lambda group: (len({c.colony for c in group}), len(group)))
    newest = max(each.count.day for each in best)
    since = newest - dt.timedelta(days=rows.together.days)
    recent = [each for each in best if each.count.day >= since]
    kept = {each.colony for each in recent}
    otherwise = sorted({c.colony for c in counts if c not in best} - kept)
    old = sorted({each.colony for each in best} - kept - set(otherwise))
    notes: tuple[str, ...] = ()
    if otherwise:
        notes += (f"Counted in another way, so left out: {', '.join(otherwise)}.",)
    if old:
        notes += (f"Counted before {on(since)}, so left out: {', '.join(old)}.",)
    return recent, notes


def _latest(counts: Sequence[OfColony]) -> list[OfColony]:
    """One count for each colony: that of its latest day, jars of one day added up."""
    found: dict[str, DatedCount] = {}
    for each in counts:
        name, count = each.colony, each.count
        other = found.get(name)
        if other is None or count.day > other.day:
            found[name] = count
        elif count.day == other.day:
            both = other.of + count.of
            spread = math.hypot(other.of * other.spread, count.of * count.spread) / both
            found[name] = DatedCount(
                count.day, other.mites + count.mites, both,
                count.basis, count.method, count.comb, spread,
            )  # fmt: skip
    return [OfColony(name, count) for name, count in found.items()]


def _stand_out(counts: Sequence[OfColony]) -> tuple[str, ...]:
    """Colonies with more mites than the others, and how those differ, can explain."""
    found = []
    for each in counts:
        rest = [other.count for other in counts if other is not each]
        if rest and _tail(each.count, rest) < _RARE / len(counts):
            found.append(each.colony)
    return tuple(found)


def _tail(count: DatedCount, rest: Sequence[DatedCount]) -> float:
    """The chance of so many mites or more in a colony like the rest.

    A negative binomial count around the rest's rate, whose variance adds the scatter of the rest
    and the doubt about their mean.
    """
    mites, out_of = sum(c.mites for c in rest) + 0.5, sum(c.exposure for c in rest)
    mean = mites / out_of * count.exposure
    scatter = scatter_of(rest)
    extra = mean * (scatter - 1) + mean**2 * (scatter / mites + count.spread**2)
    index = mean**2 / extra
    chance = math.exp(-index * math.log1p(mean / index))
    below = 0.0
    for number in range(count.mites):
        below += chance
        chance *= (index + number) / (number + 1) * mean / (mean + index)
    return max(0.0, 1 - below)


def _next(
    others: Sequence[str], out: Sequence[str], last: Mapping[str, dt.date], missing: int
) -> tuple[str, ...]:
    """Colonies that stand out, for a second jar; then those not sampled, the longest ago first.

    Equals come in an order that has nothing to do with name or place, so that nobody chooses by
    convenience, and that is the same each time.
    """

    def order(name: str) -> tuple[dt.date, bytes]:
        return last.get(name, dt.date.min), hashlib.sha256(name.encode()).digest()

    return (*out, *sorted(others, key=order)[: max(0, missing)])


def _reason(latest: Sequence[OfColony], standing: int) -> str:
    mites = sum(each.count.mites for each in latest)
    what = "mite" if mites == 1 else "mites"
    colonies = f"{len(latest)} of {standing} colonies"
    return f"{mites} {what} in {colonies}, all counted in one way and added up"
