"""Rows of ``efficacy.toml``: when a treatment can be judged, and what counts as effective."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ...grammar.files import grammars_folder
from ...grammar.protocols import Cited, checked, load_sources
from ...records import Active


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class BroodStages(_Strict):
    """Days under the cappings, and from egg to bee."""

    worker_capped: float = Field(gt=0)
    drone_capped: float = Field(gt=0)
    worker_total: float = Field(gt=0)
    cited: Cited


class Window(_Strict):
    """Days before its start and after its end between which counts can judge a treatment."""

    before_days: int = Field(gt=0)
    after_from_days: int = Field(gt=0)
    after_to_days: int = Field(gt=0)
    cited: Cited
    before_cited: Cited
    to_cited: Cited

    @model_validator(mode="after")
    def _in_order(self) -> Window:
        if self.after_from_days > self.after_to_days:
            raise ValueError("the window opens before it closes")
        return self


class Standard(_Strict):
    """The share of mites killed, in percent, from which substances of a kind are effective."""

    kind: Literal["synthetic", "other"]
    percent: float = Field(gt=0, lt=100)
    actives: tuple[Active, ...]
    cited: Cited

    @model_validator(mode="after")
    def _read(self) -> Standard:
        if self.cited.status != "read":
            raise ValueError("a standard judges treatments, so its source must have been read")
        return self


class Followup(_Strict):
    """The proven efficacy, in percent, that a follow-up treatment needs in a trial."""

    percent: float = Field(gt=0, lt=100)
    cited: Cited


class EfficacyRows(_Strict):
    """All rows of ``efficacy.toml``."""

    brood: BroodStages
    window: Window
    standard: tuple[Standard, ...]
    followup: Followup

    def standard_for(self, active: Active | None) -> Standard | None:
        """The standard for one active ingredient; None where none is set."""
        return next((row for row in self.standard if active in row.actives), None)


def load_efficacy(path: Path, sources: dict[str, str]) -> EfficacyRows:
    """Read ``efficacy.toml``; raise GrammarError with file and key."""
    return checked(path, EfficacyRows, context={"sources": sources})


@cache
def known_efficacy() -> EfficacyRows:
    """The rows that come with the program, read once."""
    folder = grammars_folder()
    return load_efficacy(folder / "efficacy.toml", load_sources(folder / "protocols"))
