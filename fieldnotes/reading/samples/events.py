"""Stage 10b: what the items of one place say of samples, in order: methods, values and steps."""

from __future__ import annotations

from collections.abc import Iterable

from ..binding import Bound, Candidate
from ..items import Item
from ..standing import BLOCKING

SLOTS = frozenset(
    {"mites", "mites_zero", "mites_unsure", "mites_vague",
     "bees", "volume", "weight", "source", "source_unclear",
     "position",
     "days", "cells", "infested", "sugar", "rest", "shake", "queen_checked", "returned",
     "rate_per_100", "per_day"}
)  # fmt: skip

StepHit = tuple[frozenset[str], int, int]
"""Steps of a protocol, as "outcome index", and the tokens that tell them."""

Event = tuple[int, str, Candidate | Item | StepHit]
"""Where it is said, what it is about, and what says it."""


def find_events(bound: Bound, own: Iterable[int]) -> list[Event]:
    """What the items ``own`` say of samples, in order: methods, values and steps."""
    row = bound.row
    mine = set(own)
    events: list[Event] = []
    for k in sorted(mine):
        item = row.items[k]
        if item.kind == "term":
            for name in item.ids:
                if name == "test" and not bound.standing(item) & (BLOCKING | {"denied"}):
                    events.append((k, "test", item))
                if name == "drone_brood" and any(
                    "opened" in row.items[j].ids
                    for j in range(max(0, k - 5), min(len(row.items), k + 4))
                ):
                    name = "method.drone"
                if name.startswith(("method.", "board.")) or name == "sugar":
                    if (
                        name == "sugar"
                        and k + 1 < len(row.items)
                        and row.items[k + 1].word in (":", "=")
                    ):
                        name = "method.sugar"
                    name = "sugar_word" if name == "sugar" else name
                    if not bound.standing(item) & (BLOCKING | {"denied"}):
                        events.append((k, name, item))
    first_at = {row.items[k].i: k for k in sorted(mine)}
    for ids, i, j in bound.steps_near(mine):
        at = first_at.get(i, first_at.get(i - 1))
        if at is not None and not any(m in bound.marks[t] for t in range(i, j) for m in BLOCKING):
            events.append((at, "step", (ids, i, j)))
    for c in bound.of(mine):
        where = c.k if c.k >= 0 else c.first
        if c.slot in SLOTS:
            if c.standing & BLOCKING and not c.column:
                continue
            events.append((where, c.slot, c))
    events.sort(key=lambda e: e[0])
    return events
