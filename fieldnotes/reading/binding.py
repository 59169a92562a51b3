"""Stage 9: which value fills which slot.

Every rule of the grammar that matches proposes a candidate with a weight. Rival roles that are no
fact of the visit (a rate, a threshold, an amount of something else) are slots like any other. For
one value the heaviest candidate wins; how clearly it wins is kept, since a near tie is a doubt.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from ..grammar.load import Grammar, Rule
from .dates import resolve
from .items import Item, Row
from .scenes import Mention
from .tables import Table

NOT_FACTS = ("not_rate", "not_fact", "not_volume", "not_mass", "not_duration")
_YES = frozenset({"✓", "y", "yes", "+", "seen", "x"})
_NO = frozenset({"✗", "n", "no"})
TIE = 0.25
"""Weights nearer than this leave the choice open."""


@dataclass(slots=True)
class Candidate:
    """A possible binding: ``slot`` gets ``value``; ``k`` is the value's item, or -1 if fixed.

    ``first`` to ``last`` are the items of the words that say so; ``denied`` tells whether they
    are denied.
    """

    slot: str
    value: object
    k: int
    first: int
    last: int
    weight: float
    standing: frozenset[str] = frozenset()
    rivals: list[tuple[str, float]] = field(default_factory=list)
    column: bool = False


def index_rules(rules: tuple[Rule, ...]) -> tuple[list[int], dict[str, list[int]]]:
    """Rules that can always match, and for each symbol the rules that need it or a like one."""
    always: list[int] = []
    by_symbol: dict[str, list[int]] = {}
    for i, rule in enumerate(rules):
        if not rule.pattern.needs:
            always.append(i)
            continue
        for symbol in min(rule.pattern.needs, key=len):
            by_symbol.setdefault(symbol, []).append(i)
    return always, by_symbol


def propose(
    row: Row, rules: tuple[Rule, ...], index: tuple[list[int], dict[str, list[int]]]
) -> list[Candidate]:
    """All candidates that the rules find in the row."""
    symbols = "\n" + row.symbols
    present = frozenset(symbols)
    always, by_symbol = index
    able = set(always)
    for symbol in present:
        found = by_symbol.get(symbol)
        if found:
            able.update(found)
    out: list[Candidate] = []
    for i in sorted(able):
        rule = rules[i]
        pattern = rule.pattern
        for needed in pattern.needs:
            if needed.isdisjoint(present):
                break
        else:
            for m in pattern.regex.finditer(symbols):
                first, last = m.start() - 1, m.end() - 1
                if first < 0:
                    first = 0
                groups = m.groupdict()
                if not groups:
                    out.append(
                        Candidate(
                            rule.slot,
                            True if rule.value is None else rule.value,
                            -1,
                            first,
                            max(last, first + 1),
                            rule.weight,
                        )
                    )
                    continue
                if groups.get("v") is not None:
                    k = m.start("v") - 1
                    value = rule.value if rule.value is not None else row.items[k].value
                    out.append(Candidate(rule.slot, value, k, first, last, rule.weight))
                if groups.get("bees") is not None:
                    k = m.start("bees") - 1
                    out.append(Candidate("bees", row.items[k].value, k, first, last, rule.weight))
                if groups.get("per") is not None:
                    k = m.start("per") - 1
                    out.append(
                        Candidate("not_rate", row.items[k].value, k, first, last, rule.weight)
                    )
    return out


def _days_in_rows(tables: list[Table], row: Row, written: dt.date) -> dict[int, float]:
    """Days between the "in" and "out" columns of each row."""
    out: dict[int, float] = {}
    for table in tables:
        by_line: dict[int, dict[str, tuple[int, dt.date]]] = {}
        for cell in table.cells:
            if cell.slot in ("in", "out"):
                for k in range(cell.first, cell.last):
                    day = row.items[k].day
                    found = resolve(day, written, ahead=False, day_first=None) if day else None
                    if found is not None:
                        by_line.setdefault(cell.line, {})[cell.slot] = (k, found)
        for ends in by_line.values():
            if len(ends) == 2 and ends["out"][1] > ends["in"][1]:
                out[ends["out"][0]] = float((ends["out"][1] - ends["in"][1]).days)
    return out


def choose(
    candidates: list[Candidate], tables: list[Table], row: Row, written: dt.date
) -> list[Candidate]:
    """One candidate a value: the heaviest. Fixed values stay, once a place and slot."""
    cells = {
        k: cell
        for table in tables
        for cell in table.cells
        if cell.slot
        for k in range(cell.first, cell.last)
    }
    by_item: dict[int, list[Candidate]] = {}
    fixed: dict[tuple[str, int], Candidate] = {}
    for c in candidates:
        if c.k < 0:
            if c.last - 1 < len(row.items):
                key = (c.slot, c.last)
                old = fixed.get(key)
                if old is None or c.weight > old.weight:
                    fixed[key] = c
            continue
        if c.slot == "mites" and row.items[c.k].kind == "frac" and row.items[c.k].over < 30:
            continue
        if c.slot == "bees" and c.weight < 4 and row.items[c.k].value < 40:
            continue
        by_item.setdefault(c.k, []).append(c)
    for k, cell in cells.items():
        item = row.items[k]
        if cell.slot == "source" and item.ids & {
            "brood",
            "brood_frame",
            "honey_frame",
            "stores",
            "drone_brood",
            "place.entrance",
        }:
            value = (
                "drone_brood"
                if "drone_brood" in item.ids
                else "honey"
                if item.ids & {"honey_frame", "stores"}
                else "entrance"
                if "place.entrance" in item.ids
                else "brood"
            )
            fixed[("source", k)] = Candidate("source", value, -1, k, k + 1, 6.0)
        if (
            cell.slot == "queen"
            and cell.last - cell.first <= 2
            and (item.word in _YES or item.word in _NO)
        ):
            words = {x.word for x in row.items[cell.first : cell.last]}
            seen = item.word in _YES and not words & {"not", "no"}
            fixed[("queen_seen", k)] = Candidate("queen_seen", seen, -1, k, k + 1, 6.0)
        if item.kind in ("n", "pct", "days", "vol", "frac") and cell.slot not in (
            "colony",
            "yard",
            "queen",
            "temper",
            "date",
            "source",
            "method",
            "in",
            "out",
            "end",
            "count",
            "eggs",
            "larvae",
            "weather",
        ):
            slot = {"mites": "mites", "rate": "not_rate"}.get(cell.slot, cell.slot)
            if item.kind == "pct" and slot == "mites":
                slot = "rate_per_100"
            by_item.setdefault(k, []).append(
                Candidate(slot, item.value, k, cell.first, cell.last, 6.0, column=True)
            )
    for k, days in _days_in_rows(tables, row, written).items():
        by_item.setdefault(k, []).append(Candidate("days", days, k, k, k + 1, 6.0, column=True))
    chosen: list[Candidate] = []
    for rows in by_item.values():
        rows.sort(key=lambda c: -c.weight)
        best = rows[0]
        best.rivals = [(c.slot, c.weight) for c in rows[1:] if c.slot != best.slot]
        chosen.append(best)
    chosen.extend(fixed.values())
    chosen.sort(key=lambda c: (c.k if c.k >= 0 else c.first, c.first))
    return chosen


def counts_beside_names(row: Row, mentions: list[Mention]) -> list[Candidate]:
    """ "A 14", "hive 2: 3", "Heron 5": a bare number right after a colony's name counts mites.

    It is weak by itself; it counts only in a place that has a sample.
    """
    items = row.items
    out: list[Candidate] = []
    if not _speaks_of_mites(row):
        return out
    starts = {m.first for m in mentions}
    for m in mentions:
        # "two mites in A4, five in A5, none in A6": the number stands before the name
        k = m.first - 2
        if (
            m.kind != "colony"
            or k < 0
            or items[k + 1].word not in ("in", "on", "for", "from", "under")
        ):
            continue
        opens = (
            k == 0
            or items[k - 1].kind == "border"
            or items[k - 1].word in (",", "and", "then", "found", "only", "just", "a", "was", "got")
            or any(x.last == k for x in mentions)
        )
        if items[k].kind == "n" and opens and items[k].value == int(items[k].value):
            out.append(Candidate("mites", items[k].value, k, k, k + 1, 3.0))
        elif items[k].word in ("none", "nil", "zero", "nothing") and opens:
            out.append(Candidate("mites", 0, -1, k, k + 1, 3.6))
    for m in mentions:
        if m.kind != "colony":
            continue
        k = m.last
        while (
            k < len(items)
            and k < m.last + 4
            and k not in starts
            and (
                items[k].word
                in (
                    ":",
                    "=",
                    "-",
                    "→",
                    "|",
                    ",",
                    "got",
                    "had",
                    "has",
                    "came",
                    "in",
                    "at",
                    "was",
                    "with",
                    "is",
                    "hive",
                    "about",
                    "just",
                    "only",
                    "now",
                    "today",
                    "a",
                    "to",
                    "gave",
                    "showed",
                    "same",
                    "again",
                    "(",
                    "ditto",
                    "also",
                    "count",
                    "scored",
                )
                or items[k].kind == "filler"
            )
        ):
            k += 1
        if k >= len(items):
            continue
        item = items[k]
        after = items[k + 1] if k + 1 < len(items) else None
        ends = (
            after is None
            or k + 1 in starts
            or after.kind in ("border", "day")
            or after.word
            in (
                ",",
                ")",
                "(",
                "|",
                "and",
                "then",
                ";",
                "→",
                "!",
                "/",
                "but",
                "which",
                "so",
                "today",
                "-",
                "&",
                "yesterday",
                "!",
                "?",
                "hmm",
                "no",
                "not",
                "she",
                "he",
                "all",
            )
        )
        if item.kind == "n" and ends and float(item.value) == int(item.value):
            out.append(Candidate("mites", item.value, k, k, k + 1, 3.0))
        elif item.kind == "frac" and item.over >= 50:
            out.append(Candidate("mites", item.value, k, k, k + 1, 3.4))
        elif item.word in ("nil", "none", "zero", "nothing", "zip", "clean", "nowt") and ends:
            out.append(Candidate("mites", 0, -1, k, k + 1, 3.6))
    return out


def _speaks_of_mites(row: Row) -> bool:
    return any(
        i in ("mite", "test", "sample", "board.weak") or i.startswith("method.")
        for item in row.items
        for i in item.ids
    )


def counts_dealt_out(row: Row, mentions: list[Mention]) -> dict[int, Mention]:
    """ "Hives A, B and C ...: 3, 0, 12": as many numbers as names go to them in order."""
    items = row.items
    groups: dict[int, list[Mention]] = {}
    if not _speaks_of_mites(row):
        return {}
    for m in mentions:
        if m.kind == "colony" and m.group is not None:
            groups.setdefault(m.group, []).append(m)
    out: dict[int, Mention] = {}
    firsts = sorted(m.first for m in mentions if m.kind == "colony")
    for group in groups.values():
        start = max(m.last for m in group)
        stop = next((f for f in firsts if f >= start), len(items))
        k = start
        while k < stop:
            run: list[int] = []
            j = k
            while j < stop and items[j].kind == "n" and items[j].low is None:
                run.append(j)
                j += 1
                while j < stop and items[j].word in (",", "and", "&", "/", "mites", "mite"):
                    j += 1
            led = (
                run
                and run[0] > 0
                and items[run[0] - 1].word in (":", "=", "were", "had", "gave", "got")
            )
            if len(run) == len(group) >= 2 and led:
                out.update(zip(run, group, strict=True))
                break
            k = j + 1
    return out


def stand(candidates: list[Candidate], row: Row, marks: list[set[str]]) -> None:
    """Give each candidate the standings of the words it rests on."""
    for c in candidates:
        if c.k >= 0:
            item: Item = row.items[c.k]
            tokens = range(item.i, item.j)
        else:
            a = row.items[c.first]
            b = row.items[max(c.first, min(c.last, len(row.items)) - 1)]
            tokens = range(a.i, b.j)
        found: set[str] = set()
        for t in tokens:
            if marks[t]:
                found |= marks[t]
        if found:
            c.standing = frozenset(found)


def rules_by_slot(grammar: Grammar) -> dict[str, list[Rule]]:
    """The grammar's rules by slot, for explaining a reading."""
    out: dict[str, list[Rule]] = {}
    for rule in grammar.rules:
        out.setdefault(rule.slot, []).append(rule)
    return out
