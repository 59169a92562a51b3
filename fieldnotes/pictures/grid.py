"""A grid of characters to draw on, row 0 at the top, and lines of words of a given width."""

from __future__ import annotations

from .shown import cells, cut, padded


class Grid:
    """``rows`` by ``columns`` blanks; what lies outside is not drawn.

    ``taken`` are the places that words must leave free.
    """

    def __init__(self, rows: int, columns: int) -> None:
        self.rows, self.columns = rows, columns
        self._signs = [[" "] * columns for _ in range(rows)]
        self._taken: set[tuple[int, int]] = set()

    def put(self, row: int, column: int, sign: str, *, take: bool = False) -> None:
        """Draw one sign; with ``take`` no words may stand on it."""
        if 0 <= row < self.rows and 0 <= column < self.columns:
            self._signs[row][column] = sign
            if take:
                self._taken.add((row, column))

    def write(self, row: int, column: int, words: str) -> bool:
        """Write ``words`` with a blank to each side, if all of their places are free."""
        places = [(row, column + turn) for turn in range(-1, cells(words) + 1)]
        inside = 0 <= row < self.rows and column >= 0 and column + cells(words) <= self.columns
        # A sign that is two columns wide would shift the rest of its row.
        if not inside or cells(words) != len(words) or self._taken & set(places):
            return False
        for place, sign in zip(places, f" {words} ", strict=True):
            self.put(*place, sign)
        self._taken.update(places[1:-1])
        return True

    def row(self, number: int) -> str:
        """One row as text."""
        return "".join(self._signs[number])


def wrapped(words: str, width: int, indent: str = "") -> list[str]:
    """``words`` in lines of at most ``width`` columns, later ones with ``indent``."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        longer = f"{line} {word}" if line.strip() else f"{line}{word}"
        if line.strip() and cells(longer) > width:
            lines.append(line)
            longer = f"{indent}{word}"
        line = cut(longer, width, "~" if longer.isascii() else "…")
    return [*lines, line] if line.strip() else lines


def spread_out(wanted: list[int], lowest: int, highest: int) -> list[int]:
    """Places as near to the ``wanted`` ones as can be, one each, between two ends.

    Keeps the order of ``wanted``, which must rise; where there is no room for all they share.

    >>> spread_out([3, 3, 4], 0, 9)
    [3, 4, 5]
    """
    if len(wanted) > highest - lowest + 1:
        return [min(max(place, lowest), highest) for place in wanted]
    found: list[int] = []
    for place in wanted:
        least = found[-1] + 1 if found else lowest
        found.append(max(place, least))
    ceiling = highest
    for turn in range(len(found) - 1, -1, -1):
        found[turn] = min(found[turn], ceiling)
        ceiling = found[turn] - 1
    return found


def beside(left: int, width: int, start: int, drawn: str, words: str, mark: str) -> list[str]:
    """``drawn`` from a column on, with ``words`` to its right, its left or on the next row.

    Columns count from ``left``; no row is wider than ``width``, and words too long for a row of
    their own end in ``mark``.
    """
    before = left + start
    after = before + len(drawn) + 1
    if after + cells(words) <= width:
        return [f"{' ' * before}{drawn} {words}"]
    if cells(words) + 1 <= before:
        return [f"{padded(words, before - 1, right=True)} {drawn}"]
    short = cut(words, width - left, mark)
    return [" " * before + drawn, " " * (width - cells(short)) + short]
