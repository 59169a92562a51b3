"""Stage 7a: tables in a note: rows with pipes, tabs or commas, with or without a header.

A table adds two kinds of knowledge to the row of items: which cell names the colony, and which
slot a bare number in a column fills.
"""

from __future__ import annotations

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
    cut = [_outside_quotes(line) for line in lines]
    out = list(lines)
    k = 0
    while k < len(lines):
        size = len(cut[k])
        end = k
        while end < len(lines) and len(cut[end]) == size and size >= 2:
            end += 1
        if (
            size >= 2
            and end - k >= 3
            and all(_short_cells(line) for line in lines[k:end])
            and all(len(line.split(",")[0].split()) == 1 for line in lines[k:end])
        ):
            for j in range(k, end):
                chars = list(lines[j])
                for at in cut[j]:
                    chars[at] = "\t"
                out[j] = "".join(chars)
        k = max(end, k + 1)
    return "\n".join(out)


def _outside_quotes(line: str) -> list[int]:
    """Where the commas of a line stand that are not within double quotes."""
    out, quoted = [], False
    for i, char in enumerate(line):
        if char == '"':
            quoted = not quoted
        elif char == "," and not quoted:
            out.append(i)
    return out


def _short_cells(line: str) -> bool:
    cells = line.split(",")
    return sum(len(cell.split()) <= 4 for cell in cells) >= len(cells) - 1


def find_tables(row: Row, columns: dict[str, str]) -> list[Table]:
    """All tables of a note. Cells are cut at pipes, tabs, or runs of spaces.

    A table needs a header that names at least two columns, or rows cut by pipes, tabs or three
    spaces whose first cell is a name.
    """
    if "|" not in row.text and "\t" not in row.text and "  " not in row.text:
        return []
    grids = [(_cut(row, first, last), first) for first, last in _lines(row)]
    tables: list[Table] = []
    k = 0
    while k < len(grids):
        end = k
        while end < len(grids) and len(grids[end][0]) >= 2:
            end += 1
        if end - k >= 2:
            run = [g for g, _ in grids[k:end] if not _is_rule(row, g)]
            heads = [_heads(row, g, columns) for g in run]
            best = max(
                (len([s for s in h if s is not None]) for h in heads if h is not None), default=0
            )
            at = next(
                (
                    i
                    for i, h in enumerate(heads)
                    if h is not None and len([s for s in h if s is not None]) == best
                ),
                None,
            )
            if at is not None:
                tables.append(_with_header(row, run[at], heads[at] or [], run[at + 1 :], k + at))
            elif _wide(row, run):
                slots = _guess(row, run)
                if slots is not None:
                    tables.append(Table(_cells(row, run, slots, k), None))
        k = max(end, k + 1)
    return tables


def _is_rule(row: Row, grid: list[tuple[int, int]]) -> bool:
    """A line of dashes under a header."""
    return all(
        i.kind == "mark" and i.word in ("-", "|", ":", "=", "+", "_")
        for a, b in grid
        for i in row.items[a:b]
    )


def _wide(row: Row, run: list[list[tuple[int, int]]]) -> bool:
    """Whether the cells of a run are cut by more than two spaces."""
    items = row.items
    return all(
        any(
            "\t" in gap or len(gap) >= 3 or "|" in gap
            for gap in [
                row.text[items[max(a - 1, 0)].end - 1 : items[a].start + 1]
                if a < len(items)
                else ""
                for a, _ in grid[1:]
            ]
        )
        for grid in run
    )


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
            if "\t" in gap or len(gap) >= 2:
                tabs = max(1, gap.count("\t"))
                cells.append((start, k))
                cells.extend((k, k) for _ in range(tabs - 1))
                start, cut = k, True
    if not cut:
        return [(first, last)]
    cells.append((start, last))
    return cells


def _slot(items: list[Item], columns: dict[str, str]) -> str | None:
    """The slot that a header cell names, or None. A measure beside a method is the amount."""
    words = [i.word for i in items]
    phrase = " ".join(w for w in words if w not in ("_", "(", ")", "."))
    if phrase in columns:
        return columns[phrase]
    method = any(n.startswith("method.") for i in items for n in i.ids)
    if method and ("ml" in words or "cup" in words or "vol" in words):
        return "volume"
    if "bee" in {n for i in items[:2] for n in i.ids} and len(words) == 1:
        return "bees"
    for item in items:
        if item.word in columns:
            return columns[item.word]
        for name in sorted(item.ids):
            if name in COLUMN_TERMS:
                return COLUMN_TERMS[name]
    return None


def _heads(
    row: Row, grid: list[tuple[int, int]], columns: dict[str, str]
) -> list[str | None] | None:
    """The slots of a line if it is a header: two known columns, and no number to begin with."""
    items = row.items
    heads = [_slot(items[a:b], columns) for a, b in grid]
    known = sum(h is not None for h in heads)
    a, b = grid[0]
    starts = any(i.kind in ("n", "code") for i in items[a:b])
    bare = sum(len(items[x:y]) == 1 and items[x].kind in ("n", "frac", "day") for x, y in grid)
    if known < 2 or starts or bare > 0:
        return None
    return heads


def _with_header(
    row: Row,
    head: list[tuple[int, int]],
    heads: list[str | None],
    body: list[list[tuple[int, int]]],
    line: int,
) -> Table:
    slots = [h or "" for h in heads]
    if "colony" not in slots:
        slots[0] = "colony"
    return Table(_cells(row, body, slots, line + 1), (head[0][0], head[-1][1]))


def _cells(
    row: Row, body: list[list[tuple[int, int]]], slots: list[str], line: int
) -> tuple[Cell, ...]:
    cells: list[Cell] = []
    for offset, grid in enumerate(body):
        if all(a >= b or all(i.kind == "mark" for i in row.items[a:b]) for a, b in grid):
            continue
        for column, (a, b) in enumerate(grid):
            cells.append(
                Cell(a, b, slots[column] if column < len(slots) else "", line + offset, column)
            )
    return tuple(cells)


def _guess(row: Row, grid: list[list[tuple[int, int]]]) -> list[str] | None:
    """Without a header only the first column is known: it names the colony."""
    items = row.items
    firsts = [items[a:b] for (a, b), *_ in grid if b > a]
    named = sum(
        len(cell) <= 3 and cell[0].kind in ("n", "code", "name", "letter", "term", "word")
        for cell in firsts
    )
    if len(firsts) < 2 or named < len(firsts):
        return None
    width = max(len(r) for r in grid)
    slots = ["colony"] + [""] * (width - 1)
    if width == 2:
        numbers = sum(
            len(items[a:b]) == 1 and items[a].kind == "n"
            for r in grid
            if len(r) > 1
            for a, b in [r[1]]
            if b > a
        )
        if numbers >= len(grid) - 1:
            slots[1] = "mites"
    return slots


def cell_starts(tables: list[Table]) -> set[int]:
    """The items at which a cell begins: nothing is said across that border."""
    return {cell.first for table in tables for cell in table.cells}


def other_cells(tables: list[Table]) -> set[int]:
    """Items of cells that cannot date the visit by a heading of the note."""
    return {k for table in tables for cell in table.cells for k in range(cell.first, cell.last)}
