"""Rows of ``plans.toml``: how many bees and colonies published plans ask for."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ...grammar.files import grammars_folder
from ...grammar.protocols import Cited, checked, load_sources


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class ColonyPlan(_Strict):
    """Bees to take from one colony, and how many such samples researchers take."""

    bees: int = Field(gt=0)
    researcher_units: int = Field(gt=0)
    cited: Cited


class Precision(_Strict):
    """The standard error over the mean that a plan aims at."""

    aim: float = Field(gt=0, lt=1)
    cited: Cited


class YardPlan(_Strict):
    """Colonies to sample in a yard: a number, or ``percent`` of it; all up to ``all_up_to``.

    ``holds_over``: the plan speaks only of yards of more colonies than that.
    """

    role: Literal["usual", "other"]
    where: str
    colonies: int | None = Field(default=None, gt=0)
    colonies_to: int | None = Field(default=None, gt=0)
    percent: float | None = Field(default=None, gt=0, le=100)
    all_up_to: int | None = Field(default=None, gt=0)
    holds_over: int | None = Field(default=None, gt=0)
    cited: Cited

    @model_validator(mode="after")
    def _one_size(self) -> YardPlan:
        if (self.colonies is None) == (self.percent is None):
            raise ValueError("a plan gives a number of colonies or a percentage")
        if self.role == "usual" and self.cited.status != "read":
            raise ValueError("the plan in use must have been read in its source")
        return self


class Together(_Strict):
    """Days within which the counts of a yard are from one time."""

    days: int = Field(gt=0)
    cited: Cited


class PlanRows(_Strict):
    """All rows of ``plans.toml``."""

    colony: ColonyPlan
    precision: Precision
    yard: tuple[YardPlan, ...]
    together: Together

    @model_validator(mode="after")
    def _one_usual(self) -> PlanRows:
        if [row.role for row in self.yard].count("usual") != 1:
            raise ValueError("yard: one row needs role 'usual'")
        return self


def load_plans(path: Path, sources: dict[str, str]) -> PlanRows:
    """Read ``plans.toml``; raise GrammarError with file and key."""
    return checked(path, PlanRows, context={"sources": sources})


@cache
def known_plans() -> PlanRows:
    """The rows that come with the program, read once."""
    folder = grammars_folder()
    return load_plans(folder / "plans.toml", load_sources(folder / "protocols"))
