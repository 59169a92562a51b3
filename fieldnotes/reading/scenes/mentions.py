"""The types of stage 7: a mention as it stands in the note, and the names known beforehand."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(slots=True)
class Mention:
    """A colony (or yard) named at items ``first`` to ``last`` (exclusive).

    ``strength`` from 0 to 1; ``kind`` is "colony", "yard", "all", "next", or of the
    colonies named so far "other", "others" or "first"; ``head`` is true where the mention stands at
    the head of a line.
    """

    first: int
    last: int
    name: str
    kind: str = "colony"
    strength: float = 1.0
    head: bool = False
    proof: tuple[int, int] | None = None
    group: int | None = None
    day: int | None = None
    alternatives: tuple[str, ...] = ()


@dataclass(slots=True)
class Roster:
    """Known names: word tuples -> canonical name."""

    colonies: dict[tuple[str, ...], str] = field(default_factory=dict)
    yards: dict[tuple[str, ...], str] = field(default_factory=dict)
    yard_of: dict[str, str] = field(default_factory=dict)
