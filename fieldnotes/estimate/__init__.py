"""What a count means: mites per 100 bees, a day or per 100 cells, with limits and basis."""

from .basis import BASES, Figure, double_for_brood, halve_to_adults
from .estimates import estimate_visit
from .records import Assumption, Doubled, Estimate

__all__ = [
    "BASES",
    "Assumption",
    "Doubled",
    "Estimate",
    "Figure",
    "double_for_brood",
    "estimate_visit",
    "halve_to_adults",
]
