"""The characters that pictures on a terminal are made of: block and line signs, or plain ASCII."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, fields
from typing import TextIO

TO_LEFT = ("R", "AL")
"""Directions of writing of signs that a terminal may turn a whole line for."""
_LEFT_TO_RIGHT = "\u200e"


@dataclass(frozen=True)
class Signs:
    """One character for each part of a picture; ``points`` are the shapes of methods, in order."""

    points: str
    mean: str
    bar: str
    bar_top: str
    bar_foot: str
    across: str
    across_left: str
    across_right: str
    beyond: str
    beyond_right: str
    act: str
    watch: str
    act_up: str
    watch_up: str
    band: str
    middle: str
    hatch: str
    open_left: str
    open_right: str
    mark: str
    axis: str
    axis_tick: str
    corner: str
    floor: str
    floor_tick: str
    cut: str

    @property
    def plain(self) -> bool:
        """Whether these are ASCII."""
        return self.cut.isascii()

    def name(self, text: str) -> str:
        """A name kept from turning the direction of the line that it stands in."""
        turns = any(unicodedata.bidirectional(sign) in TO_LEFT for sign in text)
        return f"{_LEFT_TO_RIGHT}{text}{_LEFT_TO_RIGHT}" if turns and not self.plain else text


LINES = Signs(
    points="●■▲◆○□△◇", mean="◆", bar="│", bar_top="┬", bar_foot="┴",
    across="─", across_left="├", across_right="┤", beyond="↑", beyond_right="→",
    act="━", watch="┄", act_up="┃", watch_up="┆", band="░", middle="•",
    hatch="▒", open_left="◂", open_right="▸", mark="↑",
    axis="│", axis_tick="┤", corner="└", floor="─", floor_tick="┬", cut="…",
)  # fmt: skip
ASCII = Signs(
    points="ox*%@&$0", mean="M", bar="|", bar_top="+", bar_foot="+",
    across="-", across_left="[", across_right="]", beyond="^", beyond_right=">",
    act="=", watch="-", act_up="#", watch_up=":", band=".", middle="~",
    hatch="/", open_left="<", open_right=">", mark="^",
    axis="|", axis_tick="+", corner="+", floor="-", floor_tick="+", cut="~",
)  # fmt: skip


def signs_for(stream: TextIO) -> Signs:
    """Block and line signs where ``stream`` can show all of them, else ASCII."""
    every = "".join(getattr(LINES, field.name) for field in fields(LINES))
    try:
        every.encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return ASCII
    return LINES
