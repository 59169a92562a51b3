"""Stage 6b: days that a plan names without a word such as "will".

"Feed them on Thursday" bids, "the pads go on Sunday" states what is to come, and in "on Friday she
gets thymol" the day stands before the plan. Such a day, with the words between it and the verb, is
part of the plan; else it would be taken for the day of the visit.
"""

from __future__ import annotations

from ..grammar.schema import PlanWords
from .dates import Day
from .items import Item, Row
from .standing import standing_of

REACH = 12
"""Items between the verb of a plan and its day."""

WAS = 5
"""Words after a remembered day that tell what was so then."""

SUBJECT = 6
"""Items between a day and the verb that follows it: "on Friday she and the other two get"."""

_ELSEWHEN = frozenset({"planned", "remembered", "reported", "rule"})
_NAMING = frozenset({"name", "code", "n"})
_PUT_ON = ("active", "form", "super", "mouse_guard")
_TREATED_OR_FED = ("active", "feed", "form", "super", "hive", "nuc", "queen", "todo")


def mark_planned_days(row: Row, marks: list[set[str]], words: PlanWords) -> None:
    """Add "planned" to the days of plans and to the words between them and their verb.

    A day that is said to be today ("this is Sunday") is taken out of any plan.
    """
    for k, item in enumerate(row.items):
        if item.day is None or not _may_lie_ahead(item.day):
            continue
        if k and row.items[k - 1].word in words.today:
            for t in range(item.i, item.j):
                marks[t].discard("planned")
            continue
        if standing_of(marks, item.i, item.j) & _ELSEWHEN:
            continue
        verb = _verb_before(row, k, marks, words)
        if verb is not None:
            _plan(marks, row.items[verb].i, item.j)
            continue
        end = _verb_after(row, k, marks, words)
        if end is not None:
            _plan(marks, item.i, row.items[end].j)


def mark_remembered_days(row: Row, marks: list[set[str]], words: PlanWords) -> None:
    """Add "remembered" to a later day of a note and what was so then: "on June 8 it was 1"."""
    days = [k for k, item in enumerate(row.items) if item.day is not None]
    for k in days[1:]:
        item = row.items[k]
        led = {row.words[item.i], row.words[item.i - 1]}
        if led.isdisjoint(words.on) or item.j >= len(row.words):
            continue
        if " ".join(row.words[item.j : item.j + 2]) not in words.was:
            continue
        for t in range(item.i, min(len(row.words), item.j + WAS)):
            if t >= item.j and row.words[t] in (".", ";", "\n", "\n\n"):
                break
            marks[t].add("remembered")


def mark_days_beside_heading(
    row: Row, marks: list[set[str]], words: PlanWords, told: list[Item]
) -> None:
    """Add "planned" to a weekday of a phrase without a verb, where ``told`` days date the visit.

    "12 May. Thymol in on Saturday": what is put on upon another day than the visit's, and is not
    told as past, is yet to come.
    """
    if told:
        _plan_phrases(row, marks, words, 0, {item.i for item in told})


def mark_days_of_phrases(row: Row, marks: list[set[str]], words: PlanWords) -> None:
    """The same after the note's first sentence, while no day is known to date the visit.

    "Hive 6 was calm. Thymol into it on Saturday": the day of the visit would stand before.
    """
    first = next((k for k, item in enumerate(row.items) if item.kind == "border"), len(row.items))
    _plan_phrases(row, marks, words, first, set())


def _plan_phrases(
    row: Row, marks: list[set[str]], words: PlanWords, first: int, dated: set[int]
) -> None:
    """Plan the weekdays from item ``first`` on, but the ``dated``, that close such a phrase."""
    for k in range(first, len(row.items)):
        item = row.items[k]
        if item.day is None or item.i in dated:
            continue
        if item.day.kind != "weekday" and item.word not in row.grammar.dates.day.later_today:
            continue
        if standing_of(marks, item.i, item.j) & _ELSEWHEN or not _closes(row.items, k):
            continue
        put_on = _put_on_before(row.items, k, words)
        if put_on is not None:
            _plan(marks, row.items[put_on].i, item.j)


def _closes(items: list[Item], k: int) -> bool:
    return k + 1 >= len(items) or items[k + 1].kind in ("border", "mark")


def _put_on_before(items: list[Item], k: int, words: PlanWords) -> int | None:
    """The first item put on in the phrase that the day at ``k`` closes; None in a tale."""
    found: int | None = None
    for j in range(k - 1, max(-1, k - 1 - REACH), -1):
        item = items[j]
        if item.kind == "border":
            break
        if item.day is not None or item.word in words.past:
            return None
        if any(i.split(".")[0] in _PUT_ON for i in item.ids):
            found = j
    return found


def _plan(marks: list[set[str]], first: int, last: int) -> None:
    for t in range(first, last):
        marks[t].add("planned")


def _may_lie_ahead(day: Day) -> bool:
    return day.days > 0 if day.kind == "offset" else day.which != "last"


def _verb_before(row: Row, k: int, marks: list[set[str]], words: PlanWords) -> int | None:
    """The item of the verb that makes a plan of the day at ``k``, or None."""
    items = row.items
    for j in range(k - 1, max(-1, k - 1 - REACH), -1):
        item = items[j]
        if item.kind == "border" or item.day is not None:
            return None
        if k - j == 1 and "planned" in marks[item.j - 1]:
            return j
        if item.word in words.past:
            return None
        said = {item.word, f"{item.word} {items[j + 1].word}"}
        if said & words.comes or (said & words.doing and _begins(items, j, words)):
            return j
        if _bids(items, j, k, words) and _begins(items, j, words):
            return j
    return None


def _begins(items: list[Item], j: int, words: PlanWords) -> bool:
    """Whether the verb at ``j`` has no subject or helping verb that makes it a tale or a habit."""
    return j == 0 or items[j - 1].word not in words.subjects | words.helpers


def _bids(items: list[Item], j: int, k: int, words: PlanWords) -> bool:
    """Whether a verb and what it is to be done to begin at ``j``, before the day at ``k``."""
    verb, _, rest = items[j].word.partition(" ")
    if verb not in words.bids:
        return False
    return rest in words.objects or _object(items, j + 1, k, words)


def _object(items: list[Item], j: int, k: int, words: PlanWords) -> bool:
    if j >= k:
        return False
    item = items[j]
    return (
        item.word in words.objects
        or item.kind in _NAMING
        or any(i.split(".")[0] in _TREATED_OR_FED for i in item.ids)
    )


def _verb_after(row: Row, k: int, marks: list[set[str]], words: PlanWords) -> int | None:
    """The item before a plan that follows the day at ``k`` with only its subject between."""
    items = row.items
    first = _after_aside(items, k + 1, words)
    for j in range(first, min(len(items), first + SUBJECT)):
        item = items[j]
        if item.word in words.conditions:
            return None
        if "planned" in marks[item.i]:
            return j - 1
        if item.word in words.comes:
            return j
        if not (item.word in words.subjects or item.kind in _NAMING or item.word in words.objects):
            return None
    return None


def _after_aside(items: list[Item], k: int, words: PlanWords) -> int:
    """The item after a condition between two commas that begins at ``k``, else ``k``.

    "On Thursday, before anything is sealed, they get oxalic".
    """
    if k + 1 >= len(items) or items[k].word != "," or items[k + 1].word not in words.asides:
        return k
    for j in range(k + 1, min(len(items), k + 1 + REACH)):
        if items[j].kind == "border":
            return k
        if items[j].word == ",":
            return j + 1
    return k
