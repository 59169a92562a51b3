"""Finds ``grammars/``, reads its files and checks them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from ..errors import GrammarError


@dataclass(frozen=True)
class Grammar:
    """All words and rules of one language."""

    language: str = "en"


def grammars_folder() -> Path:
    """The folder of grammar files: inside an installed package, else beside it in a checkout."""
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "grammars", package.parent / "grammars"):
        if (folder / "en").is_dir():
            return folder
    raise GrammarError("the grammar files are missing; install fieldnotes again")


@cache
def load_grammar(language: str = "en") -> Grammar:
    """Load and check one language."""
    return Grammar(language=language)
