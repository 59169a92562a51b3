"""A sheet of paper to draw on, in centimetres from its top left corner, with measured words."""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, Any

from .fonts import FAMILY, families_for
from .style import DPI, EDGE_CM, FONT_PT, LINE_CM, LINE_COLOURS, TEXT_COLOURS, TITLE_PT, WIDTH_CM

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.text import Text

_INCH = 2.54


class Sheet:
    """A figure as wide as a page, whose height is set once the words are laid out.

    ``words`` is all that will be written, so that fonts are found that have its signs.
    """

    def __init__(self, words: str) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        self.figure: Figure = Figure(figsize=(WIDTH_CM / _INCH, 1), dpi=DPI, facecolor="white")
        self._canvas: Any = FigureCanvasAgg(self.figure)
        self.families = families_for(words) or [FAMILY]
        self.width, self.height = WIDTH_CM, 1.0

    def set_height(self, height: float) -> None:
        """Set the height in centimetres, before anything is drawn."""
        self.height = height
        self.figure.set_size_inches(WIDTH_CM / _INCH, height / _INCH)

    def length(self, words: str, size: float = FONT_PT) -> float:
        """How wide ``words`` are in print, in centimetres."""
        from matplotlib.font_manager import FontProperties

        font = FontProperties(family=self.families, size=size)
        renderer = self._canvas.get_renderer()
        with warnings.catch_warnings():  # a sign that no font has is drawn as a box
            warnings.filterwarnings("ignore", message="Glyph")
            width, _, _ = renderer.get_text_width_height_descent(words, font, ismath=False)
        return float(width) / DPI * _INCH

    def cut(self, words: str, width: float, size: float = FONT_PT) -> str:
        """``words`` no wider than ``width`` centimetres, ending in … where they were cut."""
        if self.length(words, size) <= width:
            return words
        low, high = 0, len(words)
        while high - low > 1:
            middle = (low + high) // 2
            short = f"{words[:middle].rstrip()}…"
            low, high = (middle, high) if self.length(short, size) <= width else (low, middle)
        return f"{words[:low].rstrip()}…"

    def wrapped(self, words: str, width: float) -> list[str]:
        """``words`` in lines no wider than ``width`` centimetres."""
        lines: list[str] = []
        for word in words.split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.length(longer) <= width:
                lines[-1] = longer
            else:
                lines.append(self.cut(word, width))
        return lines

    def write(self, x: float, y: float, words: str, **how: Any) -> Text:
        """Write ``words`` at centimetres from the left and the top edge, by default from there."""
        usual: dict[str, Any] = {"ha": "left", "va": "center", "fontsize": FONT_PT}
        how = usual | how | {"color": TEXT_COLOURS[how.get("color", "text")]}
        place = x / self.width, 1 - y / self.height
        return self.figure.text(*place, words, family=self.families, parse_math=False, **how)

    def lead(self, x: float, y: float, x_to: float, y_to: float) -> None:
        """Draw a thin line from what is named to its words, in centimetres."""
        from matplotlib.lines import Line2D

        line = Line2D(
            [each / self.width for each in (x, x_to)],
            [1 - each / self.height for each in (y, y_to)],
            color=LINE_COLOURS["mark"],
            linewidth=0.6,
        )
        self.figure.add_artist(line)

    def head(self, title: str, unit: list[str]) -> float:
        """Write the title and the lines below it; returns the centimetres that they take."""
        room = self.width - 2 * EDGE_CM
        short = self.cut(title, room, TITLE_PT)
        y = EDGE_CM + LINE_CM / 2
        self.write(EDGE_CM, y, short, fontsize=TITLE_PT)
        for line in unit:
            y += LINE_CM
            self.write(EDGE_CM, y, line, color="quiet")
        return y + LINE_CM / 2

    def foot(self, lines: list[str]) -> None:
        """Write ``lines`` at the lower edge."""
        y = self.height - EDGE_CM - LINE_CM * (len(lines) - 0.5)
        for line in lines:
            self.write(EDGE_CM, y, line, color="quiet")
            y += LINE_CM

    def axes(self, left: float, top: float, right: float, bottom: float) -> Axes:
        """Axes between two corners, in centimetres from the top left one."""
        place = (
            left / self.width,
            1 - bottom / self.height,
            (right - left) / self.width,
            (bottom - top) / self.height,
        )
        return self.figure.add_axes(place)
