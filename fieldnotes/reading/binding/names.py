"""Stage 9a: counts that stand beside the name of a colony, without a word of mites."""

from __future__ import annotations

from ..items import Row
from ..scenes import Mention
from .candidates import Candidate

_LONGEST = 5
"""Items that a phrase for no mites may have."""


def counts_beside_names(row: Row, mentions: list[Mention]) -> list[Candidate]:
    """ "A 14", "hive 2: 3", "Heron 5": a bare number right after a colony's name counts mites.

    It is weak by itself; it counts only in a place that has a sample.
    """
    items = row.items
    said = row.grammar.counts.names
    out: list[Candidate] = []
    if not _speaks_of_mites(row):
        return out
    starts = {m.first for m in mentions}
    for m in mentions:
        # "two mites in A4, five in A5, none in A6": the number stands before the name
        k = m.first - 2
        if m.kind != "colony" or k < 0 or items[k + 1].word not in said.before:
            continue
        opens = (
            k == 0
            or items[k - 1].kind == "border"
            or items[k - 1].word in said.opens
            or any(x.last == k for x in mentions)
        )
        if items[k].kind == "n" and opens and items[k].value == int(items[k].value):
            # "four in 2" is no rate where the 2 names a hive
            weight = 5.6 if items[m.first].kind == "n" else 3.0
            out.append(Candidate("mites", items[k].value, k, k, k + 1, weight))
        elif items[k].word in said.none_before and opens:
            out.append(Candidate("mites", 0, -1, k, k + 1, 3.6))
    for m in mentions:
        if m.kind != "colony":
            continue
        k = m.last
        while (
            k < len(items)
            and k < m.last + 4
            and k not in starts
            and (items[k].word in said.between or items[k].kind == "filler")
        ):
            k += 1
        if k >= len(items):
            continue
        item = items[k]
        after = items[k + 1] if k + 1 < len(items) else None
        if after is not None and after.word in said.passed and k + 2 < len(items):
            after = items[k + 2]
        ends = (
            after is None
            or k + 1 in starts
            or after.kind in ("border", "day", "vol")
            or after.word in said.ends
            or _in_days(row, k + 1)
            or not after.word[:1].isalnum()
        )
        if item.kind == "n" and ends and float(item.value) == int(item.value):
            out.append(Candidate("mites", item.value, k, k, k + 1, 3.0))
        elif item.kind == "frac" and item.over >= 50:
            out.append(Candidate("mites", item.value, k, k, k + 1, 3.4))
        elif item.word in said.none and ends:
            out.append(Candidate("mites", 0, -1, k, k + 1, 3.6))
        elif last := _none_in_words(row, k):
            out.append(Candidate("mites", 0, -1, k, last, 3.6))
    return out


def counts_at_once(row: Row, m: Mention) -> bool:
    """Whether mites are counted right after a colony's name: "number twenty one three mites"."""
    items = row.items
    if m.kind != "colony" or m.last + 1 >= len(items):
        return False
    return items[m.last].kind == "n" and "mite" in items[m.last + 1].ids


def _in_days(row: Row, k: int) -> bool:
    """ "in 3 days" at item ``k``: what dropped in that time was counted before it."""
    items = row.items
    said = row.grammar.counts.names.within
    return k + 1 < len(items) and items[k].word in said and items[k + 1].kind in ("days", "hours")


def _none_in_words(row: Row, k: int) -> int:
    """ "Not a single one": the item after such a phrase that begins at item ``k``, or 0."""
    phrases = row.grammar.counts.names.none_phrases
    words: list[str] = []
    for last, item in enumerate(row.items[k : k + _LONGEST], start=k + 1):
        words += item.word.split()
        if " ".join(words) in phrases:
            after = row.items[last] if last < len(row.items) else None
            return last if after is None or after.kind in ("border", "mark") else 0
    return 0


def counts_said_alone(row: Row) -> list[Candidate]:
    """ "I shook until my arm quit. Five." A number in words that is a sentence by itself.

    It is weak; it counts only in a place that has a sample and tells no other count.
    """
    items = row.items
    said = row.grammar.counts.alone
    out: list[Candidate] = []
    if not _speaks_of_mites(row):
        return out
    for k, item in enumerate(items):
        if item.kind != "n" or item.form != "words" or item.value != int(item.value):
            continue
        a = k - 1 if k and items[k - 1].word in said.before else k
        opens = a == 0 or items[a - 1].kind == "border"
        closes = k + 1 == len(items) or items[k + 1].kind == "border"
        if opens and closes:
            out.append(Candidate("mites", item.value, k, k, k + 1, 2.8))
    return out


def _speaks_of_mites(row: Row) -> bool:
    return any(
        i in ("mite", "test", "sample", "sugar", "board.weak") or i.startswith("method.")
        for item in row.items
        for i in item.ids
    )


def counts_dealt_out(row: Row, mentions: list[Mention]) -> dict[int, Mention]:
    """ "Hives A, B and C ...: 3, 0, 12": as many numbers as names go to them in order."""
    items = row.items
    said = row.grammar.counts.names
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
                while j < stop and items[j].word in said.dealt_between:
                    j += 1
            led = run and run[0] > 0 and items[run[0] - 1].word in said.dealt
            if len(run) == len(group) >= 2 and led:
                out.update(zip(run, group, strict=True))
                break
            k = j + 1
    return out
