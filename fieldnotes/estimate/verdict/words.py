"""The plain words of a verdict: its one line, and its reasons."""

from __future__ import annotations

import datetime as dt

from ...grammar.advice import AdviceRules
from ...grammar.thresholds import Limit
from ..basis import FallPerDay, Figure, PercentDroneCells
from ..counts import in_words, limits_in_words, plain
from .applying import Candidate
from .judging import Judged, reads_of, signs_that_override
from .records import LimitUsed, Says
from .situation import Choice, Situation
from .treatment_windows import Standing

UNTREATED = "Taken as untreated, since nothing is said of a treatment."
_UNIT = {
    "mites_per_100_adult_bees": "mites per 100 adult bees",
    "mites_per_100_bees_doubled": "mites per 100 bees, doubled for the mites under cappings",
    "mites_per_day_natural": "mites a day of natural fall",
    "mites_per_night": "mites a night",
    "percent_drone_cells": "percent of drone cells with mites",
    "mites_per_colony": "mites in the colony",
}
_CAUSE = {
    "act": "The act level is reached.",
    "watch": "Between the watch and the act level.",
    "unsure": "Below the levels, but the act level cannot be ruled out by this sample.",
    "below": "Below the levels, and the act level lies outside what the sample leaves possible.",
    "range": "The count is only known as a range, and the act level lies within it.",
}


def on(day: dt.date) -> str:
    """A day in words: "4 August 2026"."""
    return f"{day.day} {day:%B %Y}"


def first_line(
    figure: Figure | None, says: Says, limit: LimitUsed | None, by: dt.date | None
) -> str:
    """Rate, likely range, verdict under the named guideline, next date: one plain line."""
    parts = "No figure" if figure is None else in_words(figure)
    if figure is not None and (span := limits_in_words(figure)) is not None:
        parts += f" ({span.rpartition(': ')[2]})"
    again = "" if by is None else f"look again by {on(by)}"
    verdict = again if says == "look again" and again else says
    under = "" if limit is None else f", by {limit.name}"
    after = f"; {again}" if again and says != "look again" else ""
    return f"{parts}: {verdict}{under}{after}."


def level_in_words(limit: LimitUsed) -> str:
    """The levels with guideline, season, source and year."""
    watch = "" if limit.watch is None else f"watch {plain(limit.watch)}, "
    high = "" if limit.act_high is None else f" to {plain(limit.act_high)}"
    kind = "" if limit.force == "guidance" else f" ({limit.force})"
    year = "no year given" if limit.year == "undated" else str(limit.year)
    return (
        f"{limit.name}, {limit.stage}{kind}: {watch}act {plain(limit.act)}{high} "
        f"{_UNIT[limit.basis]}. “{limit.printed}” ({limit.source}; {year})"
    )


def reasons_of(
    best: Judged, used: LimitUsed, situation: Situation, standing: Standing, rules: AdviceRules
) -> tuple[str, ...]:
    """Why the verdict is what it is, the most weighty first."""
    limit, held = best.candidate.limit, best.held
    lines = [_CAUSE.get(best.compared.cause, "")]
    lines += _errs(limit, situation)
    lines += standing_in_words(standing)
    lines += seen(situation, rules)
    lines.append(level_in_words(used))
    if held.words:
        lines.append(f"{in_words(held.figure)}: {held.words} ({held.source}).")
    if best.chance_above is not None:
        lines.append(
            f"Chance that the true rate lies above the act level: {best.chance_above:.0%}."
        )
    lines += _about(limit, used, situation)
    return tuple(line for line in lines if line)


def standing_in_words(standing: Standing) -> tuple[str, ...]:
    """What a treatment or a brood break does to the verdict; nothing where there is none."""
    match standing.state:
        case "clear":
            return ()
        case "at work":
            return (f"{standing.line}: no verdict while a treatment is at work.",)
        case "settling":
            return (f"{standing.line}: no fall is natural yet, and a low count may mislead.",)
        case _:
            return (f"{standing.line}: a low count now may be low for that reason alone.",)


def seen(situation: Situation, rules: AdviceRules) -> tuple[str, ...]:
    """The signs that override a good number, in a sentence; nothing where none was seen."""
    signs, row = signs_that_override(situation, rules), rules.sign_rule("overrides")
    if not signs or row is None:
        return ()
    names = ", ".join(sign.replace("_", " ") for sign in signs)
    return (f"Seen: {names}: {row.cited.says} ({row.cited.reference}).",)


def _errs(limit: Limit, situation: Situation) -> list[str]:
    reads = reads_of(limit, situation)
    if reads is None:
        return []
    way = {
        "low": "The count likely reads low: it can show a level passed, never kept.",
        "high": "The count may read high: it can show a level kept, never passed.",
        "either": "The count is unreliable: it can show neither. Take the sample again.",
    }[reads]
    if situation.frame is not None and situation.reads != reads:
        way += f" The bees came from the {situation.frame} comb, and the limit is not made for it."
    return [way]


def _about(limit: Limit, used: LimitUsed, situation: Situation) -> list[str]:
    """What a keeper must know of the limit itself."""
    lines = []
    if limit.act_high is not None:
        lines.append("The source prints a range for the act level; its lower end is used.")
    if limit.force == "rule of thumb":
        lines.append("A rule of thumb of the trade, without a source.")
    if limit.force == "legal duty":
        lines.append("A legal duty when it was printed; such orders change, so ask the authority.")
    if situation.of == "yard mean" and limit.of == "colony":
        lines.append("Made for single colonies; held against the yard's mean here.")
    if limit.colony_kind is not None and situation.colony_kind is None:
        lines.append(f"Taken as a {limit.colony_kind} colony.")
    if limit.comb != "not said" and situation.frame is None:
        lines.append(f"The limit is made for bees from {limit.comb} combs; yours is not said.")
    if isinstance(situation.figure, PercentDroneCells):
        lines.append(
            "Drone cells vary widely: good to see that there are mites, poor for a number "
            "(Lee, Reuter and Spivak 2010)."
        )
    if isinstance(situation.figure, FallPerDay) and situation.brood == "none":
        lines.append("A board is made for colonies with brood; without, fewer mites fall.")
    if used.note:
        lines.append(f"{used.note.rstrip('.')}.")
    return lines


def why_no_limit(
    found: tuple[Candidate, ...], situation: Situation, choice: Choice, names: tuple[str, ...]
) -> tuple[str, ...]:
    """Why no limit can be held against the figure, naming those that may not decide."""
    lines = []
    deciding = [candidate for candidate in found if candidate.chosen]
    for candidate in deciding:
        limit, name = candidate.limit, candidate.guideline.name
        if limit.cited.status == "memory":
            lines.append(f"{name}: its limit is recalled, not confirmed, and decides nothing.")
        elif not limit.drives:
            lines.append(f"{name}: its limit counts {_UNIT[limit.basis]}, which no sample gives.")
        elif limit.below == "nothing":
            lines.append(f"{name}: names only an alarm level, which is not reached: {limit.act:g}.")
        else:
            lines.append(
                f"{name}: its limit counts {_UNIT[limit.basis]}, which this figure is not."
            )
    if not names and choice.place is not None:
        lines.append(f"No guideline is known for {choice.place}; one can be chosen by its name.")
    if not deciding and names:
        method = (situation.method or "this way of counting").replace("_", " ")
        listed = ", ".join(names)
        lines.append(f"No limit for {method} at this time of the year: {listed}.")
    return tuple(dict.fromkeys(lines))
