"""Stage 10: the days of a note: which day expressions date a visit, and where a new day begins."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from ..chores import Clauses
from ..dates import Day, numeric_readings, resolve
from ..drafts import Doubt
from ..items import Item, Row, item_span
from ..scenes import Mention
from ..standing import BLOCKING

_NEAR = 6
"""Items to either side within which words about a day are looked for."""

_TELLING = 9
"""Items to either side within which the keeper tells what was done on a day."""

_ORDERED = 5
"""Ordinals in words below this put things in order more often than they name a day."""

_PREAMBLE = 8
"""Items at the beginning of a note within which a bare weekday dates it."""


@dataclass(slots=True)
class NoteDays:
    """The visit days of a note: by item, the item that states the day and the date it means."""

    breaks: dict[int, int] = field(default_factory=dict)
    told: list[tuple[int, dt.date, Item]] = field(default_factory=list)
    """Days told in mid-note, where it tells of several: each is of the colony told of there."""

    dates: dict[int, tuple[dt.date | None, Item]] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Told:
    """A day expression that may date the visit. ``now`` says that it is the day of speaking."""

    k: int
    item: Item
    day: Day
    date: dt.date | None
    heading: bool
    now: bool

    @property
    def rank(self) -> int:
        """The lower, the surer that this is the visit's day."""
        if self.heading and self.day.kind in ("date", "numeric"):
            return 0
        if self.now:
            return 1
        if self.heading:
            return 2
        return 3 if self.day.kind == "offset" else 4


_SURE = 3
"""Rank up to which a day is taken although the note tells of others."""


def day_options(day: Day | None, written: dt.date) -> tuple[str, ...]:
    """Both readings of an all-numeric date, as answers to a question."""
    if day is None or day.kind != "numeric":
        return ()
    return tuple(d.isoformat() for d in numeric_readings(day, written).values())


def day_of_putting_in(row: Row, k: int) -> bool:
    """Whether a board went in on the day at item ``k``: not the day of the visit."""
    said = row.grammar.samples.boards
    # a board pulled "from under hive 6" was taken out
    put_in = _near(row, k, said.put_in, unless_after=said.lay_from)
    return put_in and not _near(row, k, said.taken_out)


def _near(
    row: Row, k: int, words: frozenset[str], unless_after: frozenset[str] = frozenset()
) -> bool:
    """Whether one of the words stands within the few items before item ``k``.

    It does not count right after one of ``unless_after``.
    """
    items = row.items
    return any(
        part in words and not (j and items[j - 1].word in unless_after)
        for j in range(max(0, k - 3), k)
        for part in (items[j].word, *items[j].word.split())
    )


def _several(headings: list[_Told]) -> bool:
    """Whether the headings tell of more than one date."""
    return len({t.date for t in headings if t.date is not None}) > 1


def _others(found: list[_Told], headings: list[_Told]) -> bool:
    """Whether the note tells of dates that no heading has."""
    known = {t.date for t in headings}
    return any(t.date not in known for t in found)


def _told_twice(dated: list[_Told]) -> _Told | None:
    """ "Yesterday that was, Friday": the one date that two kinds of words agree on, if one is."""
    kinds: dict[dt.date | None, set[str]] = {}
    for told in dated:
        kinds.setdefault(told.date, set()).add(told.day.kind)
    twice = [date for date, said in kinds.items() if len(said) > 1]
    return next(t for t in dated if t.date == twice[0]) if len(twice) == 1 else None


class DayFinder:
    """Finds the days of one note."""

    def __init__(self, clauses: Clauses) -> None:
        self.clauses = clauses
        self.row = row = clauses.row
        self.written = clauses.written
        self.day_first = clauses.day_first
        self.words = row.grammar.dates.visit
        self.boards = any(i in ("method.board", "board.weak") for x in row.items for i in x.ids)
        self.plan_ends = frozenset(
            hit.j for hit in row.cues if getattr(hit.cue, "standing", "") == "planned"
        )
        # "supposed to freeze tonight": a word of a plan tells of nothing done
        self.cue_words = frozenset(t for hit in row.cues for t in range(hit.i, hit.j))
        self.line_starts: list[int] = []
        self.sentence_starts: list[int] = []
        line = sentence = 0
        for k, item in enumerate(row.items):
            self.line_starts.append(line)
            self.sentence_starts.append(sentence)
            if item.kind == "border":
                sentence = k + 1
                if item.word[0] == "\n":
                    line = k + 1

    def find(self, mentions: list[Mention], skip: set[int]) -> NoteDays:
        """Which day expressions date a visit, and where a new day begins."""
        days = NoteDays()
        names = {k for m in mentions for k in range(m.first, m.last)}
        found = [
            told
            for k in range(len(self.row.items))
            if k not in skip and k not in names and (told := self._told(k)) is not None
        ]
        at_lines = [t for t in found if t.heading]
        at_sentences = [t for t in found if t.k == self.sentence_starts[t.k]]
        if _several(at_lines):
            self._break(at_lines, self.line_starts, days)
        elif _several(at_sentences) and not _others(found, at_sentences):
            self._break(at_sentences, self.sentence_starts, days)
        elif found:
            self._one_day(found, days)
        return days

    def _break(self, headings: list[_Told], starts: list[int], days: NoteDays) -> None:
        """Each heading begins a day of its own."""
        for number, told in enumerate(headings, start=1):
            days.breaks[starts[told.k]] = number
            days.dates[number] = (told.date, told.item)

    def _one_day(self, found: list[_Told], days: NoteDays) -> None:
        """One day for the whole note: the surest, or a question."""
        dated = [t for t in found if t.date is not None]
        if not dated:
            first = found[0]
            options = day_options(first.day, self.written)
            days.doubts.append(Doubt("date", "ambiguous", [item_span(first.item)], options))
            return
        best = _told_twice(dated) or min(dated, key=lambda t: t.rank)
        rivals = sorted({t.date for t in dated if t.date is not None})
        if best.rank > 0 and len(rivals) > 1:
            days.told = [(t.k, t.date, t.item) for t in dated if t.date is not None]
        if best.rank > _SURE and len(rivals) > 1:
            # several days and none at the head of a line: nothing says which one is the visit's
            spans = [item_span(t.item) for t in found]
            options = tuple(d.isoformat() for d in rivals)
            days.doubts.append(Doubt("date", "ambiguous", spans, options))
            return
        days.dates[0] = (best.date, best.item)

    def _told(self, k: int) -> _Told | None:
        """The day expression at item ``k``, if it may be the day of a visit."""
        item = self.row.items[k]
        day = item.day
        if day is None or (k > 2 and self.row.items[k - 1].word == "("):
            return None
        now = self._is_now(k, day)
        if not now and (
            self.clauses.standing(item) & BLOCKING
            or self.clauses.ahead(item)
            or self._of_something_else(k, day)
            or self._planned_here(k, day)
            or (self.boards and day_of_putting_in(self.row, k))
        ):
            return None
        if not self._dates_visit(k, day, now):
            return None
        date = resolve(day, self.written, ahead=False, day_first=self.day_first)
        if date is not None and date > self.written:
            return None
        return _Told(k, item, day, date, self._line_head(k), now)

    def _is_now(self, k: int, day: Day) -> bool:
        """ "today", "this morning", "it's Monday": the day on which the keeper speaks."""
        marks = self.clauses.standing(self.row.items[k])
        if day.kind == "offset":
            blocking = marks & BLOCKING
            return day.days == 0 and (
                not blocking or (blocking == {"planned"} and self._just_done(k))
            )
        length = self._follows(k, self.words.now)
        if not length or day.kind not in ("weekday", "day", "date"):
            return False
        i = self.row.items[k].i - length
        return not marks & {"supposed", "reported", "rule"} and not (
            i and self.row.words[i - 1] in self.words.not_now
        )

    def _just_done(self, k: int) -> bool:
        """ "I did her this morning": whether something done is told right before item ``k``."""
        i = self.row.items[k].i
        return any(
            self._past(self.row.words[t]) and t not in self.cue_words
            for t in range(max(0, i - 3), i)
        )

    def _follows(self, k: int, phrases: frozenset[str]) -> int:
        """How many words the phrase has that stands right before item ``k``; 0 if none does."""
        i = self.row.items[k].i
        words = self.row.words
        return next((n for n in (3, 2, 1) if " ".join(words[max(0, i - n) : i]) in phrases), 0)

    def _of_something_else(self, k: int, day: Day) -> bool:
        """ "since 4 July", "the Wednesday team", "thymol Thurs?": a day of another thing."""
        items = self.row.items
        after = items[k + 1] if k + 1 < len(items) else None
        return (
            self._follows(k, self.words.not_after) > 0
            or (
                after is not None
                and (
                    after.word in self.words.not_before
                    or " ".join(self.row.words[after.i : after.i + 2]) in self.words.not_before
                )
                and day.kind not in ("date", "numeric")
            )
            or (day.which == "last" and not self._line_head(k))
        )

    def _planned_here(self, k: int, day: Day) -> bool:
        """Whether a plan ends at this day ("pads go on Sunday") or begins right after it."""
        item = self.row.items[k]
        # "go on Sunday": the plan's last word is the first of "on Sunday"
        if day.kind != "numeric" and not self.plan_ends.isdisjoint((item.i, item.i + 1)):
            return True
        after = self.row.items[k + 1 : k + 4]
        return (
            not (day.kind == "numeric" or (day.kind == "offset" and day.days < 0))
            and k > 3
            and not any(x.kind == "border" for x in after[:2])
            and any("planned" in self.clauses.standing(x) for x in after if x.kind != "border")
        )

    def _taken_out(self, k: int) -> bool:
        """ "on the 16th out it came": whether the day is when a board came out."""
        after = self.row.items[k + 1 : k + 3]
        out = self.row.grammar.samples.boards.taken_out
        return self.boards and any(x.word in out for x in after)

    def _line_head(self, k: int) -> bool:
        """Whether the day stands at the head of a line, within its first few items."""
        start = self.line_starts[k]
        items = self.row.items
        day = items[k].day
        if day is not None and day.kind == "day" and k > start:
            # "Mother came on the third": a bare number of a month heads a line only by itself
            return False
        return k - start <= 4 and all(
            i.kind in ("name", "mark", "day", "word", "letter", "clock", "code")
            or i.ids & {"stand_place", "yard_noun", "hive"}
            or i.word in self.row.grammar.dates.weekdays
            or i.kind == "n"
            for i in items[start:k]
        )

    def _dates_visit(self, k: int, day: Day, now: bool) -> bool:
        """Whether a day of this kind, at this place of the note, is the day of a visit."""
        if day.kind in ("date", "numeric") or now:
            return True
        if day.kind == "offset":
            return day.days > -7 and not day.which.startswith("months")
        if self._line_head(k):
            return True
        if day.kind == "day":
            if (day.day or 0) < _ORDERED and not any(
                ch.isdecimal() for ch in self.row.items[k].word
            ):
                # "two on the second" is the second shake
                return False
            return k <= _PREAMBLE or self._keeper_acts(k) or self._taken_out(k)
        return k <= _PREAMBLE or self._sampling(k) or self._keeper_acts(k)

    def _sampling(self, k: int) -> bool:
        """Whether words of sampling stand near item ``k``."""
        near = self.row.items[max(0, k - _NEAR) : k + _NEAR - 1]
        about = ("method.", "mite", "test", "sample", "seen")
        return any(name.startswith(about) for x in near for name in x.ids)

    def _keeper_acts(self, k: int) -> bool:
        """ "on Friday I opened both": the keeper tells, near item ``k``, what was done that day."""
        a, b = self.clauses.around(k)
        i = self.row.items[max(a, k - _TELLING)].i
        j = self.row.items[min(b, k + _TELLING + 1) - 1].j
        words = self.row.words[i:j]
        if any(w in self.words.inspected for w in words):
            return True
        # "Did hive 5 on Tuesday": who acts may be left out at the head of a sentence
        head = self.row.items[a].word if a < k else ""
        return (any(w in self.words.teller for w in words) and any(map(self._past, words))) or (
            self._past(head)
        )

    def _past(self, word: str) -> bool:
        """Whether a word tells of something done."""
        return word in self.words.past or word.endswith(self.words.past_endings)
