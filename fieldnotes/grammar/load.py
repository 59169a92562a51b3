"""Finds ``grammars/``, reads its files, checks them, and builds one :class:`Grammar`."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from ..errors import GrammarError
from . import schema
from .files import grammars_folder, read_file
from .pattern import VALUE_KINDS, Compiled, PatternCompiler, Symbols, literals
from .protocols import Protocol, StepWords, load_protocols, load_steps

__all__ = ["Grammar", "Rule", "grammars_folder", "load_grammar"]


Lexicon = dict[str, dict[str, list[tuple[tuple[str, ...], frozenset[str]]]]]
"""First word of a phrase -> its second word, or "" -> (whole phrase, ids), longest first."""


@dataclass(frozen=True, slots=True)
class Rule:
    """A compiled rule of ``bindings.toml``."""

    slot: str
    weight: float
    pattern: Compiled
    value: object


@dataclass(frozen=True)
class Grammar:
    """All words and rules of one language, ready to use; see the files in ``grammars/``."""

    language: str
    hash: str
    numbers: schema.NumberWords
    units: schema.Units
    dates: schema.DateWords
    cues: schema.Cues
    repairs: schema.Repairs
    scenes: schema.SceneWords
    names: schema.NameWords
    mentions: schema.MentionWords
    items: schema.ItemWords
    roles: schema.RoleWords
    counts: schema.CountWords
    samples: schema.SampleWords
    chores: schema.ChoreWords
    mishearings: schema.Mishearings
    questions: schema.Questions
    symbols: Symbols
    rules: tuple[Rule, ...]
    lexicon: Lexicon
    cue_lexicon: dict[str, list[tuple[tuple[str, ...], schema.Cue | schema.Pseudo]]]
    repair_lexicon: Lexicon
    step_lexicon: Lexicon
    unit_lexicon: dict[str, list[tuple[tuple[str, ...], schema.Unit]]]
    known_words: frozenset[str]
    protocols: dict[str, Protocol] = field(default_factory=dict)
    steps: tuple[StepWords, ...] = ()


def split_phrase(phrase: str) -> tuple[str, ...]:
    """A phrase as the tokenizer would cut it, near enough for matching."""
    return tuple(phrase.split())


def _forms(phrase: str) -> tuple[str, ...]:
    """A phrase and its plain plural."""
    last = phrase.rsplit(" ", 1)[-1]
    if len(last) < 4 or not last.isalpha() or last[-1] in "sxy" or last.endswith(("ch", "ed")):
        return (phrase,)
    return (phrase, phrase + "s")


def _index(
    entries: Iterable[tuple[str, str]],
) -> Lexicon:
    joined: dict[tuple[str, ...], set[str]] = {}
    for phrase, name in entries:
        joined.setdefault(split_phrase(phrase), set()).add(name)
    out: Lexicon = {}
    for words, names in sorted(joined.items(), key=lambda row: -len(row[0])):
        second = words[1] if len(words) > 1 else ""
        out.setdefault(words[0], {}).setdefault(second, []).append((words, frozenset(names)))
    return out


@cache
def load_grammar(language: str = "en", folder: Path | None = None) -> Grammar:
    """Load and check one language."""
    top = folder or grammars_folder()
    root = top / language
    if not root.is_dir():
        raise GrammarError(f"{root}: there is no grammar for the language {language!r}")
    files = sorted([*root.rglob("*.toml"), *(top / "protocols").glob("*.toml")])
    digest = hashlib.sha256()
    for path in files:
        digest.update(path.read_bytes())
    numbers = read_file(root / "numbers.toml", schema.NumberWords)
    units = read_file(root / "units.toml", schema.Units)
    dates = read_file(root / "dates.toml", schema.DateWords)
    cues = read_file(root / "standing.toml", schema.Cues)
    repairs = read_file(root / "repairs.toml", schema.Repairs)
    scenes = read_file(root / "scenes.toml", schema.SceneWords)
    names = read_file(root / "names.toml", schema.NameWords)
    mentions = read_file(root / "mentions.toml", schema.MentionWords)
    items = read_file(root / "items.toml", schema.ItemWords)
    roles = read_file(root / "roles.toml", schema.RoleWords)
    counts = read_file(root / "counts.toml", schema.CountWords)
    samples = read_file(root / "samples.toml", schema.SampleWords)
    chores = read_file(root / "chores.toml", schema.ChoreWords)
    mishearings = read_file(root / "mishearings.toml", schema.Mishearings)
    bindings = read_file(root / "bindings.toml", schema.Bindings)
    questions = read_file(root / "questions.toml", schema.Questions)
    protocols = load_protocols(top / "protocols")
    steps = load_steps(root / "steps.toml", protocols)
    term_files = sorted((root / "terms").glob("*.toml"))
    terms = [t for path in term_files for t in read_file(path, schema.Terms).term]
    seen: dict[str, str] = {}
    for term in terms:
        if term.id in seen:
            raise GrammarError(f"{root / 'terms'}: the id {term.id!r} is given twice")
        seen[term.id] = term.id

    forms = [(rule, form) for rule in bindings.bind for form in rule.forms]
    words = set().union(
        *(literals(form) for _, form in forms), *(literals(m) for m in bindings.macro.values())
    )
    symbols = Symbols(words)
    for word in sorted(words):
        symbols.of(frozenset({"w"}), word)
        symbols.of(frozenset({"name"}), word)
    for kind in VALUE_KINDS:
        symbols.of(frozenset({kind}), None)
    for word in sorted(words):
        if (
            word in numbers.words
            or word in numbers.tens
            or word in numbers.multipliers
            or word.isdigit()
        ):
            symbols.of(frozenset({"n"}), word)
        if word in numbers.ordinals:
            symbols.of(frozenset({"ord"}), word)
    entries = [
        (form, term.id)
        for term in terms
        for phrase in term.phrases
        for form in _forms(phrase.lower())
    ]
    lexicon = _index(entries)
    for by_second in lexicon.values():
        for phrase_words, ids in (row for rows in by_second.values() for row in rows):
            symbols.of(ids, phrase_words[0] if len(phrase_words) == 1 else None)
    known_ids = {i for term in terms for i in (term.id, term.id.split(".")[0])}
    known_ids |= {*VALUE_KINDS, "w", "name", "b", "end", "start", "per"}
    compiler = PatternCompiler(symbols, bindings.macro, known_ids)
    rules = tuple(
        Rule(
            rule.slot,
            rule.weight,
            compiler.compile(form, f"{root / 'bindings.toml'}: {rule.slot}"),
            rule.value,
        )
        for rule, form in forms
    )
    cue_rows: dict[str, list[tuple[tuple[str, ...], schema.Cue | schema.Pseudo]]] = {}
    every_cue: tuple[schema.Cue | schema.Pseudo, ...] = (*cues.cue, *cues.pseudo)
    for cue in every_cue:
        for phrase in cue.phrases:
            phrase_words = split_phrase(phrase)
            cue_rows.setdefault(phrase_words[0], []).append((phrase_words, cue))
    for cue_list in cue_rows.values():
        cue_list.sort(key=lambda row: (-len(row[0]), isinstance(row[1], schema.Cue)))
    unit_rows: dict[str, list[tuple[tuple[str, ...], schema.Unit]]] = {}
    for unit in units.unit:
        for phrase in unit.phrases:
            phrase_words = split_phrase(phrase)
            unit_rows.setdefault(phrase_words[0], []).append((phrase_words, unit))
    for unit_list in unit_rows.values():
        unit_list.sort(key=lambda row: -len(row[0]))
    repair_entries = [
        (phrase, name)
        for name in ("repair", "add", "total", "filler")
        for phrase in getattr(repairs, name).phrases
    ]
    known = {w for by in lexicon.values() for rows in by.values() for ws, _ in rows for w in ws}
    known |= {w for rows in cue_rows.values() for ws, _ in rows for w in ws}
    known |= words | set(dates.weekdays) | set(dates.months) | set(numbers.words)
    for between in (
        scenes.next,
        scenes.all,
        scenes.back,
        scenes.same,
        scenes.headings,
        scenes.not_names,
    ):
        known |= {w for phrase in between.phrases for w in phrase.split()}
    return Grammar(
        language=language,
        hash=digest.hexdigest()[:16],
        numbers=numbers,
        units=units,
        dates=dates,
        cues=cues,
        repairs=repairs,
        scenes=scenes,
        names=names,
        mentions=mentions,
        items=items,
        roles=roles,
        counts=counts,
        samples=samples,
        chores=chores,
        mishearings=mishearings,
        questions=questions,
        symbols=symbols,
        rules=rules,
        lexicon=lexicon,
        cue_lexicon=cue_rows,
        repair_lexicon=_index(repair_entries),
        step_lexicon=_index(_step_phrases(steps)),
        unit_lexicon=unit_rows,
        known_words=frozenset(known),
        protocols={str(k): v for k, v in protocols.items()},
        steps=steps,
    )


def _step_phrases(steps: Iterable[StepWords]) -> Iterable[tuple[str, str]]:
    """Each phrase of a step with "outcome index", the index into the grammar's steps."""
    for index, step in enumerate(steps):
        for outcome in ("done", "skipped", "spoiled"):
            for phrase in getattr(step, outcome):
                yield phrase, f"{outcome} {index}"
