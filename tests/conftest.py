"""What many tests share: the grammar, one reader, and the day on which test notes are written."""

from __future__ import annotations

import datetime as dt
import os
from functools import cache
from typing import Final

import pytest
from hypothesis import settings

from fieldnotes.grammar import Grammar, load_grammar
from fieldnotes.reading import Reader

TUESDAY: Final = dt.date(2026, 7, 14)
"""The day of every note whose test names no other."""

# A slow machine is no failure. Under CI the examples are the same in every run.
settings.register_profile("fieldnotes", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("fieldnotes")


@cache
def the_grammar() -> Grammar:
    """The English grammar; for tests of many examples, whose failures print every fixture."""
    return load_grammar()


@cache
def the_reader() -> Reader:
    """The one reader of all tests."""
    return Reader(the_grammar())


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    return the_grammar()


@pytest.fixture(scope="session")
def reader() -> Reader:
    return the_reader()
