"""Stage 10: the visits of a note, one for each colony and day that it tells of."""

from .build import VisitBuilder
from .days import DayFinder
from .matter import tells_of_colonies

__all__ = ["DayFinder", "VisitBuilder", "tells_of_colonies"]
