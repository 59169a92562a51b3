"""Reading: a note's text becomes a record, stage by stage. See :mod:`fieldnotes.reading.reader`."""

from .context import Context
from .reader import Reader

__all__ = ["Context", "Reader"]
