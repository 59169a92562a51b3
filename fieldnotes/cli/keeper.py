"""Finds what the commands read by: the keeper's own vocabulary file, and the grammar."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from ..grammar.vocabulary import Vocabulary, load_vocabulary

if TYPE_CHECKING:
    from ..grammar import Grammar

VARIABLE = "FIELDNOTES_VOCABULARY"


def vocabulary_path(option: Path | None) -> Path | None:
    """Return the file to use: the option's, else the environment's, else the usual place's.

    The usual place is ``keeper.toml`` in the user's configuration folder, if it is there.
    """
    if option is not None:
        return option
    named = os.environ.get(VARIABLE)
    if named:
        return Path(named).expanduser()
    from platformdirs import user_config_path

    usual = user_config_path("fieldnotes") / "keeper.toml"
    return usual if usual.is_file() else None


def keeper_vocabulary(option: Path | None) -> Vocabulary:
    """Return the keeper's vocabulary, or an empty one where none is kept.

    Raises :class:`~fieldnotes.errors.VocabularyError` naming file and key.
    """
    path = vocabulary_path(option)
    return Vocabulary() if path is None else load_vocabulary(path)


def usual_grammar() -> Grammar:
    """Return the grammar, compiled once and then kept in the user's folder of caches."""
    from platformdirs import user_cache_path

    from ..grammar import load_grammar

    return load_grammar(keep_in=user_cache_path("fieldnotes", appauthor=False))
