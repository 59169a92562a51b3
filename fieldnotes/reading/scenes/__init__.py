"""Stage 7: whose clause it is; see :mod:`~fieldnotes.reading.scenes.finder`."""

from .finder import SceneFinder
from .mentions import Mention, Roster

__all__ = ["Mention", "Roster", "SceneFinder"]
