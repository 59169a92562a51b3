"""Errors that a user can mend, one class per cause, each with its exit code.

A message is one line: what is wrong, then what to do. Exit codes: 0 all done, 1 done in part,
2 nothing done, 3 done but questions are open (only with ``--strict``).
"""

from __future__ import annotations

from typing import ClassVar


class FieldnotesError(Exception):
    """Something the user can mend; shown as one line, never as a traceback."""

    exit_code: ClassVar[int] = 2


class InputError(FieldnotesError):
    """A note cannot be read in: missing, binary, too large, in an unknown encoding."""


class DateError(FieldnotesError):
    """A date that the user gave is none."""


class GrammarError(FieldnotesError):
    """A grammar file is malformed; the message names file and key."""


class VocabularyError(FieldnotesError):
    """The keeper's own vocabulary file is malformed; the message names file and key."""


class StoreError(FieldnotesError):
    """The database cannot be opened, read or written."""


class NumbersError(FieldnotesError, ValueError):
    """Numbers that no sample can have: fewer than no mites, no bees, a chance above one."""


class ExtraError(FieldnotesError):
    """An optional part of the program is not installed; the message says how to add it."""
