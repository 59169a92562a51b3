"""Stage 10c: treatments, feed, supers and chores of one place."""

from .build import ChoreBuilder

__all__ = ["ChoreBuilder"]
