"""Where the season store lies."""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "FIELDNOTES_DB"
"""The environment variable that names another file; empty counts as unset."""


def default_path(explicit: Path | str | None = None) -> Path:
    """Return the path of the database.

    It is ``explicit``, else what FIELDNOTES_DB names (a leading ``~`` is the home folder in both),
    else a file in the folder where this system keeps the user's data. Nothing is created.
    """
    named = explicit if explicit is not None else os.environ.get(VARIABLE)
    if named is not None and str(named):
        path = Path(named)
        # An unknown user in "~user" leaves the path as it stands: a file of that name.
        try:
            return path.expanduser()
        except RuntimeError:
            return path
    import platformdirs  # here, since it is not needed where a path is given

    return platformdirs.user_data_path("fieldnotes", appauthor=False) / "season.db"
