"""Sampling protocols as data: the steps of each method, what proves them, and how they are said.

One file a method in ``grammars/protocols/``, the steps that methods share in ``shared.toml`` and
the sources in ``sources.toml`` beside them, and the spoken phrases for the steps in each language's
``steps.toml``. Everything is checked on loading:
unknown keys, sources, fields of the records and step ids are errors that name file and key.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    RootModel,
    TypeAdapter,
    ValidationError,
    ValidationInfo,
    field_validator,
    model_validator,
)

from ..errors import GrammarError
from ..records import AskField, Method, Sample, Visit
from .files import grammars_folder, read_file

Guideline = Literal["brood_comb", "honey_comb"]
"""Whose advice on the comb is followed: bees from the brood nest, or from honey comb or super."""
Miss = Literal["spoils", "colony", "compare"]
"""What a missed step does: spoils the count, risks the colony, or only makes counts compare ill."""
Reads = Literal["low", "high", "either"]
"""Which way a figure errs when the step went wrong."""
Outcome = Literal["done", "outside", "skipped", "spoiled", "not_said"]
"""``outside``: done in another way, or short of the tolerance, without spoiling the count."""

NO_SOURCE = "common practice, no source"

_FIELDS: dict[str, type[BaseModel]] = {
    name: model for model in (Visit, Sample) for name in model.model_fields.keys() - model.PARTS
}


@cache
def _possible_values(field: str) -> TypeAdapter[object]:
    return TypeAdapter(_FIELDS[field].model_fields[field].annotation or object)


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Cited(_Strict):
    """What one source asks for. ``source`` is a key of ``sources.toml``, resolved on loading.

    ``status``: ``read`` (seen in the source), ``memory`` (recalled, not confirmed) or
    ``common practice`` (no source). ``check`` names the check value that the tests hold it to.
    """

    says: str = Field(min_length=1)
    source: str = NO_SOURCE
    section: str | None = None
    status: Literal["read", "memory", "common practice"] = "common practice"
    check: str | None = None

    @field_validator("source")
    @classmethod
    def _resolved(cls, key: str, info: ValidationInfo) -> str:
        sources: Mapping[str, str] = (info.context or {}).get("sources", {})
        if key not in sources:
            raise ValueError(f"unknown source {key!r}; add it to sources.toml")
        return sources[key]

    @model_validator(mode="after")
    def _status_fits(self) -> Cited:
        if (self.status == "common practice") != (self.source == NO_SOURCE):
            raise ValueError("a source needs status 'read' or 'memory'; common practice has none")
        return self

    @property
    def reference(self) -> str:
        """The source in one line, saying so where it is only recalled."""
        section = f", {self.section}" if self.section else ""
        return f"{self.source}{section}" + (", from memory" if self.status == "memory" else "")


class Proof(_Strict):
    """A field that proves a step, and the values that do. Without a condition any value does.

    ``otherwise`` says what any other value means; ``spoils_below`` marks numbers that miss
    ``at_least`` by so much that the count is spoiled.
    """

    field: str
    equals: bool | str | None = None
    one_of: tuple[str, ...] = ()
    at_least: float | None = None
    at_most: float | None = None
    spoils_below: float | None = None
    otherwise: Literal["outside", "skipped", "spoiled", "not_said"] = "outside"

    @field_validator("field")
    @classmethod
    def _exists(cls, name: str) -> str:
        if name not in _FIELDS:
            raise ValueError(f"{name!r} is no field of a sample or a visit")
        return name

    @model_validator(mode="after")
    def _possible(self) -> Proof:
        values = [v for v in (self.equals, *self.one_of) if v is not None]
        adapter = _possible_values(self.field)
        for value in values:
            try:
                adapter.validate_python(value, strict=True)
            except ValidationError:
                raise ValueError(f"{self.field} can never be {value!r}") from None
        return self

    def verdict(self, value: object) -> Outcome:
        """What a value of the field, not None, says of the step."""
        if self.equals is not None:
            return "done" if value == self.equals else self.otherwise
        if self.one_of:
            return "done" if value in self.one_of else self.otherwise
        if not isinstance(value, int | float):
            return "done"
        if self.spoils_below is not None and value < self.spoils_below:
            return "spoiled"
        low = float("-inf") if self.at_least is None else self.at_least
        high = float("inf") if self.at_most is None else self.at_most
        return "done" if low <= value <= high else self.otherwise


class Warn(_Strict):
    """What to tell the keeper when the step was missed, unless the field named is true."""

    text: str
    unless: str | None = None

    @field_validator("unless")
    @classmethod
    def _exists(cls, name: str | None) -> str | None:
        if name is not None and name not in _FIELDS:
            raise ValueError(f"{name!r} is no field of a sample or a visit")
        return name


class Step(_Strict):
    """One step: what to do, why, what a miss means, what proves it and who asks for it.

    ``amiss`` says in a clause what is wrong when the step was missed or went wrong. ``optional``
    steps are not counted among those that a note leaves out. A step with a ``guideline`` belongs to
    the checklist of that guideline only.
    """

    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    text: str = Field(min_length=1, max_length=100)
    reason: str = Field(min_length=1)
    amiss: str = Field(min_length=1)
    miss: Miss
    reads: Reads | None = None
    optional: bool = False
    guideline: Guideline | None = None
    warning: Warn | None = None
    proof: tuple[Proof, ...] = ()
    cited: tuple[Cited, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _says_which_way(self) -> Step:
        if self.miss == "spoils" and self.reads is None:
            raise ValueError("a step that spoils the count says which way it reads")
        return self


class Believable(_Strict):
    """Bounds outside which no practitioner would believe the value; wide on purpose."""

    min: float | None = None
    max: float | None = None
    source: Literal["common practice, no source"] = "common practice, no source"

    def holds(self, value: float) -> bool:
        """Whether ``value`` lies within the bounds."""
        return (self.min is None or value >= self.min) and (self.max is None or value <= self.max)


class Protocol(_Strict):
    """One method: what to ask for, its believable values, steps in order, and cautions.

    ``needs`` is what a sample must state to be used, in the order to ask; of these ``sharpens``
    can be answered by "don't know".
    """

    method: Method
    name: str
    needs: tuple[AskField, ...]
    sharpens: tuple[AskField, ...] = ()
    believable: dict[str, Believable]
    step: tuple[Step, ...] = Field(min_length=1)
    caution: tuple[Cited, ...] = ()

    def steps(self, guideline: Guideline) -> tuple[Step, ...]:
        """The steps in order, with the choice of comb that ``guideline`` asks for."""
        return tuple(step for step in self.step if step.guideline in (None, guideline))

    @model_validator(mode="after")
    def _consistent(self) -> Protocol:
        if twice := _first_twice(step.id for step in self.step):
            raise ValueError(f"step {twice!r} stands twice")
        if extra := set(self.sharpens) - set(self.needs):
            raise ValueError(f"sharpens: {sorted(extra)} is not among the needs")
        if unknown := self.believable.keys() - Sample.model_fields.keys():
            raise ValueError(f"believable: {sorted(unknown)} is no field of a sample")
        return self


class StepWords(_Strict):
    """How keepers speak of a step: phrases for done, skipped and spoiled, in lower case."""

    id: str
    methods: tuple[Method, ...] = Field(min_length=1)
    done: tuple[str, ...] = ()
    skipped: tuple[str, ...] = ()
    spoiled: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _plain(self) -> StepWords:
        for phrase in self.phrases:
            if phrase != " ".join(phrase.lower().split()) or not 1 <= len(phrase.split()) <= 6:
                raise ValueError(f"phrase {phrase!r} must be 1 to 6 words in lower case")
        return self

    @property
    def phrases(self) -> tuple[str, ...]:
        """All phrases of the step, whatever the outcome."""
        return self.done + self.skipped + self.spoiled


_Raw = RootModel[dict[str, Any]]


class _Shared(_Strict):
    """Raw steps and cautions that methods share; they are checked as part of each method."""

    step: tuple[dict[str, Any], ...]
    caution: tuple[dict[str, Any], ...]


class _StepsFile(_Strict):
    step: tuple[StepWords, ...] = Field(min_length=1)


class _SourcesFile(_Strict):
    sources: dict[str, str]


def load_sources(folder: Path) -> dict[str, str]:
    """The publications that protocols and measures cite, by their short keys."""
    return checked(folder / "sources.toml", _SourcesFile).sources


def load_protocols(folder: Path) -> dict[Method, Protocol]:
    """Read every method's file in ``folder``, by method; raise GrammarError with file and key."""
    sources = load_sources(folder)
    shared = checked(folder / "shared.toml", _Shared)
    protocols: dict[Method, Protocol] = {}
    for path in sorted(folder.glob("*.toml")):
        if path.stem in ("sources", "shared"):
            continue
        raw = _with_shared(path, read_file(path, _Raw).root, shared)
        protocol = checked(path, Protocol, raw, context={"sources": sources})
        if protocol.method != path.stem:
            raise GrammarError(f"{path}: method: {protocol.method!r} must be the file's own name")
        protocols[protocol.method] = protocol
    if not protocols:
        raise GrammarError(f"{folder}: no protocols here; install fieldnotes again")
    return protocols


def _with_shared(path: Path, raw: dict[str, Any], shared: _Shared) -> dict[str, Any]:
    """The method's table with its steps in the order it names, its own before the shared ones."""
    own = {step.get("id"): step for step in raw.get("step", [])}
    steps = {step.get("id"): step for step in shared.step} | own
    order = raw.pop("order", [])
    if unknown := [name for name in order if name not in steps]:
        raise GrammarError(
            f"{path}: order: no step {unknown[0]!r}, neither here nor in shared.toml"
        )
    if idle := own.keys() - set(order):
        raise GrammarError(f"{path}: order: step {sorted(map(str, idle))[0]!r} has no place in it")
    cautions = [*raw.get("caution", []), *shared.caution]
    return raw | {"step": [steps[name] for name in order], "caution": cautions}


def load_steps(
    path: Path, protocols: Mapping[Method, Protocol] | None = None
) -> tuple[StepWords, ...]:
    """Read a language's phrases for the steps; raise GrammarError with file and key.

    With ``protocols``, every step must exist in each of its methods, and no phrase may stand for
    two steps or outcomes of one method.
    """
    rows = checked(path, _StepsFile).step
    claimed: dict[tuple[Method, str], str] = {}
    for number, row in enumerate(rows):
        for method in row.methods:
            known = None if protocols is None else protocols.get(method)
            if protocols is not None and (known is None or row.id not in _ids(known)):
                raise GrammarError(f"{path}: step.{number}: {method} has no step {row.id!r}")
            for phrase in row.phrases:
                if other := claimed.get((method, phrase)):
                    raise GrammarError(
                        f"{path}: step.{number}: {phrase!r} already stands under {other!r}"
                    )
                claimed[method, phrase] = row.id
    return rows


@cache
def known_protocols() -> Mapping[Method, Protocol]:
    """The protocols that come with the program, read once."""
    return MappingProxyType(load_protocols(grammars_folder() / "protocols"))


M = TypeVar("M", bound=BaseModel)


def checked(
    path: Path, schema: type[M], data: object = None, *, context: dict[str, Any] | None = None
) -> M:
    """The file at ``path``, or ``data`` already read from it, as ``schema``.

    Raises GrammarError, one line with file and key.
    """
    if data is None:
        data = read_file(path, _Raw).root
    try:
        return schema.model_validate(data, context=context)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "file"
        raise GrammarError(f"{path}: {key}: {first['msg'].removeprefix('Value error, ')}") from None


def _ids(protocol: Protocol) -> set[str]:
    return {step.id for step in protocol.step}


def _first_twice(names: Iterable[str]) -> str | None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            return name
        seen.add(name)
    return None
