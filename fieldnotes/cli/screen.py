"""Where words are shown: a terminal, or plain lines for a pipe, a file or a screen reader.

On a terminal facts stand in columns. Anywhere else each fact is one line that makes sense when it
is read aloud, and nothing depends on where on the line it stands. Emphasis is bold, underline and
one colour that is legible on dark and on light; whatever it says, words say too.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence

from rich.console import Console
from rich.containers import Lines
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

HEADING = "bold"
USED = "underline"
DOUBTED = "bold magenta underline"

_NARROWEST = 50  # columns below which facts are written as lines
_SHORT_MARK = 3  # characters
_WIDEST = 100  # longer lines than this are hard to follow


class Screen:
    """Shows headings, paragraphs and facts on a console."""

    def __init__(self, console: Console) -> None:
        self.console = console
        self.plain = (
            not console.is_terminal
            or console.is_dumb_terminal
            or os.environ.get("TERM") == "dumb"
            or console.width < _NARROWEST
        )
        self._width = min(console.width, _WIDEST)

    def heading(self, title: str, more: str = "") -> None:
        """Show a heading, with a blank line before it."""
        self.console.print()
        line = Text(title, style="" if self.plain else HEADING)
        self._print(line.append(f"  {more}" if more else "", style="not bold"))

    def paragraph(self, text: str | Text, *, indent: int = 2) -> None:
        """Show text, every line of it indented."""
        text = Text(text) if isinstance(text, str) else text
        if self.plain:
            lines = text.split("\n", allow_blank=True)
        else:
            lines = text.wrap(self.console, self._width - indent)
        for line in lines:
            line.rstrip()
            self._print(Text(" " * indent) + line)

    def item(self, mark: str, text: str, *, indent: int = 2, style: str = "") -> None:
        """Show one item of a list: its mark, and the text after it; ``style`` is that of the text.

        Later lines hang below a short mark's text, and a little way in below a long mark.
        """
        whole = Text(f"{mark} ").append(text, style)
        hang = len(mark) + 1 if len(mark) <= _SHORT_MARK else 2
        if self.plain:
            lines = Lines([whole])
        else:
            lines = whole.wrap(self.console, self._width - indent - hang)
        for number, line in enumerate(lines):
            line.rstrip()
            self._print(Text(" " * (indent + (hang if number else 0))) + line)

    def facts(self, parts: Mapping[str, Sequence[Sequence[str]]]) -> None:
        """Show facts by the part that they belong to (empty for none).

        Each fact is a name, a value and where it comes from, which may be empty.
        """
        if self.plain:
            self._fact_lines(parts)
            return
        names = [name for facts in parts.values() for name, _, _ in facts]
        name_width = max(map(len, names)) + 2
        value_width = max((self._width - 2 - name_width) * 2 // 5, 12)
        grid = Table.grid(padding=(0, 2, 0, 0))
        grid.add_column(no_wrap=True)
        grid.add_column(max_width=value_width)
        grid.add_column()
        for part, facts in parts.items():
            if part:
                grid.add_row(Text(part), Text(), Text())
            for name, value, proof in facts:
                grid.add_row(Text(f"  {name}" if part else name), Text(value, HEADING), Text(proof))
        self._print(Padding(grid, (0, 0, 0, 2), expand=False))

    def _fact_lines(self, parts: Mapping[str, Sequence[Sequence[str]]]) -> None:
        for part, facts in parts.items():
            if part:
                self._print(f"  {part}")
            for name, value, proof in facts:
                more = f" ({proof})" if proof else ""
                self._print(f"{'    ' if part else '  '}{name}: {value}{more}")

    def blank(self) -> None:
        """Show an empty line."""
        self.console.print()

    def _print(self, what: str | Text | Padding) -> None:
        if isinstance(what, str):
            what = Text(what)
        if self.plain:
            self.console.print(what, soft_wrap=True)
        else:
            self.console.print(what, width=self._width)


def standard_screen() -> Screen:
    """Return the screen on standard output."""
    return Screen(Console(highlight=False, markup=False, emoji=False))
