"""Stage 10c: what was given to, put on or planned for the colony of one place."""

from __future__ import annotations

import datetime as dt

from ..binding import Bound
from ..drafts import VisitDraft
from .clauses import Clauses
from .feed import add_feed
from .supers import add_supers
from .todos import add_todos
from .treatments import Treatments


class ChoreBuilder:
    """Adds to a draft what was given to, put on or planned for its colony."""

    def __init__(
        self,
        clauses: Clauses,
        bound: Bound,
        own_words: dict[str, str],
    ) -> None:
        self.clauses = clauses
        self.bound = bound
        self.own_words = own_words

    def treatments(self, draft: VisitDraft, own: list[int], known_active: str | None) -> str | None:
        """Add the treatments told in ``own``; returns the last active named."""
        return Treatments(self.clauses, self.bound, self.own_words).add(draft, own, known_active)

    def feed(self, draft: VisitDraft, own: list[int]) -> None:
        """Add the feed given in ``own``."""
        add_feed(self.clauses, self.bound, draft, own)

    def supers(self, draft: VisitDraft, own: set[int]) -> None:
        """Add supers added, removed, on."""
        add_supers(self.clauses, self.bound, draft, own)

    def todos(self, draft: VisitDraft, own: list[int], base: dt.date) -> None:
        """Add plans as chores, with the day they are due where one is said."""
        add_todos(self.clauses, draft, own, base)
