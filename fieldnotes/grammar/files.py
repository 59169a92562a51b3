"""Where the grammar files are, and how one is read."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from ..errors import GrammarError

Model = TypeVar("Model", bound=BaseModel)


def grammars_folder() -> Path:
    """The folder of grammar files: inside an installed package, else beside it in a checkout."""
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "grammars", package.parent / "grammars"):
        if (folder / "en").is_dir():
            return folder
    raise GrammarError("the grammar files are missing; install fieldnotes again")


def read_file(path: Path, model: type[Model]) -> Model:
    """Read one TOML file into its model; errors name the file and the key."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise GrammarError(f"{path}: cannot be read ({error.strerror})") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise GrammarError(f"{path}: not valid TOML: {error}") from None
    try:
        return model.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"])
        raise GrammarError(f"{path}: {key}: {first['msg']}") from None


def read_ranks(path: Path) -> dict[str, int]:
    """Read a list of words, the most frequent first, as word -> rank; "#" begins a comment."""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except OSError as error:
        raise GrammarError(f"{path}: cannot be read ({error.strerror})") from None
    except UnicodeDecodeError as error:
        raise GrammarError(f"{path}: not UTF-8: {error}") from None
    words = [line.strip() for line in lines if line.strip() and not line.startswith("#")]
    if len(set(words)) != len(words):
        raise GrammarError(f"{path}: a word is given twice")
    return {word: rank for rank, word in enumerate(words)}
