"""Thresholds as data: what each guideline counts, how, when, and from which figure to act.

Nothing here compares anything. A limit knows its basis by name only; the estimate turns it into a
typed figure, so that it can meet no figure of another basis.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ..errors import GrammarError
from ..records import Method
from .files import grammars_folder
from .located import load_located
from .printed import LimitBasis, Printed
from .protocols import Cited, load_sources
from .seasons import Hemisphere, Stages

COMPARED = frozenset(
    {
        "mites_per_100_adult_bees",
        "mites_per_100_bees_doubled",
        "mites_per_day_natural",
        "percent_drone_cells",
    }
)
Passes = Literal["from", "above"]
"""``from``: the level itself counts as reached; ``above``: only what is more."""
Force = Literal["guidance", "legal duty", "research", "rule of thumb"]


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class _Row(_Strict):
    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    basis: LimitBasis
    printed: Printed
    year: int | Literal["undated"]
    cited: Cited
    check: tuple[str, ...] = ()
    note: str = ""

    @model_validator(mode="after")
    def _unit_fits(self) -> _Row:
        if not self.printed.fits(self.basis):
            raise ValueError(f"{self.basis} cannot be printed {self.printed.words}")
        return self


class Mark(_Row):
    """A published figure that is no limit: shown beside the scale, never compared."""

    figure: float = Field(ge=0)
    figure_high: float | None = None


class Limit(_Row):
    """From which figure to be on the watch and to act, as printed, and for what it holds.

    ``act_high`` is the upper end where the source prints a range; the lower end is used.
    ``below``: ``nothing`` where the source names an alarm only, so that a figure below it is not
    called safe. ``comb``: where the bees come from. ``of``: one colony, or the mean of a yard.
    ``act_days``: in how many days a duty must be met.
    """

    stage: str
    methods: tuple[Method, ...] = Field(min_length=1)
    comb: Literal["brood", "honey", "not said"] = "not said"
    of: Literal["colony", "yard mean"] = "colony"
    colony_kind: Literal["production", "nucleus"] | None = None
    force: Force = "guidance"
    watch: float | None = Field(default=None, ge=0)
    watch_is: Passes = "from"
    act: float = Field(gt=0)
    act_high: float | None = None
    act_is: Passes = "from"
    act_days: int | None = None
    below: Literal["fine", "nothing"] = "fine"

    @model_validator(mode="after")
    def _in_order(self) -> Limit:
        if self.watch is not None and self.watch >= self.act:
            raise ValueError("the watch level lies below the act level")
        if self.act_high is not None and self.act_high <= self.act:
            raise ValueError("act_high lies above act")
        if (self.cited.status == "common practice") != (self.force == "rule of thumb"):
            raise ValueError("a limit without a source is a rule of thumb, and only such a one")
        if (self.act_days is not None) != (self.force == "legal duty"):
            raise ValueError("a legal duty says within how many days, and only a duty does")
        return self

    @property
    def drives(self) -> bool:
        """Whether a verdict may rest on it: not from memory, and on a basis that samples give."""
        return self.cited.status != "memory" and self.basis in COMPARED


class Guideline(_Strict):
    """The limits of one publication or adviser. Without ``places`` it holds only when chosen."""

    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    name: str = Field(min_length=1)
    places: tuple[str, ...] = ()
    hemisphere: Hemisphere | None = None
    note: str = ""
    limit: tuple[Limit, ...] = ()
    mark: tuple[Mark, ...] = ()

    @model_validator(mode="after")
    def _something(self) -> Guideline:
        if not self.limit and not self.mark:
            raise ValueError("a guideline has a limit or a mark")
        return self

    def fits(self, place: str) -> int:
        """How closely it is made for ``place``: 0 not at all, 2 its country, more its region."""
        whole = [p for p in self.places if place == p or place.startswith(f"{p}-")]
        return max((len(p) for p in whole), default=0)


class GuidelineFile(_Strict):
    """One file of guidelines."""

    guideline: tuple[Guideline, ...] = Field(min_length=1)


class Thresholds(BaseModel):
    """All guidelines, with the stages that their limits name."""

    model_config = ConfigDict(frozen=True)

    stages: Stages
    guidelines: tuple[Guideline, ...]

    def named(self, name: str) -> Guideline | None:
        """The guideline with an id, or None."""
        return next((g for g in self.guidelines if g.id == name), None)

    def made_for(self, place: str) -> tuple[Guideline, ...]:
        """The guidelines made for ``place`` ("DE", "US-FL"), the most closely made first."""
        fitting = [g for g in self.guidelines if g.fits(place)]
        return tuple(sorted(fitting, key=lambda g: -g.fits(place)))


def load_thresholds(folder: Path) -> Thresholds:
    """Read ``thresholds/`` in the grammars ``folder``; raise GrammarError with file and line."""
    here = folder / "thresholds"
    sources = load_sources(folder / "protocols") | load_sources(here)
    context = {"sources": sources}
    stages = load_located(here / "stages.toml", Stages, context)
    found: dict[str, Guideline] = {}
    rows: set[str] = set()
    for path in sorted(here.glob("*.toml")):
        if path.stem in ("stages", "sources"):
            continue
        for guideline in load_located(path, GuidelineFile, context).guideline:
            if guideline.id in found:
                raise GrammarError(f"{path}: guideline {guideline.id!r} stands twice")
            found[guideline.id] = guideline
            _check(path, guideline, stages, rows)
    if not found:
        raise GrammarError(f"{here}: no guidelines here; install fieldnotes again")
    return Thresholds(stages=stages, guidelines=tuple(found.values()))


def _check(path: Path, guideline: Guideline, stages: Stages, rows: set[str]) -> None:
    """Every stage is known where the guideline holds, and no row's id stands twice."""
    for row in (*guideline.limit, *guideline.mark):
        if row.id in rows:
            raise GrammarError(f"{path}: {guideline.id}: row {row.id!r} stands twice")
        rows.add(row.id)
    hemispheres: tuple[Hemisphere, ...] = ("north", "south")
    if guideline.hemisphere is not None:
        hemispheres = (guideline.hemisphere,)
    for limit in guideline.limit:
        stage = stages.named(limit.stage)
        if stage is None:
            raise GrammarError(f"{path}: {limit.id}: no stage {limit.stage!r} in stages.toml")
        if not all(stage.known_in(hemisphere) for hemisphere in hemispheres):
            raise GrammarError(f"{path}: {limit.id}: stage {limit.stage!r} has no window there")


@cache
def known_thresholds() -> Thresholds:
    """The thresholds that come with the program, read once."""
    return load_thresholds(grammars_folder())
