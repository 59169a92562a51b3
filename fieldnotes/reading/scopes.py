"""Stage 7b: the stretch of the note that each mention rules.

Every item gets the visits it speaks of: those of one mention, of a group ("hives 3 and 4"), of all
("all three fed"), or none yet (a heading, a preamble), whose facts are shared by all.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from .items import Row
from .scenes import Mention
from .tables import Table

SHARED = -1
HEADER = -3


@dataclass(slots=True)
class Place:
    """A colony's stretch of the note: its name, how sure, and the items that name it."""

    name: str
    mentions: list[Mention] = field(default_factory=list)
    day: int | None = None
    yard: str | None = None
    yard_proof: tuple[int, int] | None = None
    twin: bool = False


@dataclass(slots=True)
class Scopes:
    """``of[k]`` lists the places that item ``k`` speaks of; ``(SHARED,)`` for all of them."""

    places: list[Place]
    of: list[tuple[int, ...]]
    yard_at: list[Mention | None]
    heads: int = 0


def norm(name: str) -> str:
    """A colony's name for comparison."""
    text = name.casefold().removeprefix("the ").removeprefix("hive ").strip()
    return "".join(ch for ch in text if ch.isalnum())


def build_scopes(
    row: Row, mentions: list[Mention], tables: list[Table], day_breaks: dict[int, int]
) -> Scopes:
    """Rule stretches for a row. ``day_breaks``: item -> number of the day that begins there."""
    items = row.items
    n = len(items)
    places: list[Place] = []
    index: dict[tuple[str, int], int] = {}
    yard: Mention | None = None
    yard_at: list[Mention | None] = [None] * n
    at: dict[int, list[Mention]] = {}
    for m in mentions:
        at.setdefault(m.first, []).append(m)
    heads = sum(m.kind == "colony" and m.head for m in mentions)
    colonies = [m for m in mentions if m.kind == "colony"]
    several = len({norm(m.name) for m in colonies}) > 1
    of: list[tuple[int, ...]] = [(SHARED,)] * n
    current: tuple[int, ...] = (SHARED,)
    saved: tuple[int, ...] | None = None
    day = 0
    group: int | None = None
    starts: list[tuple[int, tuple[int, ...]]] = []
    for k in range(n):
        item = items[k]
        if k in day_breaks:
            day = day_breaks[k]
            if current != (SHARED,):
                # the same colony on another day is another visit
                if several or heads:
                    current = (SHARED,)
                else:
                    current = tuple(
                        _place(places, index, places[p].name, day, None) for p in current
                    )
        for m in at.get(k, ()):
            if m.kind == "yard":
                yard = m
                if several and (m.head or k == 0 or items[k - 1].kind == "border"):
                    current = (SHARED,)
                continue
            if m.kind == "all":
                if len(places) > 1 and several:
                    saved = current
                    current = (SHARED,)
                continue
            if m.kind != "colony":
                continue
            when = m.day if m.day is not None else day
            key = (norm(m.name), when)
            if (
                m.head
                and key in index
                and places[index[key]].mentions[-1].head
                and current != (index[key],)
                and m.day is None
            ):
                # the same name at the head of two lines of a list: two visits, and a question
                when += 5000
            p = _place(places, index, m.name, when, m)
            if when >= 5000:
                places[p].twin = True
            if yard is not None and places[p].yard is None:
                places[p].yard = yard.name
                places[p].yard_proof = (yard.first, yard.last)
            if m.group is not None and group == m.group:
                current = (*current, p)
            else:
                current = (p,)
            group = m.group
            saved = None
            starts.append((k, current))
        if item.kind == "border":
            if saved is not None:
                current, saved = saved, None
            if item.word == "\n\n" and heads >= 2:
                current = (SHARED,)
        yard_at[k] = yard
        of[k] = current
    for table in tables:
        by_line: dict[int, tuple[int, ...]] = {}
        for cell in table.cells:
            if cell.slot == "colony" and cell.first < n:
                by_line[cell.line] = of[cell.first]
        for cell in table.cells:
            owner = by_line.get(cell.line)
            if owner:
                for k in range(cell.first, cell.last):
                    of[k] = owner
        if table.header:
            for k in range(*table.header):
                of[k] = (HEADER,)
    if several:
        for a, b in _sentences(row):
            everyone = any(m.kind == "all" and a <= m.first < b for m in mentions)
            whole = row.items[a].word in (
                "total",
                "totals",
                "altogether",
                "all",
                "average",
                "mean",
                "overall",
            )
            if (everyone or whole) and not any(
                m.kind == "colony" and a <= m.first < b for m in mentions
            ):
                for k in range(a, b):
                    of[k] = (SHARED,)
    _reach_back(row, mentions, of, several)
    if len(places) == 1 and not tables:
        of = [(0,)] * n
    return Scopes(places, of, yard_at, heads)


def _sentences(row: Row) -> list[tuple[int, int]]:
    """Item ranges between borders; what stands in brackets is a range of its own."""
    out: list[tuple[int, int]] = []
    start = 0
    bracket: int | None = None
    for k, item in enumerate(row.items):
        if item.word == "(":
            bracket = k
        elif item.word == ")" and bracket is not None:
            out.append((bracket, k + 1))
            bracket = None
        elif item.kind == "border":
            out.append((start, k))
            start = k + 1
    out.append((start, len(row.items)))
    return [(a, b) for a, b in out if b > a]


def _place(
    places: list[Place], index: dict[tuple[str, int], int], name: str, day: int, m: Mention | None
) -> int:
    key = (norm(name), day)
    if key not in index:
        index[key] = len(places)
        places.append(Place(name, day=day))
    if m is not None:
        places[index[key]].mentions.append(m)
    return index[key]


_GIVEN = ("active", "form", "feed", "super", "treated")
_JOINTS = frozenset(
    {
        "into",
        "onto",
        "over",
        "through",
        "inside",
        "in",
        "on",
        "for",
        "from",
        "under",
        "at",
        "off",
        "below",
        "beneath",
        "with",
        "to",
    }
)


def _reach_back(
    row: Row, mentions: list[Mention], of: list[tuple[int, ...]], several: bool
) -> None:
    """ "four mites in hive seven, two in hive eight": the words before belong to the name after."""
    if not several:
        return
    items = row.items
    firsts = {m.first for m in mentions if m.kind == "colony"}
    for m in mentions:
        if m.kind != "colony" or m.head or m.first == 0:
            continue
        joint = m.first - 1
        if items[joint].word in ("the", "my"):
            joint -= 1
        if joint < 0 or items[joint].word not in _JOINTS:
            continue
        k = joint
        values = given = False
        while k >= 0:
            item = items[k]
            if (
                item.kind == "border"
                or (k != joint and k in firsts)
                or (
                    item.word in (",", "and", "then", "but")
                    and values
                    and not (item.word == "and" and k > joint - 3)
                )
            ):
                break
            if any(x.first <= k < x.last for x in mentions if x.kind == "colony"):
                break
            values = values or item.kind in ("n", "term")
            given = given or any(i.split(".")[0] in _GIVEN for i in item.ids)
            k -= 1
        # only where the clause so far holds a number, and nothing of its own name
        span = range(k + 1, joint + 1)
        if given and len(span) <= 12:
            for j in span:
                of[j] = of[m.first]
            continue
        if any(items[j].kind == "n" for j in span) and len(span) <= 8:
            owner = of[m.first]
            follows = _value_follows(items, m, firsts)
            if not follows:
                for j in span:
                    of[j] = owner


def _value_follows(items: list, m: Mention, firsts: set[int]) -> bool:  # type: ignore[type-arg]
    for k in range(m.last, min(len(items), m.last + 5)):
        if items[k].kind == "border" or k in firsts or items[k].word in (",", "and"):
            return False
        if items[k].kind == "n":
            # "two in A4, five in A5": that number belongs to the next name
            return not (k + 2 < len(items) and items[k + 1].word in _JOINTS and k + 2 in firsts)
    return False
