"""A place in the words of a note, from which one item is read."""

from __future__ import annotations

from dataclasses import dataclass

from .row import Item

END = "\n"
"""What stands before the first word and after the last."""


@dataclass(frozen=True, slots=True)
class Spot:
    """Word ``i`` among the ``words`` as read, the ``raw`` ones as written, and their ``starts``."""

    words: list[str]
    raw: list[str]
    starts: list[int]
    i: int

    @property
    def word(self) -> str:
        return self.words[self.i]

    @property
    def before(self) -> str:
        return self.words[self.i - 1] if self.i else END

    @property
    def after(self) -> str:
        return self.words[self.i + 1] if self.i + 1 < len(self.words) else END

    def near_before(self, reach: int) -> list[str]:
        """The last words before this one, ``reach`` at most."""
        return self.words[max(0, self.i - reach) : self.i]

    def item(self, kind: str, sym: str, length: int = 1) -> Item:
        """An item of the ``length`` words that begin here."""
        i, last = self.i, self.i + length - 1
        word = self.word if length == 1 else " ".join(self.words[i : i + length])
        end = self.starts[last] + len(self.raw[last])
        return Item(kind, sym, word, i, i + length, self.starts[i], end, raw=self.raw[i])
