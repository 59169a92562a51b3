"""Stage 7a: tables in a note: rows cut by pipes, tabs, semicolons or commas, headed or not.

A table adds two kinds of knowledge to the row of items: which cell names the colony, and which
slot a bare number in a column fills.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ..grammar.schema import Columns
from .items import Item, Row

_BETWEEN_FIELDS = re.compile(r"(?m)(?<=\S)( +) (?=[A-Z][A-Za-z ]{1,14}:(?:\s|$))(?<=  )")
"""The last of several spaces before the label of another field on the same line."""

Grid = list[tuple[int, int]]
"""The cells of one line as item ranges."""


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
    """Part cells by tabs and the fields of a form by line ends, one sign for one, so offsets stay.

    "Colony: Old Meg      Site: Mill Lane" are two fields; semicolons or commas may part cells.
    """
    if "  " in text:
        text = _BETWEEN_FIELDS.sub(r"\1\n", text)
    if text.count("\n") < 2 or ("," not in text and ";" not in text):
        return text
    lines = text.split("\n")
    for mark, words in _SEPARATORS.items():
        _part_cells(lines, mark, words)
    return "\n".join(lines)


_SEPARATORS = {";": 4, ",": 1}
"""What parts cells, and the most words of a line's first cell: a sentence has commas too."""


def _part_cells(lines: list[str], mark: str, words: int) -> None:
    """Put tabs for ``mark`` in runs of three lines or more that have as many of them."""
    cut = [_outside_quotes(line, mark) for line in lines]
    k = 0
    while k < len(lines):
        size = len(cut[k])
        end = k + 1
        while size >= 2 and end < len(lines) and len(cut[end]) == size:
            end += 1
        run = range(k, end)
        # commas without a space after them part cells, and no words of a sentence
        tight = all(f"{mark} " not in lines[n] for n in run)
        most = max(_SEPARATORS.values()) if tight else words
        if end - k >= 3 and all(_is_row(lines[n].split(mark), most) for n in run):
            for n in run:
                chars = list(lines[n])
                for at in cut[n]:
                    chars[at] = "\t"
                lines[n] = "".join(chars)
        k = end


def _outside_quotes(line: str, mark: str) -> list[int]:
    """Where this mark stands in a line and not within double quotes."""
    out, quoted = [], False
    for i, char in enumerate(line):
        if char == '"':
            quoted = not quoted
        elif char == mark and not quoted:
            out.append(i)
    return out


def _is_row(cells: list[str], words: int) -> bool:
    """Whether all cells but one are short, and the first has at most ``words`` words."""
    short = sum(len(cell.split()) <= 4 for cell in cells)
    return short >= len(cells) - 1 and 1 <= len(cells[0].split()) <= words


def find_tables(row: Row, columns: Columns) -> list[Table]:
    """All tables of a note. Cells are cut at pipes, tabs, or runs of spaces.

    A table needs a header that names at least two columns, or rows cut by pipes, tabs or three
    spaces whose first cell is a name.
    """
    if "|" not in row.text and "\t" not in row.text and "  " not in row.text:
        return []
    grids = [_cut(row, first, last) for first, last in _lines(row)]
    tables: list[Table] = []
    k = 0
    while k < len(grids):
        end = k
        while end < len(grids) and len(grids[end]) >= 2:
            end += 1
        table = _table(row, grids[k:end], k, columns) if end - k >= 2 else None
        if table is not None:
            tables.append(table)
        k = max(end, k + 1)
    return tables


def _table(row: Row, grids: list[Grid], line: int, columns: Columns) -> Table | None:
    """The table of a run of cut lines, the first of them line ``line`` of the note."""
    run = [g for g in grids if not _is_rule(row, g)]
    heads = [(at, h) for at, g in enumerate(run) if (h := _heads(row, g, columns)) is not None]
    if heads:
        # the line that names most columns is the header, the first of several
        at, head = max(heads, key=lambda row: len([s for s in row[1] if s is not None]))
        return _with_header(row, run[at], head, run[at + 1 :], line + at)
    slots = _guess(row, run) if _wide(row, run) else None
    return Table(_cells(row, run, slots, line), None) if slots is not None else None


def _is_rule(row: Row, grid: Grid) -> bool:
    """A line of dashes under a header."""
    return all(
        i.kind == "mark" and i.word in ("-", "|", ":", "=", "+", "_")
        for a, b in grid
        for i in row.items[a:b]
    )


def _wide(row: Row, run: list[Grid]) -> bool:
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


def _cut(row: Row, first: int, last: int) -> Grid:
    """The cells of one line as item ranges; one cell if it is no table line."""
    items = row.items
    cells: Grid = []
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


def _slot(items: list[Item], columns: Columns) -> str | None:
    """The slot that a header cell names, or None. A measure beside a method is the amount."""
    words = [i.word for i in items]
    phrase = " ".join(w for w in words if w not in ("_", "(", ")", "."))
    if phrase in columns.words:
        return columns.words[phrase]
    method = any(n.startswith("method.") for i in items for n in i.ids)
    if method and not columns.amounts.isdisjoint(words):
        return "volume"
    if "bee" in {n for i in items[:2] for n in i.ids} and len(words) == 1:
        return "bees"
    for item in items:
        if item.word in columns.words:
            return columns.words[item.word]
        for name in sorted(item.ids):
            if name in columns.terms:
                return columns.terms[name]
    return None


def _heads(row: Row, grid: Grid, columns: Columns) -> list[str | None] | None:
    """The slots of a line if it is a header: two known columns, and no number to begin with."""
    items = row.items
    if any(_is_field(items[a:b]) for a, b in grid):
        return None
    heads = [_slot(items[a:b], columns) for a, b in grid]
    known = sum(h is not None for h in heads)
    a, b = grid[0]
    starts = any(i.kind in ("n", "code") for i in items[a:b])
    bare = sum(len(items[x:y]) == 1 and items[x].kind in ("n", "frac", "day") for x, y in grid)
    if known < 2 or starts or bare > 0:
        return None
    return heads


def _is_field(cell: list[Item]) -> bool:
    """ "Colony: Old Meg", "Eggs? Y": a field of a form with its value, and no head of a column."""
    return any(item.word in (":", "?") for item in cell[:-1]) or any(
        item.word in ("✓", "✗") for item in cell
    )


def _with_header(
    row: Row,
    head: Grid,
    heads: list[str | None],
    body: list[Grid],
    line: int,
) -> Table:
    slots = [h or "" for h in heads]
    if "colony" not in slots:
        if body and all(len(row) == len(heads) + 1 for row in body):
            slots.insert(0, "colony")  # the corner above the names is left empty
        else:
            slots[0] = "colony"
    return Table(_cells(row, body, slots, line + 1), (head[0][0], head[-1][1]))


def _cells(row: Row, body: list[Grid], slots: list[str], line: int) -> tuple[Cell, ...]:
    cells: list[Cell] = []
    for offset, grid in enumerate(body):
        if all(a >= b or all(i.kind == "mark" for i in row.items[a:b]) for a, b in grid):
            continue
        for column, (a, b) in enumerate(grid):
            cells.append(
                Cell(a, b, slots[column] if column < len(slots) else "", line + offset, column)
            )
    return tuple(cells)


_NAMING = frozenset({"hive", "nuc", "numbersign", "stand_place"})
"""Terms that may follow within a name; with any other the cell tells more than a name."""


_OBSERVED = frozenset(
    {
        "eggs",
        "larvae",
        "capped",
        "brood",
        "queen_cells",
        "mite",
        "frame",
        "seam",
        "fbees",
        "fbrood",
        "fstores",
        "stores",
        "bee",
        "super",
    }
)
"""Terms of what is seen in a colony: a cell that begins with one names none."""


def _guess(row: Row, grid: list[Grid]) -> list[str] | None:
    """Without a header only the first column is known: it names the colony."""
    items = row.items
    firsts = [items[a:b] for (a, b), *_ in grid if b > a]
    named = sum(
        len(cell) <= 3
        and cell[0].kind in ("n", "code", "name", "letter", "term", "word")
        and cell[0].ids.isdisjoint(_OBSERVED)
        and not any(i.word in ("✓", "✗", "(", "=") for i in cell[1:])
        and not any(i.kind == "term" and i.ids.isdisjoint(_NAMING) for i in cell[1:])
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
