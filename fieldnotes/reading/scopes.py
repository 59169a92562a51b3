"""Stage 7b: the stretch of the note that each mention rules.

Every item gets the visits it speaks of: those of one mention, of a group ("hives 3 and 4"), of all
("all three fed"), or none yet (a heading, a preamble), whose facts are shared by all.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from .items import Item, Row
from .scenes import Mention
from .tables import Table

_SUMS = frozenset({"total", "totals", "altogether", "all", "average", "mean", "overall"})

SHARED = -1
HEADER = -3
REACH = 8
"""Items that "all of them" reaches over where no full stop ends it."""
GIVEN_REACH = 12
COUNT_REACH = 8
"""Items before a name that what is given, and a count, may reach back over."""
TWIN = 5000
"""Added to the day of a visit whose colony heads a second line of the same list."""


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


def norm(name: str) -> str:
    """A colony's name for comparison."""
    text = name.casefold().removeprefix("the ").removeprefix("hive ").strip()
    return "".join(ch for ch in text if ch.isalnum())


def build_scopes(
    row: Row, mentions: list[Mention], tables: list[Table], day_breaks: dict[int, int]
) -> Scopes:
    """Rule stretches for a row. ``day_breaks``: item -> number of the day that begins there."""
    walk = _Walk(row, mentions, day_breaks)
    for k in range(len(row.items)):
        walk.step(k)
    of = walk.of
    for table in tables:
        _give_rows(table, of)
    if walk.several:
        _share_sums(row, mentions, of)
    _take_back(row, mentions, of)
    _reach_back(row, mentions, of, walk.several)
    if len(walk.places) == 1 and not tables:
        of = [(0,)] * len(row.items)
    return Scopes(walk.places, of)


class _Walk:
    """A walk over the items from first to last: who is spoken of, and in which yard."""

    def __init__(self, row: Row, mentions: list[Mention], day_breaks: dict[int, int]) -> None:
        n = len(row.items)
        colonies = [m for m in mentions if m.kind == "colony"]
        self.items = row.items
        self.day_breaks = day_breaks
        self.compared = frozenset(row.grammar.scenes.compared.phrases)
        self.at: dict[int, list[Mention]] = {}
        for m in mentions:
            self.at.setdefault(m.first, []).append(m)
        self.heads = sum(m.head for m in colonies)
        self.title = _title(row, colonies) if day_breaks else None
        self.several = len({norm(m.name) for m in colonies}) > 1
        self.places: list[Place] = []
        self.of: list[tuple[int, ...]] = [(SHARED,)] * n
        self.index: dict[tuple[str, int], int] = {}
        self.current: tuple[int, ...] = (SHARED,)
        self.saved: tuple[int, ...] | None = None
        self.until = 0
        self.yard: Mention | None = None
        self.group: int | None = None
        self.listed: tuple[int, ...] = ()
        self.day = 0

    def step(self, k: int) -> None:
        """Take in item ``k``."""
        if k in self.day_breaks:
            self._begin_day(self.day_breaks[k])
        for m in self.at.get(k, ()):
            if m.kind == "yard":
                self.yard = m
                if self.several and (m.head or k == 0 or self.items[k - 1].kind == "border"):
                    self.current = (SHARED,)
            elif m.kind == "all":
                if len(self.places) > 1 and self.several:
                    self.saved = self.current
                    self.current = (SHARED,)
                    self.until = k + REACH
            elif m.kind == "colony" and m is not self.title and not self._only_compared(m):
                self._turn_to(m)
            elif m.kind in ("other", "others", "first"):
                self._turn_back(m.kind)
            elif m.kind == "next" or m.kind.startswith("list_"):
                self._turn_along(m.kind)
        if k >= self.until:
            self._end_all()
        if self.items[k].kind == "border":
            self._end_sentence(self.items[k])
        self.of[k] = self.current

    def _begin_day(self, day: int) -> None:
        """The same colony on another day is another visit."""
        self.day = day
        if self.title is not None:
            self.current = (self._carried(self.title, day),)
        elif self.several:
            self.current = (SHARED,)
        elif self.current != (SHARED,):
            self.current = tuple(
                self._carried(self.places[p].mentions[-1], day) for p in self.current
            )

    def _turn_to(self, m: Mention) -> None:
        """From here the note speaks of the colony that ``m`` names, or of its group too."""
        when = m.day if m.day is not None else self.day
        if m.day is None and self._is_twin(m, when):
            # the same name at the head of two lines of a list: two visits, and a question
            when += TWIN
        p = self._place(m.name, when)
        place = self.places[p]
        place.mentions.append(m)
        place.twin = place.twin or when >= TWIN
        if self.yard is not None and place.yard is None:
            place.yard = self.yard.name
            place.yard_proof = (self.yard.first, self.yard.last)
        grouped = m.group is not None and self.group == m.group
        # "there was Ada and Ada had six": the same one twice is no group
        self.current = (*self.current, p) if grouped and p not in self.current else (p,)
        if len(self.current) > 1:
            self.listed = self.current
        self.group = m.group
        self.saved = None

    def _only_compared(self, m: Mention) -> bool:
        """ "Did Hazel just like Fern, 8": the note goes on about Hazel."""
        if not m.first or self.items[m.first - 1].word not in self.compared:
            return False
        return any(name == norm(m.name) for name, _ in self.index)

    def _turn_back(self, kind: str) -> None:
        """ "the other one", "the others", "back to the first": to colonies named before."""
        known = range(len(self.places))
        if kind == "first" and known:
            self.current, self.saved = (0,), None
            return
        others = tuple(p for p in known if p not in self.current)
        if self.current != (SHARED,) and (len(others) > 1) == (kind == "others") and others:
            self.saved = None
            self.current = others

    def _turn_along(self, kind: str) -> None:
        """ "the next one", "the last one": along the colonies that were listed together."""
        listed = self.listed
        if len(listed) < 2 or not set(self.current) <= {SHARED, *listed}:
            return
        if kind == "list_first":
            self.current = listed[:1]
        elif kind == "list_last":
            self.current = listed[-1:]
        elif len(self.current) == 1 and self.current[0] in listed[:-1]:
            self.current = (listed[listed.index(self.current[0]) + 1],)
        else:
            return
        self.saved = None

    def _is_twin(self, m: Mention, when: int) -> bool:
        known = self.index.get((norm(m.name), when))
        if known is None:
            return False
        before = self.places[known].mentions[-1]
        if self.current == (known,) and not (before.head and m.head):
            return False
        if self._is_label(before) and self._is_label(m) and before.head == m.head:
            return True
        # "C 41", and then "C gets thymol": the second line goes on about the first
        return before.head and m.head and self._kind_after(before) == self._kind_after(m)

    def _is_label(self, m: Mention) -> bool:
        """ "B-4: calm": a name before a colon at the start of its sentence."""
        opens = m.first == 0 or self.items[m.first - 1].kind == "border"
        return opens and m.last < len(self.items) and self.items[m.last].word == ":"

    def _kind_after(self, m: Mention) -> str:
        return self.items[m.last].kind if m.last < len(self.items) else ""

    def _end_all(self) -> None:
        if self.saved is not None:
            self.current, self.saved = self.saved, None

    def _end_sentence(self, border: Item) -> None:
        self._end_all()
        if border.word == "\n\n" and self.heads >= 2:
            self.current = (SHARED,)

    def _carried(self, m: Mention, day: int) -> int:
        """The place of a colony that is told of on another day without being named again."""
        p = self._place(m.name, day)
        self.places[p].mentions.append(m)
        return p

    def _place(self, name: str, day: int) -> int:
        key = (norm(name), day)
        if key not in self.index:
            self.index[key] = len(self.places)
            self.places.append(Place(name, day=day))
        return self.index[key]


def _title(row: Row, colonies: list[Mention]) -> Mention | None:
    """The colony that a note is headed with as a whole: "Hive 12, newest on top" before the days.

    It stands in a first line apart from the rest, and no other line is headed with a colony.
    """
    apart = next((k for k, item in enumerate(row.items) if item.word == "\n\n"), 0)
    inside = [m for m in colonies if m.first < apart]
    if len(inside) != 1 or any(m.head for m in colonies if m is not inside[0]):
        return None
    title = inside[0]
    rest = (k for k in range(apart) if not title.first <= k < title.last)
    facts = (k for k in rest if row.items[k].kind in ("border", "vol", "dur"))
    return title if next(facts, None) is None else None


def _take_back(row: Row, mentions: list[Mention], of: list[tuple[int, ...]]) -> None:
    """ "Bess three no hang on that was Ruby": what was said of the one was meant of the other."""
    pointing = row.grammar.mentions.settle.pointing
    for one, two in pairwise(m for m in mentions if m.kind == "colony"):
        between = row.items[one.last : two.first]
        if (
            not between
            or between[-1].word.rpartition(" ")[2] not in pointing
            or any(item.kind == "border" for item in between)
        ):
            continue
        near = row.ops_near(between[0].i, between[-1].j)
        repaired = next((i for names, i, _ in near if "repair" in names), None)
        counted = [item.i for item in between if item.kind == "n"]
        if repaired is not None and counted and counted[-1] < repaired:
            for j in range(one.last, two.first):
                of[j] = of[two.first]


def _give_rows(table: Table, of: list[tuple[int, ...]]) -> None:
    """Every cell of a line speaks of the colony that the line names."""
    by_line = {
        cell.line: of[cell.first]
        for cell in table.cells
        if cell.slot == "colony" and cell.first < len(of)
    }
    for cell in table.cells:
        owner = by_line.get(cell.line)
        if owner:
            for k in range(cell.first, cell.last):
                of[k] = owner
    if table.header:
        for k in range(*table.header):
            of[k] = (HEADER,)


def _share_sums(row: Row, mentions: list[Mention], of: list[tuple[int, ...]]) -> None:
    """A sentence that says "all", or begins with "total", and names no colony is for all."""
    for a, b in _sentences(row):
        inside = {m.kind for m in mentions if a <= m.first < b}
        begins = row.items[a].word
        if "colony" not in inside and (
            "all" in inside or begins in _SUMS or begins in row.grammar.mentions.told.all_tests
        ):
            for k in range(a, b):
                of[k] = (SHARED,)


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


_SEEN = ("sign", "queen", "queen_cells", "queen_caught")
_GIVEN = ("active", "form", "feed", "super", "treated", *_SEEN)
_JOINTS = frozenset(
    {
        "into",
        "onto",
        "upon",
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

_CLOSING = frozenset({"it", "them", "that", "there", "one", "him", "her"})
_ALSO = _JOINTS | {",", "and", "the", "my"}


def _reach_back(
    row: Row, mentions: list[Mention], of: list[tuple[int, ...]], several: bool
) -> None:
    """ "four mites in hive seven, two in hive eight": the words before belong to the name after."""
    if not several:
        return
    reach = _Reach(row, [m for m in mentions if m.kind == "colony"], of)
    for m in reach.colonies:
        if not m.head and m.first:
            reach.back_from(m)
    for m in mentions:
        if m.kind == "all" and m.first:
            reach.back_from_all(m)


class _Reach:
    """Gives the words before a preposition and a name to that name: ``of`` is changed in place."""

    def __init__(self, row: Row, colonies: list[Mention], of: list[tuple[int, ...]]) -> None:
        self.items = row.items
        self.none = row.grammar.counts.names.none_before
        self.again = row.grammar.mentions.again
        self.begins = row.grammar.mentions.told.all_begins
        self.colonies = colonies
        self.of = of
        self.firsts = {m.first for m in colonies}
        self.named = {k for m in colonies for k in range(m.first, m.last)}
        # "fed hives 1 and 2": the words before belong to the whole group
        self.groups = {m.group: m.first for m in colonies if m.group is not None}
        # the clause that was given to a name, by the item after the name
        self.gave: dict[int, range] = {}

    def back_from(self, m: Mention) -> None:
        """Give the clause that leads to ``m``, if one does, to the colonies named there."""
        joint = self._joint(m)
        if joint is None:
            self._take_verb(m)
            return
        span, given = self._clause(joint)
        owner = self.of[m.first if m.group is None else self.groups[m.group]]
        if given and len(span) <= GIVEN_REACH:
            owner = tuple(dict.fromkeys(owner + self._listed_after(m)))
            self.gave[m.last] = span
        elif span.start in self.gave and all(self.items[j].word in _ALSO for j in span):
            # "thymol on A4 and on B2": the same was given to both
            self.gave[m.last] = span = self.gave[span.start]
            owner = (*self.of[span.start], *owner)
        elif self._tells_of_sample(span, joint) and len(span) <= GIVEN_REACH:
            # "rolled half a cup off hive 4", "sticky board under hive 5"
            pass
        elif not (
            any(self._tells_a_count(self.items[j]) for j in span)
            and len(span) <= COUNT_REACH
            # "three mites, no idea when that one went in P3" ends before P3
            and self.items[joint].word in _JOINTS
            and not _value_follows(self.items, m, self.firsts)
        ):
            # only where the clause so far holds a number, and nothing of its own name
            return
        for j in span:
            self.of[j] = owner

    def _tells_a_count(self, item: Item) -> bool:
        return item.kind == "n" or item.word in self.none or "mite" in item.ids

    def _take_verb(self, m: Mention) -> None:
        """ "60 to 64 got strips, only washed 62": what was done right before a name is of it."""
        k = m.first - 1
        before = self.of[k - 1] if k else (SHARED,)
        if len(before) > 1 and _tells_how(self.items[k]) and before == self.of[k]:
            self.of[k] = self.of[m.first]

    def _tells_of_sample(self, span: range, joint: int) -> bool:
        """Whether a clause up to a preposition tells how a colony was sampled."""
        return self.items[joint].word in _JOINTS and any(
            _tells_how(self.items[j]) or "board.weak" in self.items[j].ids for j in span
        )

    def back_from_all(self, m: Mention) -> None:
        """ "the oxalic acid goes on both of them": what is given there is given to all."""
        k = m.first - 1
        while k >= 0 and k not in self.named and self._tells_how_or_joins(k):
            # "sugar rolls all four", "icing sugar, half a cup each": right before the words for all
            self.of[k] = (SHARED,)
            k -= 1
        joint = self._joint(m)
        if joint is None:
            return
        span, given = self._clause(joint)
        told = given or any(_tells_how(self.items[j]) for j in span)
        if told and len(span) <= GIVEN_REACH:
            for j in span:
                self.of[j] = (SHARED,)

    def _tells_how_or_joins(self, k: int) -> bool:
        """Whether the item tells how it was done, or is the comma after one that does."""
        item = self.items[k]
        if item.word == "," and k:
            item = self.items[k - 1]
        return _tells_how(item) or "sugar" in item.ids

    def _joint(self, m: Mention) -> int | None:
        """The preposition before the name: "in hive 7", "went on C", "off the blue hive"."""
        joint = m.first - 1
        if self.items[joint].word in ("the", "my"):
            joint -= 1
        if joint < 0 or self._link(joint) not in _JOINTS | {"of"}:
            return None
        if joint and self.items[joint - 1].word in self.again.back:
            # "back to two": the words before are of another
            return None
        return joint

    def _link(self, joint: int) -> str:
        """The preposition itself: "on" of "went on"."""
        return self.items[joint].word.rpartition(" ")[2]

    def _clause(self, joint: int) -> tuple[range, bool]:
        """The items up to ``joint`` that belong together, and whether something is given there."""
        # "under the lid of A4" tells of what is seen; what is given is not "of" a hive
        told = _SEEN if self._link(joint) == "of" else _GIVEN
        values = given = False
        k = joint
        while k >= 0 and k not in self.named and not self._divides(k, joint, values):
            item = self.items[k]
            values = values or item.kind in ("n", "term")
            given = given or any(i.split(".")[0] in told for i in item.ids)
            k -= 1
        return range(k + 1, joint + 1), given

    def _divides(self, k: int, joint: int, values: bool) -> bool:
        """Whether the clause that leads to ``joint`` begins after item ``k``."""
        item = self.items[k]
        if item.kind == "border":
            return True
        if values and self._begins_a_board(k):
            return True
        near = item.word == "and" and k > joint - 3
        divides = item.word in (",", ":", "and", "then", "but") or item.word in self.begins
        return values and not near and divides

    def _begins_a_board(self, k: int) -> bool:
        """ "mites on it the sticky board under sage": whether a clause begins after item ``k``."""
        before, after = self.items[k], self.items[k + 1 : k + 3]
        if len(after) < 2 or after[0].word not in ("the", "a", "my"):
            return False
        board = not after[1].ids.isdisjoint(("method.board", "board.weak"))
        closes = before.word.rpartition(" ")[2] in _CLOSING or "mite" in before.ids
        return board and (closes or before.kind in ("n", "days"))

    def _listed_after(self, m: Mention) -> tuple[int, ...]:
        """The colonies of "into A (six seams), B (four) and C" that are named after ``m``."""
        out: tuple[int, ...] = ()
        last = m.last
        for other in self.colonies:
            if other.first < last:
                continue
            if not self._lists(last, other.first):
                break
            out += self.of[other.first]
            last = other.last
        return out

    def _lists(self, a: int, b: int) -> bool:
        """Whether items ``a`` to ``b`` are an aside in brackets and the joint of a list."""
        words = [item.word for item in self.items[a:b]]
        return len(words) > 2 and words[0] == "(" and words[-2] == ")" and words[-1] in (",", "and")


def _tells_how(item: Item) -> bool:
    """Whether a method or an amount of bees is told."""
    return item.kind == "vol" or any(i.startswith("method.") for i in item.ids)


def _value_follows(items: list[Item], m: Mention, firsts: set[int]) -> bool:
    """Whether the name at ``m`` has a number of its own after it."""
    for k in range(m.last, min(len(items), m.last + 5)):
        if items[k].kind == "border" or k in firsts or items[k].word in (",", "and"):
            return False
        if items[k].kind == "n" and items[k - 1].word in _SUMS:
            return False  # "in A7, all four on half a cup"
        if items[k].kind == "n":
            # "two in A4, five in A5": that number belongs to the next name
            joint = k + 1 < len(items) and items[k + 1].word in _JOINTS
            name = k + 2 + (k + 2 < len(items) and items[k + 2].word in ("the", "my"))
            return not (joint and name in firsts)
    return False
