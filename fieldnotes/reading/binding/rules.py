"""Stage 9a: the candidates that the rules of the grammar propose."""

from __future__ import annotations

from ...grammar.load import Rule
from ..items import Row
from .candidates import Candidate


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
                            rule.value,
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
