"""The season store: notes and their readings in one SQLite file, where nothing is saved half.

``place``       where the file lies
``connection``  opens it, or says in one line why it can't be used
``migrations``  its tables, and the steps from one version of them to the next
``rows``        a note and its reading as rows; pure
``store``       :class:`Store`: save, list and read back
"""

from .place import default_path
from .store import NoteSummary, Store

__all__ = ["NoteSummary", "Store", "default_path"]
