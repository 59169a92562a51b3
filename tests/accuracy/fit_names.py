"""Fit what each mark of evidence weighs for or against a colony's name, on marked notes.

    python -m tests.accuracy.fit_names [--write]        needs scikit-learn (the extra ``dev``)

A name of a note is a colony's if the marks of that note say so. A logistic model is fitted on the
evidence that :mod:`fieldnotes.reading.scenes.evidence` gathers. Since the names of one writer are alike,
the figures are those of each writer's notes with a model fitted on the other writers. ``--write``
puts the weights fitted on all notes into ``grammars/en/name_weights.toml``.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from fieldnotes.grammar import Vocabulary, grammars_folder, load_grammar
from fieldnotes.reading import Reader, declared
from fieldnotes.reading.clean import clean
from fieldnotes.reading.scenes.evidence import Named
from fieldnotes.reading.tables import find_tables, prepare

from . import score
from .measure import FOLDER, load

STRENGTH = 1.0
"""Inverse strength of the L2 penalty."""
OF_NAMES = 0.25
"""Weight of a name from the notes for names alone: they were written to be hard, not to be usual."""
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
        return OF_NAMES if self.writer.startswith("names") else 1.0


def examples(reader: Reader) -> Iterator[Example]:
    """All possible names of the notes that rules are written on, and of notes for names alone."""
    for path in sorted((FOLDER / "names").glob("names-*.jsonl")):
        for row in score.load(path):
            colonies = {score.name(name) for name in row["names"]}
            yield from _judged(path.stem, row, colonies, names_of(reader, row["text"]))
    for writer, rows in load("learn").items():
        for row in rows:
            colonies = {score.name(v["colony"]) for v in row["visits"] if v.get("colony")}
            found = names_of(reader, row["text"], row.get("context", {}))
            yield from _judged(writer, row, colonies, found)


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


def _write(bias: float, weights: dict[str, float], kept: Any) -> None:
    lines = [
        "# What each mark of evidence weighs for (+) or against (-) a name as a colony's, in log-odds.",
        "# Fitted on marked notes by `python -m tests.accuracy.fit_names --write`, the thresholds chosen by hand.",
        f"bias = {bias:.2f}",
        "# chances from which a name shows a visit by itself, is taken, is taken and asked about, and is guessed at",
        f"certain = {kept.certain}",
        f"take = {kept.take}",
        f"ask = {kept.ask}",
        f"spare = {kept.spare}",
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
    vectors = DictVectorizer()
    matrix = vectors.fit_transform([dict.fromkeys(e.named.evidence, 1.0) for e in found])
    colony = np.array([e.colony for e in found])
    chances = chances_left_out(found, matrix, colony)
    usual = np.array([e.weight == 1 for e in found])
    for title, part in (("usual notes", usual), ("notes for names", ~usual)):
        print(f"{title}: {part.sum()} possible names, {colony[part].sum()} of colonies")
        loss = -np.log(np.where(colony, chances, 1 - chances))[part].mean()
        print(f"  each writer left out: log loss {loss:.4f}")
        for least in (0.15, 0.3, 0.4, 0.5, 0.65, 0.8):
            taken = part & (chances >= least)
            right, wrong = (taken & colony).sum(), (taken & ~colony).sum()
            print(f"  chance {least}: {right} right, {wrong} wrong")
    if args.verbose:
        for k in np.argsort(-np.abs(chances - colony)):
            if abs(chances[k] - colony[k]) < 0.5:
                break
            e = found[k]
            print(f"{chances[k]:.2f} {e.note} {e.named.runs[0].whole!r}", *sorted(e.named.evidence))
    model = _fit(matrix, colony, np.array([e.weight for e in found]))
    weights = dict(zip(vectors.feature_names_, model.coef_[0], strict=True))
    if args.write:
        kept = {mark: weight for mark, weight in weights.items() if abs(weight) >= LEAST}
        _write(model.intercept_[0], kept, grammar.name_weights)


if __name__ == "__main__":
    main()
