"""Stage 10c: what was given to, put on or planned for the colony of one place."""

from __future__ import annotations

import datetime as dt

from ..binding import Candidate
from ..drafts import VisitDraft
from ..items import Item, Row
from .clauses import Clauses
from .feed import add_feed, add_supers
from .todos import add_todos
from .treatments import Treatments


class ChoreBuilder:
    """Adds to a draft what was given to, put on or planned for its colony."""

    def __init__(
        self,
        row: Row,
        chosen: list[Candidate],
        marks: list[set[str]],
        written: dt.date,
        day_first: bool | None,
        own_words: dict[str, str],
    ) -> None:
        self.clauses = Clauses(row, marks, written, day_first)
        self.chosen = chosen
        self.own_words = own_words

    @property
    def cells(self) -> set[int]:
        """The items that begin a cell of a table: no clause reaches over them."""
        return self.clauses.cells

    @cells.setter
    def cells(self, cells: set[int]) -> None:
        self.clauses.cells = cells

    def ahead(self, item: Item) -> bool:
        """Whether the item is a day that lies ahead."""
        return self.clauses.ahead(item)

    def treatments(self, draft: VisitDraft, own: list[int], known_active: str | None) -> str | None:
        """Add the treatments told in ``own``; returns the last active named."""
        return Treatments(self.clauses, self.chosen, self.own_words).add(draft, own, known_active)

    def feed(self, draft: VisitDraft, own: list[int]) -> None:
        """Add the feed given in ``own``."""
        add_feed(self.clauses, self.chosen, draft, own)

    def supers(self, draft: VisitDraft, own: set[int]) -> None:
        """Add supers added, removed, on."""
        add_supers(self.clauses, self.chosen, draft, own)

    def todos(self, draft: VisitDraft, own: list[int], base: dt.date) -> None:
        """Add plans as chores, with the day they are due where one is said."""
        add_todos(self.clauses, draft, own, base)
