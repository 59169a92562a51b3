"""Fit what each mark of evidence weighs for or against a colony's name, on marked notes.

    python -m tests.accuracy.fit_names [--write]        needs scikit-learn (the extra ``dev``)

A name of a note is a colony's if the marks of that note say so. A logistic model is fitted on the
evidence that :mod:`fieldnotes.reading.scenes.evidence` gathers, and a second on how the names of a
note stand among each other by the first. Since the names of one writer are alike, the figures are
those of each writer's notes with models fitted on the other writers; the second model is fitted on
such chances, too. ``--write`` puts the weights fitted on all notes into
``grammars/en/name_weights.toml``.
"""

from __future__ import annotations

import argparse
import math
import tomllib
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fieldnotes.grammar import Vocabulary, grammars_folder, load_grammar
from fieldnotes.grammar.schema import NameWeights
from fieldnotes.reading import Reader, declared
from fieldnotes.reading.clean import clean
from fieldnotes.reading.scenes.evidence import Named
from fieldnotes.reading.scenes.scored import standing_among
from fieldnotes.reading.tables import find_tables, prepare

from . import score
from .measure import FOLDER, load

STRENGTH = 1.0
"""Inverse strength of the L2 penalty."""
OF_NAMES = 0.25
"""Weight of a name from the notes for names alone: they were written to be hard, not to be usual."""
PHRASES = Path(__file__).parents[1] / "corpus" / "en"
OF_PHRASES = "phrases"
PHRASE = 0.1
"""Weight of a name from a phrase, which is hardly a note: keepers who name no colony speak so."""
THRESHOLDS = (0.15, 0.3, 0.45, 0.6, 0.7, 0.8, 0.9, 0.95)
LEAST = 0.005
"""Weights nearer to 0 are not written."""


@dataclass
class Example:
    """One possible name of a marked note, and whether it is a colony's."""

    writer: str
    note: str
    named: Named
    colony: bool

    @property
    def weight(self) -> float:
        if self.writer == OF_PHRASES:
            return PHRASE
        return OF_NAMES if self.writer.startswith("names") else 1.0


def examples(reader: Reader) -> Iterator[Example]:
    """All possible names of the notes that rules are written on, and of notes for names alone."""
    for path in sorted((FOLDER / "names").glob("names-*.jsonl")):
        for row in score.load(path):
            colonies = {score.name(name) for name in row["names"]}
            yield from _judged(path.stem, row, colonies, names_of(reader, row["text"]))
    yield from _of_phrases(reader)
    for writer, rows in load("learn").items():
        for row in rows:
            colonies = {score.name(v["colony"]) for v in row["visits"] if v.get("colony")}
            found = names_of(reader, row["text"], row.get("context", {}))
            yield from _judged(writer, row, colonies, found)


def _of_phrases(reader: Reader) -> Iterator[Example]:
    """The possible names of the corpora of phrases, most of which name no colony."""
    for path in sorted(PHRASES.glob("*.toml")):
        file = tomllib.loads(path.read_text("utf-8"))
        for row in [*file.get("example", ()), *file["nothing"]]:
            expect = row.get("expect", ())
            visits = [expect] if isinstance(expect, dict) else expect
            colonies = {score.name(v["colony"]) for v in visits if v.get("colony")}
            for text in row["texts"]:
                named = {"id": f"{path.stem}: {text}"}
                yield from _judged(OF_PHRASES, named, colonies, names_of(reader, text))


def _judged(
    writer: str, row: dict[str, Any], colonies: set[str], found: list[Named]
) -> Iterator[Example]:
    for named in found:
        own = {score.name(n) for run in named.runs for n in (run.name, run.whole)}
        yield Example(writer, row["id"], named, not own.isdisjoint(colonies))


def names_of(reader: Reader, text: str, context: Mapping[str, Any] | None = None) -> list[Named]:
    """Every possible name of a text with its evidence; ``context`` is the keeper's vocabulary."""
    row = reader.row(prepare(clean(text).text))
    tables = find_tables(row, reader.grammar.scenes.columns)
    roster = declared.roster(Vocabulary.model_validate(context or {}))
    return reader.scenes.possible_names(row, tables, roster)


def chances_left_out(found: list[Example], matrix: Any, colony: Any) -> Any:
    """The chance of each name by a model fitted on the other writers' notes."""
    import numpy as np

    writers = np.array([e.writer for e in found])
    weights = np.array([e.weight for e in found])
    chances = np.zeros(len(found))
    for writer in sorted(set(writers)):
        rest = writers != writer
        model = _fit(matrix[rest], colony[rest], weights[rest])
        chances[~rest] = model.predict_proba(matrix[~rest])[:, 1]
    return chances


def _fit(matrix: Any, colony: Any, weights: Any) -> Any:
    from sklearn.linear_model import LogisticRegression

    return LogisticRegression(C=STRENGTH, max_iter=3000).fit(matrix, colony, weights)


def standings(found: list[Example], chances: Any) -> list[dict[str, float]]:
    """How each name stands among the others of its note by these chances."""
    notes: dict[tuple[str, str], list[int]] = defaultdict(list)
    for k, example in enumerate(found):
        notes[example.writer, example.note].append(k)
    standing: list[dict[str, float]] = [{} for _ in found]
    for own in notes.values():
        odds = [math.log(chances[k] / (1 - chances[k])) for k in own]
        evidence = [found[k].named.evidence for k in own]
        for k, marks in zip(own, standing_among(odds, evidence), strict=True):
            standing[k] = marks
    return standing


def _print(title: str, colony: Any, chances: Any, part: Any) -> None:
    import numpy as np

    loss = -np.log(np.where(colony, chances, 1 - chances))[part].mean()
    print(f"  {title}: log loss {loss:.4f}")
    for least in THRESHOLDS:
        taken = part & (chances >= least)
        print(
            f"    chance {least}: {(taken & colony).sum()} right, {(taken & ~colony).sum()} wrong"
        )


def _write(
    bias: float,
    weights: dict[str, float],
    among_bias: float,
    among: dict[str, float],
    kept: NameWeights,
) -> None:
    lines = [
        "# What each mark of evidence weighs for (+) or against (-) a name as a colony's, in log-odds.",
        "# Fitted on marked notes by `python -m tests.accuracy.fit_names --write`, the thresholds chosen by hand.",
        f"bias = {bias:.2f}",
        f"among_bias = {among_bias:.2f}",
        "# chances from which a name shows a visit by itself, is taken, is taken and asked about, and is guessed at",
        f"certain = {kept.certain}",
        f"take = {kept.take}",
        f"ask = {kept.ask}",
        f"spare = {kept.spare}",
        "",
        "# how a name stands among the other names of its note",
        "[among]",
        *(f"{mark} = {weight:.2f}" for mark, weight in sorted(among.items())),
        "",
        "[weights]",
        *(f"{mark} = {weight:.2f}" for mark, weight in sorted(weights.items())),
    ]
    path = grammars_folder() / "en" / "name_weights.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--write", action="store_true", help="keep the weights")
    parser.add_argument("-v", "--verbose", action="store_true", help="names misjudged")
    args = parser.parse_args()
    import numpy as np
    from sklearn.feature_extraction import DictVectorizer

    grammar = load_grammar()
    found = list(examples(Reader(grammar)))
    vectors, among_vectors = DictVectorizer(), DictVectorizer(sparse=False)
    matrix = vectors.fit_transform([dict.fromkeys(e.named.evidence, 1.0) for e in found])
    colony = np.array([e.colony for e in found])
    usual = np.array([e.weight == 1 for e in found])
    own = chances_left_out(found, matrix, colony)
    among_matrix = among_vectors.fit_transform(standings(found, own))
    chances = chances_left_out(found, among_matrix, colony)
    phrases = np.array([e.writer == OF_PHRASES for e in found])
    parts = (("usual notes", usual), ("notes for names", ~usual & ~phrases), ("phrases", phrases))
    for title, part in parts:
        print(f"{title}: {part.sum()} possible names, {colony[part].sum()} of colonies")
        _print("each writer left out, by own evidence", colony, own, part)
        _print("and among the names of the note", colony, chances, part)
    if args.verbose:
        for k in np.argsort(-np.abs(chances - colony)):
            if abs(chances[k] - colony[k]) < 0.5:
                break
            e = found[k]
            print(f"{chances[k]:.2f} {e.note} {e.named.runs[0].whole!r}", *sorted(e.named.evidence))
    if args.write:
        share = np.array([e.weight for e in found])
        model = _fit(matrix, colony, share)
        among = _fit(among_matrix, colony, share)
        weights = zip(vectors.feature_names_, model.coef_[0], strict=True)
        _write(
            model.intercept_[0],
            {mark: weight for mark, weight in weights if abs(weight) >= LEAST},
            among.intercept_[0],
            dict(zip(among_vectors.feature_names_, among.coef_[0], strict=True)),
            grammar.name_weights,
        )


if __name__ == "__main__":
    main()
