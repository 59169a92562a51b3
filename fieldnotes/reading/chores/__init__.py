"""Stage 10c: treatments, feed, supers and chores of one place."""

from .build import ChoreBuilder
from .clauses import Clauses

__all__ = ["ChoreBuilder", "Clauses"]
