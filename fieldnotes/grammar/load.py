"""Reads the files of ``grammars/``, checks them, and compiles them into one :class:`Grammar`."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from ..errors import GrammarError
from . import schema
from .files import grammars_folder, read_file, read_ranks
from .kept import kept
from .lexicon import ByFirstWord, Lexicon, by_first_word, by_two_words, with_plural, words_of
from .pattern import VALUE_KINDS, Compiled, PatternCompiler, Symbols, literals
from .protocols import Protocol, StepWords, load_protocols, load_steps

__all__ = ["Grammar", "Lexicon", "Rule", "grammars_folder", "load_grammar"]


@dataclass(frozen=True, slots=True)
class Rule:
    """A compiled rule of ``bindings.toml``."""

    slot: str
    weight: float
    pattern: Compiled
    value: object


@dataclass(frozen=True)
class Files:
    """All files of one language as they stand, and the protocols."""

    numbers: schema.NumberWords
    units: schema.Units
    dates: schema.DateWords
    cues: schema.Cues
    repairs: schema.Repairs
    scenes: schema.SceneWords
    names: schema.NameWords
    name_weights: schema.NameWeights
    word_ranks: dict[str, int]
    mentions: schema.MentionWords
    items: schema.ItemWords
    roles: schema.RoleWords
    counts: schema.CountWords
    samples: schema.SampleWords
    chores: schema.ChoreWords
    mishearings: schema.Mishearings
    bindings: schema.Bindings
    questions: schema.Questions
    protocols: dict[str, Protocol]
    steps: tuple[StepWords, ...]
    terms: tuple[schema.Term, ...]


@dataclass(frozen=True)
class Grammar(Files):
    """All words and rules of one language, ready to use; see the files in ``grammars/``."""

    language: str
    hash: str
    symbols: Symbols
    rules: tuple[Rule, ...]
    lexicon: Lexicon
    cue_lexicon: ByFirstWord[schema.Cue | schema.Pseudo]
    repair_lexicon: Lexicon
    step_lexicon: Lexicon
    unit_lexicon: ByFirstWord[schema.Unit]
    known_words: frozenset[str]


@cache
def load_grammar(
    language: str = "en", folder: Path | None = None, keep_in: Path | None = None
) -> Grammar:
    """Load and check one language; raise :class:`GrammarError` naming the file and the key.

    With ``keep_in`` the compiled grammar is kept in that folder and taken from there as long as
    the files are the same.
    """
    top = folder or grammars_folder()
    root = top / language
    if not root.is_dir():
        raise GrammarError(f"{root}: there is no grammar for the language {language!r}")
    digest = hashlib.sha256()
    for path in sorted(
        [*root.rglob("*.toml"), *root.glob("*.txt"), *(top / "protocols").glob("*.toml")]
    ):
        digest.update(path.read_bytes())
    made_from = digest.hexdigest()[:16]

    def compiled() -> Grammar:
        return _compiled(_read(top, root), root, language, made_from)

    return kept(keep_in, made_from, Grammar, compiled) if keep_in else compiled()


def _read(top: Path, root: Path) -> Files:
    """Read every file of the language in ``root`` and the protocols beside it."""
    protocols = load_protocols(top / "protocols")
    return Files(
        numbers=read_file(root / "numbers.toml", schema.NumberWords),
        units=read_file(root / "units.toml", schema.Units),
        dates=read_file(root / "dates.toml", schema.DateWords),
        cues=read_file(root / "standing.toml", schema.Cues),
        repairs=read_file(root / "repairs.toml", schema.Repairs),
        scenes=read_file(root / "scenes.toml", schema.SceneWords),
        names=read_file(root / "names.toml", schema.NameWords),
        name_weights=read_file(root / "name_weights.toml", schema.NameWeights),
        word_ranks=read_ranks(root / "words.txt"),
        mentions=read_file(root / "mentions.toml", schema.MentionWords),
        items=read_file(root / "items.toml", schema.ItemWords),
        roles=read_file(root / "roles.toml", schema.RoleWords),
        counts=read_file(root / "counts.toml", schema.CountWords),
        samples=read_file(root / "samples.toml", schema.SampleWords),
        chores=read_file(root / "chores.toml", schema.ChoreWords),
        mishearings=read_file(root / "mishearings.toml", schema.Mishearings),
        bindings=read_file(root / "bindings.toml", schema.Bindings),
        questions=read_file(root / "questions.toml", schema.Questions),
        protocols={str(name): protocol for name, protocol in protocols.items()},
        steps=load_steps(root / "steps.toml", protocols),
        terms=_terms(root / "terms"),
    )


def _terms(folder: Path) -> tuple[schema.Term, ...]:
    terms: dict[str, schema.Term] = {}
    for path in sorted(folder.glob("*.toml")):
        for term in read_file(path, schema.Terms).term:
            if terms.setdefault(term.id, term) is not term:
                raise GrammarError(f"{folder}: the id {term.id!r} is given twice")
    return tuple(terms.values())


def _compiled(files: Files, root: Path, language: str, made_from: str) -> Grammar:
    lexicon = by_two_words(
        (form, term.id)
        for term in files.terms
        for phrase in term.phrases
        for form in with_plural(phrase)
    )
    spelled = set().union(
        *(literals(form) for rule in files.bindings.bind for form in rule.forms),
        *(literals(body) for body in files.bindings.macro.values()),
    )
    symbols = _symbols(files, lexicon, spelled)
    cues: tuple[schema.Cue | schema.Pseudo, ...] = (*files.cues.pseudo, *files.cues.cue)
    cue_lexicon = by_first_word((phrase, cue) for cue in cues for phrase in cue.every_phrase)
    repairs = files.repairs
    return Grammar(
        **vars(files),
        language=language,
        hash=made_from,
        symbols=symbols,
        rules=tuple(_rules(files, symbols, root / "bindings.toml")),
        lexicon=lexicon,
        cue_lexicon=cue_lexicon,
        repair_lexicon=by_two_words(
            (phrase, name)
            for name in ("repair", "add", "total", "settled", "void", "unsettled", "filler")
            for phrase in getattr(repairs, name).phrases
        ),
        step_lexicon=by_two_words(_step_phrases(files.steps)),
        unit_lexicon=by_first_word(
            (phrase, unit) for unit in files.units.unit for phrase in unit.phrases
        ),
        known_words=frozenset(
            spelled
            | words_of(lexicon)
            | {word for rows in cue_lexicon.values() for words, _ in rows for word in words}
            | set(_plain_words(files))
        ),
    )


def _symbols(files: Files, lexicon: Lexicon, spelled: set[str]) -> Symbols:
    """A character for every kind of item that a note can hold and a pattern tell apart."""
    numbers = files.numbers
    symbols = Symbols(spelled)
    for word in sorted(spelled):
        symbols.of(frozenset({"w"}), word)
        symbols.of(frozenset({"name"}), word)
    for kind in VALUE_KINDS:
        symbols.of(frozenset({kind}), None)
    for word in sorted(spelled):
        if word.isdigit() or any(
            word in said for said in (numbers.words, numbers.tens, numbers.multipliers)
        ):
            symbols.of(frozenset({"n"}), word)
        if word in numbers.ordinals:
            symbols.of(frozenset({"ord"}), word)
    for by_second in lexicon.values():
        for words, ids in (row for rows in by_second.values() for row in rows):
            symbols.of(ids, words[0] if len(words) == 1 else None)
    return symbols


def _rules(files: Files, symbols: Symbols, path: Path) -> Iterable[Rule]:
    known_ids = {i for term in files.terms for i in (term.id, term.id.split(".")[0])}
    known_ids |= {*VALUE_KINDS, "w", "name", "b", "end", "start", "per"}
    compiler = PatternCompiler(symbols, files.bindings.macro, known_ids)
    for rule in files.bindings.bind:
        for form in rule.forms:
            pattern = compiler.compile(form, f"{path}: {rule.slot}")
            if rule.value is None and not pattern.takes:
                raise GrammarError(
                    f"{path}: {rule.slot}: {form!r} takes no value, nor is one fixed"
                )
            yield Rule(rule.slot, rule.weight, pattern, rule.value)


def _plain_words(files: Files) -> Iterable[str]:
    """Words that stand for themselves, outside of terms, cues and patterns."""
    yield from files.dates.weekdays
    yield from files.dates.months
    yield from files.numbers.words
    scenes = files.scenes
    for part in (
        scenes.next, scenes.all, scenes.back, scenes.same, scenes.headings, scenes.not_names,
    ):  # fmt: skip
        for phrase in part.phrases:
            yield from phrase.split()


def _step_phrases(steps: Iterable[StepWords]) -> Iterable[tuple[str, str]]:
    """Each phrase of a step with "outcome index", the index into the grammar's steps."""
    for index, step in enumerate(steps):
        for outcome in ("done", "skipped", "spoiled"):
            for phrase in getattr(step, outcome):
                yield phrase, f"{outcome} {index}"
