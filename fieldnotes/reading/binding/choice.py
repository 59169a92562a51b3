"""Stage 9c: one candidate a value: the heaviest."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from ..items import Row
from ..tables import Table
from .candidates import Candidate
from .columns import days_in_rows

FEWEST = 70
"""Bees below which a number without a word of bees is no size of a sample."""


LARGE = 200
"""A number as large right after a method is the size of its sample: "SR 300"."""


def _is_size(c: Candidate, row: Row) -> bool:
    before = row.items[c.k - 1] if c.k else None
    return (
        c.weight < WITH_MITES
        and isinstance(c.value, float)
        and c.value >= LARGE
        and before is not None
        and any(i.startswith("method.") and i != "method.board" for i in before.ids)
    )


WITH_MITES = 4.0
"""Weight from which a number has a word of mites beside it."""


def choose(
    candidates: list[Candidate], tables: list[Table], row: Row, written: dt.date
) -> list[Candidate]:
    """One candidate a value: the heaviest. Fixed values stay, once a place and slot."""
    cells = {
        k: cell
        for table in tables
        for cell in table.cells
        if cell.slot
        for k in range(cell.first, cell.last)
    }
    said = row.grammar.counts.cells
    by_item: dict[int, list[Candidate]] = {}
    fixed: dict[tuple[str, int], Candidate] = {}
    for c in candidates:
        if c.k < 0:
            if c.last - 1 < len(row.items):
                key = (c.slot, c.last)
                old = fixed.get(key)
                if old is None or c.weight > old.weight:
                    fixed[key] = c
            continue
        if c.slot == "mites" and _is_size(c, row):
            c = replace(c, slot="bees")
        if c.slot == "mites" and row.items[c.k].kind == "frac" and row.items[c.k].over < 30:
            continue
        if c.slot == "bees" and row.items[c.k].raw.endswith("'s"):
            continue  # "twelve's bees" are those of hive 12
        if c.slot == "bees" and c.weight < 4 and row.items[c.k].value < FEWEST:
            continue
        by_item.setdefault(c.k, []).append(c)
    for k, cell in cells.items():
        item = row.items[k]
        if cell.slot == "source" and item.ids & {
            "brood",
            "brood_frame",
            "honey_frame",
            "stores",
            "drone_brood",
            "place.entrance",
        }:
            value = (
                "drone_brood"
                if "drone_brood" in item.ids
                else "pollen"
                if "pollen" in item.word
                else "honey"
                if item.ids & {"honey_frame", "stores"}
                else "entrance"
                if "place.entrance" in item.ids
                else "brood"
            )
            fixed[("source", k)] = Candidate("source", value, -1, k, k + 1, 6.0)
        if (
            cell.slot == "queen"
            and cell.last - cell.first <= 2
            and (item.word in said.yes or item.word in said.no)
        ):
            words = {x.word for x in row.items[cell.first : cell.last]}
            seen = item.word in said.yes and not words & said.denied
            fixed[("queen_seen", k)] = Candidate("queen_seen", seen, -1, k, k + 1, 6.0)
        if item.kind in ("n", "pct", "days", "vol", "frac") and cell.slot not in (
            "colony",
            "yard",
            "queen",
            "temper",
            "date",
            "source",
            "method",
            "in",
            "out",
            "end",
            "count",
            "eggs",
            "larvae",
            "weather",
        ):
            slot = {"mites": "mites", "rate": "not_rate"}.get(cell.slot, cell.slot)
            if item.kind == "pct" and slot == "mites":
                slot = "rate_per_100"
            if item.kind == "vol" and slot == "bees":
                slot = "volume"
            by_item.setdefault(k, []).append(
                Candidate(slot, item.value, k, cell.first, cell.last, 6.0, column=True)
            )
    for k, days in days_in_rows(tables, row, written).items():
        by_item.setdefault(k, []).append(Candidate("days", days, k, k, k + 1, 6.0, column=True))
    chosen: list[Candidate] = []
    for rows in by_item.values():
        chosen.append(max(rows, key=lambda c: c.weight))
    chosen.extend(fixed.values())
    chosen.sort(key=lambda c: (c.k if c.k >= 0 else c.first, c.first))
    return chosen
