"""How many bees were in the jar: counted, weighed or by volume, with what is assumed for it."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ..grammar.files import grammars_folder
from ..grammar.protocols import Cited, checked, load_sources
from ..grammar.vocabulary import Vocabulary
from ..records import Sample
from .cappings import UnderCappingsRows
from .records import Assumption, BeesKnown
from .spreads import (
    Clumping,
    NoneFound,
    Recovery,
    SpreadRow,
    check_recoveries,
    check_spreads,
)

SAME_SIZE = 0.02
"""Two volumes within this share of each other are one measure: 118.3, 120 and half a cup."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Measure(_Strict):
    """So many bees to so many millilitres or grams, as one source has it."""

    role: Literal["usual", "range"]
    bees: int = Field(gt=0)
    ml: float | None = Field(default=None, gt=0)
    g: float | None = Field(default=None, gt=0)
    cited: Cited

    @model_validator(mode="after")
    def _one_unit(self) -> Measure:
        if (self.ml is None) == (self.g is None):
            raise ValueError("a measure is given in ml or in g")
        return self

    @property
    def density(self) -> float:
        """Bees to the millilitre or gram."""
        return self.bees / (self.ml or self.g or 1)


class CupSize(_Strict):
    """A size of cup that keepers use, and the bees that it is held to hold."""

    ml: float = Field(gt=0)
    bees: int = Field(gt=0)


class Cups(_Strict):
    """The cup rule of the trade: it overrides the density of bees at these sizes."""

    sizes: tuple[CupSize, ...]
    cited: Cited


class Measures(_Strict):
    """All rows of ``measures.toml``."""

    cups: Cups
    volume: tuple[Measure, ...]
    weight: tuple[Measure, ...]
    spread: tuple[SpreadRow, ...]
    recovery: tuple[Recovery, ...] = ()
    clumping: Clumping | None = None
    none_found: NoneFound
    under_cappings: UnderCappingsRows

    @model_validator(mode="after")
    def _each_once(self) -> Measures:
        check_spreads(self.spread)
        check_recoveries(self.recovery)
        return self

    @model_validator(mode="after")
    def _one_usual(self) -> Measures:
        for rows in (self.volume, self.weight):
            if [row.role for row in rows].count("usual") != 1:
                raise ValueError("volume and weight each need one row of role 'usual'")
        return self


class Bees(NamedTuple):
    """The bees in a sample, how they are known, their range, and what is assumed."""

    number: int
    known: BeesKnown
    low: int | None = None
    high: int | None = None
    assumption: Assumption | None = None


def about(bees: int) -> int:
    """A number of bees that is only assumed, without digits that nobody knows.

    >>> about(592), about(59)
    (590, 59)
    """
    return round(bees, -1) if bees >= 100 else bees


def load_measures(path: Path, sources: dict[str, str]) -> Measures:
    """Read ``measures.toml``; raise GrammarError with file and key."""
    return checked(path, Measures, context={"sources": sources})


@cache
def known_measures() -> Measures:
    """The measures that come with the program, read once."""
    folder = grammars_folder()
    return load_measures(folder / "measures.toml", load_sources(folder / "protocols"))


def bees_in(sample: Sample, vocabulary: Vocabulary, measures: Measures) -> Bees | None:
    """The number of bees in ``sample``, by the surest thing it states; None if it states nothing.

    A number outweighs a weight, a weight a volume. A volume is read by the keeper's own counted
    cup where one is declared, else by the published measures, of which the range is given too.
    """
    if sample.bees is not None:
        return _stated(sample, sample.bees)
    if sample.bees_weight_g is not None:
        return _by_weight(sample.bees_weight_g, measures)
    if sample.volume_ml is None:
        return None
    return _by_own_cup(sample.volume_ml, vocabulary) or _by_volume(sample.volume_ml, measures)


def _stated(sample: Sample, bees: int) -> Bees:
    proof = sample.evidence.get("bees")
    if proof is None or proof.declared is None:
        return Bees(bees, "counted or stated")
    day = f" on {proof.on.isoformat()}" if proof.on else ""
    text = f"{bees} bees, as always with your samples"
    return Bees(bees, "declared", assumption=Assumption(text=text, source=f"declared{day}"))


def _by_weight(grams: float, measures: Measures) -> Bees:
    usual = _usual(measures.weight)
    bees = round(grams * usual.density)
    low, high = _range(bees, grams, measures.weight)
    text = (
        f"{grams:g} g taken as {bees} bees, {1 / usual.density:.2g} g each; "
        f"light or honey-filled bees could be {about(low)} to {about(high)}"
    )
    assumption = Assumption(text=text, source=usual.cited.reference)
    return Bees(bees, "weighed", low, high, assumption)


def _by_volume(ml: float, measures: Measures) -> Bees:
    cups = measures.cups
    size = next((size for size in cups.sizes if abs(ml - size.ml) <= SAME_SIZE * size.ml), None)
    usual = _usual(measures.volume)
    bees, cited = (size.bees, cups.cited) if size else (round(ml * usual.density), usual.cited)
    low, high = _range(bees, ml, measures.volume)
    text = (
        f"{ml:.0f} mL taken as about {bees} bees, since {cited.says}; "
        f"sources range from {about(low)} to {about(high)}, so count your own measure once"
    )
    return Bees(bees, "volume", low, high, Assumption(text=text, source=cited.reference))


def _by_own_cup(ml: float, vocabulary: Vocabulary) -> Bees | None:
    cup = vocabulary.cup
    if cup is None or cup.bees is None:
        return None
    bees = round(ml * cup.bees / cup.ml)
    text = f"{ml:.0f} mL taken as {bees} bees, since your own cup of {cup.ml:g} mL held {cup.bees}"
    day = f", declared on {vocabulary.declared.isoformat()}" if vocabulary.declared else ""
    return Bees(bees, "own cup", assumption=Assumption(text=text, source=f"your own count{day}"))


def _usual(rows: tuple[Measure, ...]) -> Measure:
    return next(row for row in rows if row.role == "usual")


def _range(bees: int, amount: float, rows: tuple[Measure, ...]) -> tuple[int, int]:
    """The fewest and the most bees by the rule in use and by every other row."""
    counts = [bees, *(round(amount * row.density) for row in rows)]
    return min(counts), max(counts)
