"""Stage 10c: what was done with a treatment: begun, going on, ended, planned, or long ago."""

from __future__ import annotations

from dataclasses import dataclass

from ..items import Item
from .clauses import Clauses

_BEFORE, _AFTER = 4, 6
"""Items before and after the name of a treatment in which a word of doing speaks of it."""

_LONG_AGO = -6
"""Days from today before which a treatment told of is one of an earlier visit."""

_OUT_BY = 2
"""Items between "out" and the day to come when that is the day of the end."""

_THEN = 3
"""Items after the name within which a time gone by is told with it."""

_JOINING = frozenset({",", "/", "+", "&"})
_OTHER_GIFTS = ("active.", "super", "feed.")


@dataclass(frozen=True, slots=True)
class Action:
    """``kind``: start, ongoing, end, planned or earlier. ``by``: the item that says it.

    Not ``sure``: the treatment is named, and no word says what was done with it.
    """

    kind: str
    by: int | None
    sure: bool = True


class Actions:
    """Finds what was done with the treatments of one place, whose items are ``mine``."""

    def __init__(self, clauses: Clauses, mine: set[int]) -> None:
        self.clauses = clauses
        self.items = clauses.row.items
        self.words = clauses.row.grammar.chores.treatments
        self.mine = mine

    def of(self, k: int) -> Action | None:
        """What was done with the treatment named at ``k``; None if it is denied or not theirs."""
        marks = self.clauses.standing(self.items[k])
        if marks & {"reported", "rule", "denied"}:
            return None
        if "supposed" in marks and "planned" not in marks:
            return None
        a, b = self.clauses.around(k)
        kind, by = self._told(k, a, b)
        if "planned" in marks:
            # "take the strips out on Friday": a chore, and no treatment that is planned
            return None if kind == "end" or self._bid_out(k) else Action("planned", k)
        if kind == "ongoing" and (end := self._then_taken_out(k, b)):
            return Action("end", end)
        if self._waits(k, a, b, kind, by):
            return Action("planned", by)
        if "remembered" in marks or self._remembered(by) or self._long_ago(k, a, b):
            return Action("earlier", by)
        ahead = [j for j in range(a, b) if self.clauses.ahead(self.items[j])]
        if ahead:
            return self._with_day_ahead(k, kind, by, ahead)
        if kind is None:
            return Action("start", None, sure=self._given_by_name(k))
        return Action(kind, by)

    def _told(self, k: int, a: int, b: int) -> tuple[str | None, int | None]:
        """The nearest word of doing that speaks of ``k``, and which kind it tells."""
        if "active.drone_removal" in self.items[k].ids:
            return "start", None
        near = range(max(a, k - _BEFORE), min(b, k + _AFTER))
        for j in sorted(near, key=lambda j: self._distance(j, k)):
            if j == k or (j > k and j not in self.mine) or self._parted(j, k):
                continue
            kind = self._kind(j, k)
            if kind is not None:
                return kind, j
        return None, None

    def _then_taken_out(self, k: int, b: int) -> int:
        """ "Strips have been in since June, took them out today": the item that ends it, or 0."""
        for j in range(k + 1, b - 1):
            if "act.end" in self.items[j].ids and (
                self.items[j + 1].word in self.words.pronouns
                or (self.items[j].word.split()[-1] in self.words.bare)
            ):
                return 0 if self.clauses.standing(self.items[j]) else j
        return 0

    def _distance(self, j: int, k: int) -> tuple[bool, float]:
        """Weak words ("in", "off") come last; of two as near, the one that follows comes first."""
        return self.items[j].word in self.words.bare, abs(j - k) + (0.5 if j < k else 0)

    def _parted(self, j: int, k: int) -> bool:
        """Whether something else that was given stands between, or a comma at some distance."""
        between = self.items[min(j, k) + 1 : max(j, k)]
        if any(i.startswith(_OTHER_GIFTS) for x in between for i in x.ids):
            return True
        return abs(j - k) > 2 and any(x.kind == "mark" and x.word in _JOINING for x in between)

    def _kind(self, j: int, k: int) -> str | None:
        item = self.items[j]
        if "act.ongoing" in item.ids:
            return "ongoing"
        if "act.end" in item.ids and not self._taken_by_super(j, k):
            return "end"
        if item.word == "in" and j > k + 1 and self._names_hives(j + 1):
            return None
        if self._done_or_got(j, k):
            return "start"
        starts = "act.start" in item.ids and item.word not in self.words.not_starts
        return "start" if starts or (item.word == "on" and j > k) else None

    def _done_or_got(self, j: int, k: int) -> bool:
        """ "I did the oxalic", "6 got its formic": verbs of giving only right before the name.

        The keeper who "got formic" has bought it; a hive that did was given it.
        """
        if j > k or any(x.word not in self.words.determiners for x in self.items[j + 1 : k]):
            return False
        after = self.items[k + 1 : k + 1 + _THEN]
        if any("remembered" in self.clauses.standing(x) for x in after):
            # "did the oxalic last year"
            return False
        word = self.items[j].word
        return word in self.words.did or (
            word in self.words.got and j > 0 and self._names_hives(j - 1)
        )

    def _names_hives(self, j: int) -> bool:
        """ "strips in all hives": "in" says where, not what was done."""
        if j >= len(self.items):
            return False
        item = self.items[j]
        return item.word in self.words.in_hives or item.kind in ("n", "code", "name")

    def _taken_by_super(self, j: int, k: int) -> bool:
        near = self.items[max(0, j - 3) : j + 4]
        return any("super" in x.ids for x in near) and abs(j - k) > 2

    def _waits(self, k: int, a: int, b: int, kind: str | None, by: int | None) -> bool:
        """Whether it is to be begun later: "formic once the honey is off", "B1: formic next"."""
        if kind not in (None, "start") or (by is not None and by < k):
            return False
        after = range(k + 1, min(b, k + 8))
        if any(
            self.items[j].word in self.words.conditions
            and self.items[j - 1].word not in self.words.no_conditions
            for j in after
        ):
            return True
        return kind is None and b - 1 > k and self.items[b - 1].word in self.words.to_come

    def _remembered(self, by: int | None) -> bool:
        return by is not None and "remembered" in self.clauses.standing(self.items[by])

    def _long_ago(self, k: int, a: int, b: int) -> bool:
        days = (self.items[j].day for j in range(max(a, k - 6), min(b, k + 8)))
        return any(d is not None and d.kind == "offset" and d.days < _LONG_AGO for d in days)

    def _with_day_ahead(
        self, k: int, kind: str | None, by: int | None, ahead: list[int]
    ) -> Action | None:
        """ "Pads in today, out in two weeks": the day to come may be that of the end."""
        if kind == "ongoing":
            return Action(kind, by)
        if self._bid_out(k):
            # "pull the strips on 8 November": a chore, and nothing is told of today
            return None
        told = by if by is not None and self.items[by].word in self.words.told else None
        if told is not None and told < k and (ahead[0] > told or self._is_over(told)):
            return Action(kind or "start", told)
        first = min((j for j in ahead if j > k), default=k)
        ends = [j for j in range(k + 1, first) if "act.end" in self.items[j].ids]
        if any(first - j <= _OUT_BY or self._planned(j) for j in ends):
            return Action("start", by if kind == "start" else k)
        if any(self._leads_to_day(j, first) for j in ends):
            # "pads out of both on the thirty-first": a chore, and nothing is told of today
            return None
        return Action("end" if ends else "planned", by)

    def _bid_out(self, k: int) -> bool:
        """Whether a verb that bids to take ``k`` out stands before it, at most an article apart."""
        before = self.items[max(0, k - 2) : k]
        if len(before) == 2 and before[1].word not in self.words.of_hives:
            del before[0]
        return any(item.word in self.words.takes_out for item in before)

    def _is_over(self, j: int) -> bool:
        """Whether the word of doing at ``j`` can only be told of what is over: no "put"."""
        return not self.items[j].word.startswith(self.words.timeless)

    def _leads_to_day(self, j: int, day: int) -> bool:
        """Whether only hives and small words stand between the end told at ``j`` and its day."""
        return all(
            item.kind in ("name", "code", "n") or item.word in self.words.of_hives
            for item in self.items[j + 1 : day]
        )

    def _planned(self, j: int) -> bool:
        return "planned" in self.clauses.standing(self.items[j])

    def _given_by_name(self, k: int) -> bool:
        """Names of ways of giving say that it was given: "oxalic dribble", "vaped"."""
        if "active.drone_removal" in self.items[k].ids:
            return True
        around = {x.word for x in self.items[max(0, k - 1) : k + 2]}
        within = any(w in self.items[k].word for w in self.words.given_within)
        return within or bool(around & self.words.given_beside)


def amount_of(clauses: Clauses, k: int, mine: set[int]) -> Item | None:
    """The number or measure right beside the treatment at ``k``: "2 pads", "50 ml"."""
    items = clauses.row.items
    bare = clauses.row.grammar.counts.bare
    for j in (k - 1, k + 1, k - 2, k + 2):
        if not (0 <= j < len(items) and j in mine):
            continue
        if items[j].kind not in ("n", "vol", "mass", "spoon"):
            continue
        low, high = min(j, k), max(j, k)
        if any(x.kind == "border" or x.word in (",", "|") for x in items[low + 1 : high]):
            continue
        if not clauses.cells.isdisjoint(range(low + 1, high + 1)):
            continue
        if items[j].kind == "n" and _counts_something_else(items, j, k):
            continue
        if items[j].word in bare.pronouns and j and items[j - 1].word in bare.pointing:
            continue  # "that one gets thymol"
        return items[j]
    return None


def _counts_something_else(items: list[Item], j: int, k: int) -> bool:
    """Whether the number at ``j`` counts mites, bees, boxes, or names a hive."""
    if j < k and j > 0 and "hive" in items[j - 1].ids:
        return True
    following = items[j + 1].ids if j + 1 < len(items) else frozenset()
    return bool(following & {"mite", "bee", "frame", "super"})
