"""The rules between a figure and a verdict, as data: ``advice.toml``."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, field_validator

from ..records import SignName
from .files import grammars_folder
from .located import load_located
from .protocols import Cited, load_sources

ToldSign = SignName | Literal["crawling_bees", "weak_colony"]
"""A sign that bears on the verdict: one of the records', or one that the keeper tells."""
_SIGNS = frozenset((*get_args(SignName), "crawling_bees", "weak_colony"))


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Sure(_Strict):
    """The largest chance of lying above the act level with which a colony is called fine."""

    chance: float = Field(gt=0, lt=0.5)
    cited: Cited


class Ahead(_Strict):
    """How many days after a count the next is due; see the comments of the file."""

    most_days: int = Field(gt=0, le=30)
    watch_days: int = Field(gt=0)
    signs_days: int = Field(gt=0)
    alarm_days: int = Field(gt=0)
    cited: Cited
    nearer_cited: Cited
    alarm_cited: Cited
    check: tuple[str, ...] = ()


class After(_Strict):
    """Days after a treatment: fall natural again, a brood cycle, the next count, at work."""

    fall_days: int = Field(gt=0)
    cycle_days: int = Field(gt=0)
    retest_days: int = Field(gt=0)
    default_days: int = Field(gt=0)
    fall_cited: Cited
    cycle_cited: Cited
    retest_cited: Cited
    default_cited: Cited
    check: tuple[str, ...] = ()


class SignRule(_Strict):
    """Signs that override a good number, or that stand above any number."""

    names: tuple[str, ...] = Field(min_length=1)
    does: Literal["overrides", "inspector"]
    cited: Cited

    @field_validator("names")
    @classmethod
    def _exist(cls, names: tuple[str, ...]) -> tuple[str, ...]:
        if unknown := set(names) - _SIGNS:
            raise ValueError(f"{sorted(unknown)[0]!r} is no sign")
        return names


class AdviceRules(_Strict):
    """All of ``advice.toml``."""

    sure: Sure
    ahead: Ahead
    after: After
    sign: tuple[SignRule, ...]
    caution: tuple[Cited, ...] = Field(min_length=1)

    def sign_rule(self, does: str) -> SignRule | None:
        """The row of signs that does one thing, or None."""
        return next((row for row in self.sign if row.does == does), None)


def load_advice(folder: Path) -> AdviceRules:
    """Read ``advice.toml`` in the grammars ``folder``; raise GrammarError with file and line."""
    sources = load_sources(folder / "protocols") | load_sources(folder / "thresholds")
    return load_located(folder / "advice.toml", AdviceRules, {"sources": sources})


@cache
def known_advice() -> AdviceRules:
    """The rules that come with the program, read once."""
    return load_advice(grammars_folder())
