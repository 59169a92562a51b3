"""Treatments by active ingredient as data: what the sources exclude, each with its year.

The data may only exclude or limit. That nothing speaks against a treatment is never permission:
what is not known stays not known, and the label, the law and the veterinarian decide.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from ..errors import GrammarError
from ..records import Active
from .files import grammars_folder
from .located import load_located
from .protocols import Cited, load_sources

Aspect = Literal["supers", "temperature", "brood", "strength", "resistance", "law"]
"""What speaks against a treatment: honey supers, the day's warmth, sealed brood, a weak colony."""
ASKED: tuple[Aspect, ...] = ("supers", "temperature", "brood", "strength")
"""The aspects of which it is said that nothing is known, where nothing is."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Rule(_Strict):
    """One thing that speaks against a treatment, and when.

    Of ``supers`` it speaks while they are on; of ``temperature`` below ``below_c`` or above
    ``above_c`` degrees Celsius, the day's high; of ``brood`` while worker brood is sealed; of
    ``strength`` below ``bees``; of ``resistance`` and ``law`` always. ``excludes`` rules out,
    ``limits`` says what the treatment does not reach. ``forms`` are the ways of giving it that
    are meant; all of them where none is named.
    """

    aspect: Aspect
    does: Literal["excludes", "limits", "warns"]
    forms: tuple[str, ...] = ()
    below_c: float | None = None
    above_c: float | None = None
    bees: int | None = Field(default=None, gt=0)
    year: int | Literal["undated"]
    cited: Cited
    check: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _conditions_fit(self) -> Rule:
        warmth = self.below_c is not None or self.above_c is not None
        if warmth != (self.aspect == "temperature"):
            raise ValueError("a rule of temperature has below_c or above_c, and only such a one")
        if (self.bees is not None) != (self.aspect == "strength"):
            raise ValueError("a rule of strength has bees, and only such a one")
        return self

    @property
    def known(self) -> bool:
        """Whether the rule is more than recalled."""
        return self.cited.status != "memory"


class AtWork(_Strict):
    """How many days a treatment is held to be at work, from the first day, at most."""

    days: int = Field(gt=0)
    forms: tuple[str, ...] = ()
    year: int | Literal["undated"]
    cited: Cited
    check: tuple[str, ...] = ()


class TreatmentRow(_Strict):
    """One active ingredient: its ``forms``, how long it is at work, what speaks against it.

    Two of one ``mode`` of action count as one when treatments are changed about.
    """

    active: Active
    name: str
    mode: str
    forms: tuple[str, ...] = Field(min_length=1)
    at_work: tuple[AtWork, ...] = ()
    rule: tuple[Rule, ...] = ()
    caution: tuple[Cited, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _forms_are_known(self) -> TreatmentRow:
        named = [form for row in self.at_work for form in row.forms]
        named += [form for row in self.rule for form in row.forms]
        for unknown in [form for form in named if form not in self.forms]:
            raise ValueError(f"{unknown!r} is none of the forms")
        return self

    def rules(self, form: str) -> tuple[Rule, ...]:
        """The rules for one form."""
        return tuple(rule for rule in self.rule if not rule.forms or form in rule.forms)


def load_treatments(folder: Path) -> dict[Active, TreatmentRow]:
    """Read ``treatments/`` in the grammars ``folder``; raise GrammarError with file and line."""
    here = folder / "treatments"
    sources = load_sources(folder / "protocols") | load_sources(here)
    found: dict[Active, TreatmentRow] = {}
    for path in sorted(here.glob("*.toml")):
        if path.stem == "sources":
            continue
        row = load_located(path, TreatmentRow, {"sources": sources})
        if row.active != path.stem:
            raise GrammarError(f"{path}: active: {row.active!r} must be the file's own name")
        found[row.active] = row
    if not found:
        raise GrammarError(f"{here}: no treatments here; install fieldnotes again")
    return found


@cache
def known_treatments() -> dict[Active, TreatmentRow]:
    """The treatments that come with the program, read once."""
    return load_treatments(grammars_folder())
