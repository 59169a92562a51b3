"""Stage 10b: the samples of one visit: which values belong to which, and what they add up to."""

from .build import SampleBuilder
from .events import find_events
from .merging import drop_foreign, of_drones, settle_method
from .methods import JARS
from .roles import role_of

__all__ = [
    "JARS",
    "SampleBuilder",
    "drop_foreign",
    "find_events",
    "of_drones",
    "role_of",
    "settle_method",
]
