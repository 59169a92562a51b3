"""Colours and sizes of drawn pictures: dark on white, told apart in grey and by the colour-blind.

Shapes, dashes, hatching and words carry every meaning; colour only repeats it. Text has a contrast
of 4.5 to 1 against white at least, lines that mean something 3 to 1: W3C, Web Content Accessibility
Guidelines 2.2, success criteria 1.4.3 and 1.4.11.
"""

from __future__ import annotations

TEXT_COLOURS = {"text": "#1a1a1a", "quiet": "#4a4a4a", "act": "#8c1d18", "watch": "#6b4e00"}
"""Colours of words."""
LINE_COLOURS = {
    "count": "#0b3c6f",
    "act": "#8c1d18",
    "watch": "#6b4e00",
    "growth": "#595959",
    "edge": "#7f7f7f",
    "hatch": "#8a8a8a",
    "mark": "#595959",
    "axis": "#595959",
}
"""Colours of lines, dots and hatching that mean something."""
DECORATION = {"grid": "#e3e3e3", "band": "#ececec"}
"""The light grid and the fill between two edges: without them nothing would be lost."""

SHAPES = ("o", "s", "^", "D", "v", "P", "X", "p")
"""Shapes of points, one for each way of counting, in the order in which they come."""
SHAPE_WORDS = (
    "circle", "square", "triangle", "diamond", "triangle on its tip", "plus", "cross", "pentagon",
)  # fmt: skip

WIDTH_CM = 16.0
HEIGHT_CM = 9.0
"""The usual size; a picture with more words than fit grows taller, never smaller in print."""
DPI = 200
FONT_PT = 9.0
TITLE_PT = 11.0
LINE_CM = 0.43
"""From one line of words to the next."""
EDGE_CM = 0.3
"""Left free at the edges."""
