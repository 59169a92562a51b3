"""Stage 7a: tables in a note: rows with pipes, tabs or commas, with or without a header.

A table adds two kinds of knowledge to the row of items: which cell names the colony, and which
slot a bare number in a column fills.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from .items import Item, Row

# header words -> slot; matched on the first term or word of the header cell
COLUMN_TERMS = {
    "hive": "colony", "numbersign": "colony", "stand_place": "yard",
    "mite": "mites", "test": "mites", "count": "mites", "method.sugar": "mites", "method.alcohol": "mites",
    "method.soap": "mites", "method.board": "mites", "board.weak": "mites", "method.wash": "mites", "method.co2": "mites", "mite_letter": "mites", "fell": "mites",
    "bee": "bees", "fbees": "frames_bees", "seam": "frames_bees", "fob": "frames_bees",
    "fbrood": "frames_brood", "brood": "frames_brood", "brood_frame": "frames_brood",
    "fstores": "frames_stores", "stores": "frames_stores", "honey_frame": "frames_stores",
    "queen": "queen", "queen_seen": "queen", "queen_cells": "queen_cells", "super": "supers_on",
    "eggs": "eggs", "larvae": "larvae", "cells": "cells", "opened": "cells", "infested": "infested",
    "sample": "volume",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cell:
    """The items ``first`` to ``last`` (exclusive) of one cell, its column's slot and its line."""

    first: int
    last: int
    slot: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Table:
    """A table: its body cells by line, the header's items, and the method a header names."""

    cells: tuple[Cell, ...]
    header: tuple[int, int] | None


def prepare(text: str) -> str:
    """Turn the commas of comma-separated lines into tabs, one for one, so offsets stay."""
    if text.count("\n") < 2 or "," not in text:
        return text
    lines = text.split("\n")
    counts = [line.count(",") for line in lines]
    out = list(lines)
    k = 0
    while k < len(lines):
        size = counts[k]
        end = k
        while end < len(lines) and counts[end] == size and size >= 2:
            end += 1
        if size >= 2 and end - k >= 3 and all(_short_cells(line) for line in lines[k:end]):
            for j in range(k, end):
                out[j] = lines[j].replace(",", "\t")
        k = max(end, k + 1)
    return "\n".join(out)


def _short_cells(line: str) -> bool:
    cells = line.split(",")
    return sum(len(cell.split()) <= 4 for cell in cells) >= len(cells) - 1


def find_tables(row: Row, columns: dict[str, str]) -> list[Table]:
    """All tables of a note. Cells are cut at pipes, tabs, or runs of three spaces."""
    if "|" not in row.text and "\t" not in row.text and not re.search(r"\S {3,}\S", row.text):
        return []
    lines = _lines(row)
    grids = [(_cut(row, first, last), first, last) for first, last in lines]
    tables: list[Table] = []
    k = 0
    while k < len(grids):
        end = k
        while end < len(grids) and len(grids[end][0]) >= 2:
            end += 1
        if end - k >= 2:
            table = _table(row, [g for g, _, _ in grids[k:end]], k, columns)
            if table:
                tables.append(table)
        k = max(end, k + 1)
    return tables


def _lines(row: Row) -> list[tuple[int, int]]:
    out, first = [], 0
    for k, item in enumerate(row.items):
        if item.kind == "border" and item.word[0] == "\n":
            if k > first:
                out.append((first, k))
            first = k + 1
    if first < len(row.items):
        out.append((first, len(row.items)))
    return out


def _cut(row: Row, first: int, last: int) -> list[tuple[int, int]]:
    """The cells of one line as item ranges; one cell if it is no table line."""
    items = row.items
    cells: list[tuple[int, int]] = []
    start = first
    cut = False
    for k in range(first, last):
        item = items[k]
        if item.kind == "mark" and item.word == "|":
            if k > first:
                cells.append((start, k))
            start, cut = k + 1, True
        elif k > start:
            gap = row.text[items[k - 1].end : item.start]
            if "\t" in gap or len(gap) >= 3:
                tabs = max(1, gap.count("\t"))
                cells.append((start, k))
                cells.extend((k, k) for _ in range(tabs - 1))
                start, cut = k, True
    if not cut:
        return [(first, last)]
    cells.append((start, last))
    return cells


def _slot(items: list[Item], columns: dict[str, str]) -> str | None:
    for item in items:
        if item.word in columns:
            return columns[item.word]
        for name in sorted(item.ids):
            if name in COLUMN_TERMS:
                return COLUMN_TERMS[name]
    return None


def _table(row: Row, grid: list[list[tuple[int, int]]], line: int, columns: dict[str, str]) -> Table | None:
    items = row.items
    head = grid[0]
    heads = [_slot(items[a:b], columns) for a, b in head]
    has_numbers = sum(any(i.kind in ("n", "code") for i in items[a:b]) for a, b in head)
    is_header = sum(h is not None for h in heads) >= 2 and has_numbers <= 1 and not any(i.kind == "n" for a, b in head[:1] for i in items[a:b])
    if not is_header:
        slots = _guess(row, grid)
        if slots is None:
            return None
        body, header = grid, None
    else:
        slots = [h or "" for h in heads]
        if "colony" not in slots:
            slots[0] = "colony" if slots[0] in ("", "mites") and slots.count("mites") != 1 or slots[0] == "" else slots[0]
        body, header = grid[1:], (head[0][0], head[-1][1])
    cells: list[Cell] = []
    for offset, row_cells in enumerate(body):
        if all(a >= b or all(i.kind == "mark" for i in items[a:b]) for a, b in row_cells):
            continue
        for column, (a, b) in enumerate(row_cells):
            slot = slots[column] if column < len(slots) else ""
            cells.append(Cell(a, b, slot, line + offset, column))
    return Table(tuple(cells), header)


def _guess(row: Row, grid: list[list[tuple[int, int]]]) -> list[str] | None:
    """Without a header only the first column is known: it names the colony."""
    items = row.items
    firsts = [items[a:b] for (a, b), *_ in grid if b > a]
    named = sum(len(cell) <= 3 and cell[0].kind in ("n", "code", "name", "letter", "term", "word") for cell in firsts)
    if len(firsts) < 2 or named < len(firsts):
        return None
    width = max(len(r) for r in grid)
    slots = ["colony"] + [""] * (width - 1)
    if width == 2:
        numbers = sum(len(items[a:b]) == 1 and items[a].kind == "n" for r in grid if len(r) > 1 for a, b in [r[1]] if b > a)
        if numbers >= len(grid) - 1:
            slots[1] = "mites"
    return slots
