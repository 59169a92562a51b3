"""Rows of ``measures.toml`` on how sure the parts of a figure are: bees, recovery, clumping."""

from __future__ import annotations

from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ..grammar.protocols import Cited
from ..records import Method

SpreadOf = Literal["counted", "weighed", "own cup", "volume", "assumed"]
"""How the number of bees is known, from the surest to the loosest, as the spreads tell it apart."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class SpreadRow(_Strict):
    """How far bees known in one way lie from the number used, in percent of it (one sigma)."""

    known: SpreadOf
    percent: float = Field(ge=0, le=50)
    cited: Cited


class Recovery(_Strict):
    """The share of mites that a way of counting finds, and what it is known to leave on the bees.

    ``mean`` and ``sd`` are shares from 0 to 1, given only where a source has a value.
    """

    methods: tuple[Method, ...]
    mean: float | None = Field(default=None, gt=0, lt=1)
    sd: float | None = Field(default=None, gt=0, lt=0.5)
    cited: Cited

    @model_validator(mode="after")
    def _only_what_was_read(self) -> Recovery:
        if (self.mean is None) != (self.sd is None):
            raise ValueError("a recovery needs both mean and sd, or neither")
        if self.mean is not None and self.cited.status != "read":
            raise ValueError("a recovery is used only where its source was read")
        return self


class Clumping(_Strict):
    """The index k of the negative binomial count of a sample; None where no source has one."""

    k: float | None = Field(default=None, gt=0)
    cited: Cited

    @model_validator(mode="after")
    def _only_what_was_read(self) -> Clumping:
        if self.k is not None and self.cited.status != "read":
            raise ValueError("an index of clumping is used only where its source was read")
        return self


class NoneFound(_Strict):
    """The infestations, in mites per 100 bees, at which the chance of no mite is told."""

    per_100: tuple[float, ...] = Field(min_length=1)


def check_spreads(rows: tuple[SpreadRow, ...]) -> None:
    """Raise ValueError unless each way of knowing the bees has exactly one row."""
    if sorted(row.known for row in rows) != sorted(get_args(SpreadOf)):
        raise ValueError(f"spread: one row each is needed for {', '.join(get_args(SpreadOf))}")


def check_recoveries(rows: tuple[Recovery, ...]) -> None:
    """Raise ValueError where two rows give a value for one method."""
    valued = [method for row in rows if row.mean is not None for method in row.methods]
    if len(valued) != len(set(valued)):
        raise ValueError("recovery: a method has two values")
