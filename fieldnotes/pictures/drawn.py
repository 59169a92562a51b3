"""Pictures as PNG and SVG files, drawn by matplotlib, which comes with the extra ``report``.

The same picture gives the same bytes, on one computer and with one version of matplotlib.
"""

from __future__ import annotations

import io
import re
import warnings
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from xml.sax.saxutils import escape

from ..errors import ExtraError, InputError
from .notes import trend_in_words, yard_in_words
from .shown import shown
from .style import DPI
from .trend import Trend
from .yard_dots import YardDots

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Kind = Literal["png", "svg"]
MISSING = (
    "drawing a picture needs matplotlib, which is not installed: "
    "pip install 'fieldnotes[report]' adds it"
)
_RULES: dict[Any, Any] = {
    "svg.hashsalt": "fieldnotes",
    "svg.fonttype": "none",
    "hatch.linewidth": 0.5,
}
"""The same names inside every SVG, letters kept as letters, and hatching that stays thin."""


def write_picture(picture: Trend | YardDots, path: Path) -> None:
    """Write the picture to ``path``; its ending, .png or .svg, says which kind.

    Raises InputError for another ending, ExtraError without matplotlib, OSError where the file
    cannot be written.
    """
    kind = path.suffix.lower().removeprefix(".")
    if kind not in ("png", "svg"):
        raise InputError(f"{path}: a picture's name ends in .png or .svg")
    path.write_bytes(picture_bytes(picture, "png" if kind == "png" else "svg"))


def picture_bytes(picture: Trend | YardDots, kind: Kind) -> bytes:
    """The picture as a PNG or SVG file; both also tell in words what is to be seen.

    Raises ExtraError without matplotlib.
    """
    figure = picture_figure(picture)
    from matplotlib import rc_context

    out = io.BytesIO()
    title, words = shown(picture.title), picture_in_words(picture)
    metadata = (
        {"Title": title, "Description": words, "Software": None}
        if kind == "png"
        else {"Date": None, "Creator": None}
    )
    with rc_context(_RULES), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph")
        figure.savefig(out, format=kind, dpi=DPI, metadata=metadata)
    if kind == "png":
        return out.getvalue()
    return _told(out.getvalue().decode("utf-8"), title, words).encode("utf-8")


def picture_figure(picture: Trend | YardDots) -> Figure:
    """The picture as a figure of matplotlib; raises ExtraError where that is not installed."""
    try:
        from matplotlib import rc_context
    except ImportError:
        raise ExtraError(MISSING) from None
    from .drawn_trend import draw_trend
    from .drawn_yard import draw_yard

    with rc_context(_RULES):
        return draw_trend(picture) if isinstance(picture, Trend) else draw_yard(picture)


def picture_in_words(picture: Trend | YardDots) -> str:
    """All that the picture shows, in words: for those who hear it, and for captions."""
    return trend_in_words(picture) if isinstance(picture, Trend) else yard_in_words(picture)


def _told(svg: str, title: str, words: str) -> str:
    """The SVG with its title and description, which screen readers read out.

    Where the reader's computer lacks the fonts, any other without serifs serves.
    """
    svg = re.sub(r'(font-family: [^;"]*)', r"\1, sans-serif", svg)
    told = f"<title>{escape(title)}</title>\n <desc>{escape(words)}</desc>"
    return re.sub(r"(<svg\b[^>]*)>", rf'\g<1> role="img">\n {_raw(told)}', svg, count=1)


def _raw(text: str) -> str:
    return text.replace("\\", r"\\")
