"""Pictures as lines of text: for a terminal of any width, or for a file of plain words."""

from __future__ import annotations

from .signs import LINES, Signs
from .terminal_trend import TrendText
from .terminal_yard import yard_lines
from .trend import Trend
from .yard_dots import YardDots

NARROWEST = 24
"""Columns below which nothing can be told apart; a narrower picture is drawn so wide."""
WIDEST = 100


def picture_text(picture: Trend | YardDots, width: int = 80, signs: Signs = LINES) -> str:
    """The picture as text, no line wider than ``width`` columns (24 at least, 100 at most).

    Takes no colour. ``signs`` are :data:`~fieldnotes.pictures.signs.LINES` or, for a stream that
    cannot show them, :data:`~fieldnotes.pictures.signs.ASCII`: see
    :func:`~fieldnotes.pictures.signs.signs_for`.
    """
    width = min(max(width, NARROWEST), WIDEST)
    if isinstance(picture, Trend):
        lines = TrendText(picture, width, signs).lines()
    else:
        lines = yard_lines(picture, width, signs)
    return "\n".join(line.rstrip() for line in lines)
