"""What a count means: mites per 100 bees, a day or per 100 cells, with limits and basis."""

from .basis import BASES, Figure, double_for_brood, halve_to_adults
from .brood import brood_changes_verdict
from .estimates import estimate_visit
from .likely import posterior_of
from .posterior import Posterior, Spread
from .records import Assumption, Doubled, Estimate, Likely, UnderCappings
from .unseen import chance_of_none, most_when_none

__all__ = [
    "BASES",
    "Assumption",
    "Doubled",
    "Estimate",
    "Figure",
    "Likely",
    "Posterior",
    "Spread",
    "UnderCappings",
    "brood_changes_verdict",
    "chance_of_none",
    "double_for_brood",
    "estimate_visit",
    "halve_to_adults",
    "most_when_none",
    "posterior_of",
]
