"""What follows from the samples: the checklist of each, and the estimate."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..estimate import Assumption, Estimate
from ..estimate.counts import in_words
from ..protocol import CheckItem, Checklist
from .safe import one_line
from .screen import HEADING, Screen
from .words import METHODS, colony_in_words

_OUTCOMES = {
    "done": "done",
    "outside": "done another way",
    "skipped": "skipped",
    "spoiled": "went wrong",
    "not_said": "not mentioned",
}


def show_checklists(
    screen: Screen, checklists: Sequence[Checklist], *, all_steps: bool = False
) -> None:
    """Show what was skipped or went wrong in each sample, and how much is not mentioned.

    With ``all_steps``, show every step with its reason, and the cautions of the method.
    """
    if not checklists:
        return
    screen.heading("Checklist")
    for colonies, checklist in _alike(checklists):
        if len(colonies) > 1:
            whose = f"Colonies {', '.join(one_line(colony or 'not named') for colony in colonies)}"
        else:
            whose = colony_in_words(colonies[0])
        screen.paragraph(f"{whose}, {checklist.summary}")
        for item in checklist.items if all_steps else checklist.amiss:
            screen.item(f"{_OUTCOMES[item.outcome]}:", _step(item, all_steps), indent=4)
        for warning in checklist.warnings:
            screen.item("take care:", warning, indent=4)
    if all_steps:
        for caution in dict.fromkeys(c for checklist in checklists for c in checklist.cautions):
            screen.item("mind:", caution)
    elif any(checklist.not_mentioned for checklist in checklists):
        screen.paragraph("(--all-steps lists the steps that are not mentioned)")


def _alike(checklists: Sequence[Checklist]) -> list[tuple[list[str | None], Checklist]]:
    """Return the checklists, those that say the same in one, with the colonies that they are of."""
    alike: dict[object, tuple[list[str | None], Checklist]] = {}
    for checklist in checklists:
        said = [item.model_copy(update={"evidence": None}) for item in checklist.items]
        key = (checklist.method, *map(repr, said), *checklist.warnings)
        alike.setdefault(key, ([], checklist))[0].append(checklist.colony)
    return list(alike.values())


def _step(item: CheckItem, whole: bool) -> str:
    said = f" ({one_line(item.said)})" if item.said else ""
    parts = [item.text + said]
    # What spoils the count is told again with the figure, so the short form leaves it to that.
    if item.amiss and (whole or item.miss != "spoils"):
        parts.append(f"{item.amiss[:1].upper()}{item.amiss[1:]}.")
    elif whole:
        parts.append(item.reason)
    if whole and item.asked:
        parts.append(f"Asked for: {'; '.join(_cited_shortly(asked) for asked in item.asked)}.")
    return " ".join(parts)


def show_estimates(screen: Screen, estimates: Sequence[Estimate]) -> None:
    """Show each figure with its limits, arithmetic and assumptions, or why there is none."""
    if not estimates:
        return
    screen.heading("Estimate")
    given = [estimate for estimate in estimates if estimate.withheld is None]
    shared = [
        assumption
        for assumption in (given[0].assumptions if len(given) > 1 else ())
        if all(assumption in estimate.assumptions for estimate in given)
    ]
    for estimate in estimates:
        _show_estimate(screen, estimate, shared)
    for assumption in shared:
        screen.item("assumed for all:", _assumed(assumption))


def _show_estimate(screen: Screen, estimate: Estimate, shared: Sequence[Assumption]) -> None:
    whose = colony_in_words(estimate.colony)
    how = f", {METHODS[estimate.method]}" if estimate.method else ""
    figure = estimate.figure
    if figure is None:
        screen.item(f"{whose}{how}:", f"no figure. {estimate.withheld or ''}")
        return
    screen.item(f"{whose}{how}:", in_words(figure), style=HEADING)
    for step in estimate.steps:
        screen.item("-", step, indent=4)
    for warning in estimate.warnings:
        screen.item("take care:", warning, indent=4)
    for assumption in estimate.assumptions:
        if assumption not in shared:
            screen.item("assumed:", _assumed(assumption), indent=4)


def _assumed(assumption: Assumption) -> str:
    return f"{assumption.text} ({_short_source(assumption.source)})"


def _cited_shortly(asked: str) -> str:
    """Return what a source asks for with the source cut down, as in :func:`_short_source`."""
    says, bracket, source = asked.partition(" (")
    return f"{says} ({_short_source(source.removesuffix(')'))})" if bracket else asked


def _short_source(source: str) -> str:
    """Return authors and year of a publication; the JSON gives it whole."""
    dated = re.match(r"(.*?) \((\d{4}|no date)\)", source)
    return f"{dated[1]} {dated[2]}" if dated else source
