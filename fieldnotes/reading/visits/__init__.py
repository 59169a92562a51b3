"""Stage 10: the visits of a note, one for each colony and day that it tells of."""

from .build import VisitBuilder
from .days import DayFinder

__all__ = ["DayFinder", "VisitBuilder"]
