"""The keeper's own vocabulary: names, words of their own, and what is always so.

One TOML file, read over the grammar. What a reading takes from it is marked as declared, with the
key and the day of the declaration, and anything the note says overrides it. Example::

    declared = 2026-04-02
    day_first = true
    country = "UK"

    [only]
    colony = "Willow 3"

    [usual]
    method = "sugar"
    volume = "half a cup"
    frame = "brood"
    position = "centre"

    [cup]
    name = "blue cup"
    ml = 110
    bees = 280

    [[yard]]
    name = "Orchard"
    aliases = ["the old orchard"]

    [[colony]]
    name = "Willow 3"
    yard = "Orchard"
    aliases = ["W3"]

    [treatments]
    "pads" = "formic_acid"
"""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from ..errors import VocabularyError
from ..records import Active, Method, Source


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Named(_Strict):
    """A yard with the other words that the keeper uses for it."""

    name: str = Field(min_length=1)
    aliases: tuple[str, ...] = ()


class NamedColony(Named):
    """A colony, the yard it stands in, and its other names."""

    yard: str | None = None


class Only(_Strict):
    """What there is only one of, so that it need not be said."""

    colony: str | None = None
    yard: str | None = None


class Usual(_Strict):
    """How the keeper always samples. ``volume`` is in words, read as in a note."""

    method: Method | None = None
    volume: str | None = None
    bees: int | None = Field(default=None, gt=0)
    frame: Source | None = None
    position: Literal["centre", "edge"] | int | None = None


class Cup(_Strict):
    """The keeper's own measure: its millilitres, and the bees it was once counted to hold."""

    name: str | None = None
    ml: float = Field(gt=0)
    bees: int | None = Field(default=None, gt=0)


class Vocabulary(_Strict):
    """All that a keeper has declared; everything is optional."""

    declared: dt.date | None = None
    day_first: bool | None = None
    country: Literal["US", "UK", "CA", "AU", "NZ", "IE", "metric"] | None = None
    only: Only = Only()
    usual: Usual = Usual()
    cup: Cup | None = None
    yard: tuple[Named, ...] = ()
    colony: tuple[NamedColony, ...] = ()
    treatments: dict[str, Active] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _dated_and_unique(self) -> Vocabulary:
        declares = self.only != Only() or self.usual != Usual() or self.cup is not None
        if declares and self.declared is None:
            raise ValueError(
                "'only', 'usual' and 'cup' need the day they were declared: "
                "add a line such as declared = 2026-04-02 at the top"
            )
        for kind, rows in (("yard", self.yard), ("colony", self.colony)):
            seen: dict[str, str] = {}
            for row in rows:
                for word in {w.casefold() for w in (row.name, *row.aliases)}:
                    if word in seen and seen[word] != row.name:
                        raise ValueError(
                            f"{kind} name {word!r} stands for both {seen[word]!r} and {row.name!r}"
                        )
                    seen[word] = row.name
        return self


def load_vocabulary(path: Path) -> Vocabulary:
    """Read and check a vocabulary file; raise :class:`VocabularyError` naming the key at fault."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        raise VocabularyError(f"{path}: no such vocabulary file; check the path") from None
    except (OSError, UnicodeDecodeError) as error:
        raise VocabularyError(f"{path}: cannot be read as UTF-8 text ({error})") from None
    except tomllib.TOMLDecodeError as error:
        raise VocabularyError(f"{path}: not valid TOML: {error}") from None
    try:
        return Vocabulary.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "file"
        reason = first["msg"].removeprefix("Value error, ")
        raise VocabularyError(f"{path}: {key}: {reason}") from None
