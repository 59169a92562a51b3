"""Fit the weights of the binding rules on marked notes, and say whether unseen notes gain.

    python -m tests.accuracy.fit [--rounds N] [--folds N] [--report]

Each ``[[bind]]`` block of ``bindings.toml`` has one weight. A round tries each block's weight a
step up and down and keeps what lowers the loss, 1 - F1 of the critical fields + twice the share of
silent wrongs. Since weights can be fitted to anything, the gain that counts is the one on notes left
out of the fit: the notes are dealt into folds, and each fold is measured with the weights fitted on
the others. ``--report`` measures the weights fitted on all of ``learn`` on the report notes.

Nothing is written: it prints the blocks whose weight would change, with the loss before and after.
"""

from __future__ import annotations

import argparse
import dataclasses
import itertools
from collections.abc import Sequence
from typing import Any

from fieldnotes.grammar import load_grammar
from fieldnotes.grammar.load import Rule
from fieldnotes.reading import Reader
from fieldnotes.reading.binding.rules import index_rules

from . import score
from .measure import load, read_row

STEPS = (-0.8, -0.3, 0.3, 0.8)
SILENT = 2.0
"""What a silent wrong costs against a point of F1."""

Rows = Sequence[dict[str, Any]]


class Weighed:
    """A reader whose rules can be given other weights."""

    def __init__(self) -> None:
        grammar = load_grammar()
        self.blocks = [n for n, block in enumerate(grammar.bindings.bind) for _ in block.forms]
        self.names = [block.slot for block in grammar.bindings.bind]
        self.usual = [block.weight for block in grammar.bindings.bind]
        self.reader = Reader(grammar)
        self.rules: tuple[Rule, ...] = grammar.rules

    def loss(self, weights: Sequence[float], rows: Rows) -> tuple[float, dict[str, float]]:
        """What these weights cost on these notes, and the headline figures."""
        rules = tuple(
            dataclasses.replace(rule, weight=weights[block])
            for rule, block in zip(self.rules, self.blocks, strict=True)
        )
        self.reader.grammar = dataclasses.replace(self.reader.grammar, rules=rules)
        self.reader.rule_index = index_rules(rules)
        counts = [score.score_note(row, read_row(self.reader, row)) for row in rows]
        told = score.headline(counts)
        return 1 - told["critical F1"] + SILENT * told["silent wrong"], told


def fit(model: Weighed, rows: Rows, rounds: int) -> list[float]:
    """Weights that cost less on these notes, found block by block."""
    weights = list(model.usual)
    best, _ = model.loss(weights, rows)
    for _ in range(rounds):
        before = best
        for block, step in itertools.product(range(len(weights)), STEPS):
            tried = [*weights]
            tried[block] += step
            cost, _ = model.loss(tried, rows)
            if cost < best - 1e-4:
                weights, best = tried, cost
        if best > before - 1e-4:
            break
    return weights


def told(title: str, before: dict[str, float], after: dict[str, float]) -> None:
    print(
        f"{title:12}",
        "  ".join(
            f"{name} {before[name]:.3f} -> {after[name]:.3f}"
            for name in ("critical F1", "F1", "silent wrong", "silent miss")
        ),
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--rounds", type=int, default=1)
    parser.add_argument("--folds", type=int, default=3)
    parser.add_argument("--report", action="store_true", help="measure the report notes too")
    args = parser.parse_args()
    model = Weighed()
    rows = [row for notes in load("learn").values() for row in notes]
    for fold in range(args.folds):
        held = rows[fold :: args.folds]
        weights = fit(model, [row for row in rows if row not in held], args.rounds)
        told(
            f"left out {fold + 1}",
            model.loss(model.usual, held)[1],
            model.loss(weights, held)[1],
        )
    weights = fit(model, rows, args.rounds)
    told("fitted", model.loss(model.usual, rows)[1], model.loss(weights, rows)[1])
    for name, old, new in zip(model.names, model.usual, weights, strict=True):
        if new != old:
            print(f"  {name}: {old:g} -> {new:g}")
    if args.report:
        rows = [row for notes in load("report").values() for row in notes]
        told("report", model.loss(model.usual, rows)[1], model.loss(weights, rows)[1])


if __name__ == "__main__":
    main()
