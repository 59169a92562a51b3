"""Stage 10b: the events of one place cut into segments, one for each sample that is told of."""

from __future__ import annotations

from ..binding import Bound, Candidate
from ..drafts import Given, SampleDraft
from ..items import Item, item_span, span_of
from .attributes import give
from .events import Event
from .methods import JAR_TERMS, JARS, METHODS

_JAR_SLOTS = frozenset({"volume", "source", "bees", "weight"})
"""What is told of a jar of bees, and of no board."""
_JAR_WORDS = JAR_TERMS | {"method.roll", "sugar_word"}
"""What shows that a jar of bees was taken."""


class Segmenter:
    """Cuts events into segments."""

    def __init__(self, bound: Bound) -> None:
        self.bound = bound
        self.row = bound.row
        self.boards = bound.row.grammar.samples.boards

    def cut(self, events: list[Event], jar: bool) -> list[SampleDraft]:
        segments: list[SampleDraft] = []
        current = SampleDraft()
        segments.append(current)
        for k, name, what in events:
            if (
                name == "days"
                and isinstance(what, Candidate)
                and what.column
                and "method" not in current.facts
            ):
                current.facts["method"] = Given("sticky_board", [item_span(self.row.items[what.k])])
            if name in METHODS or name == "board.weak":
                assert isinstance(what, Item)
                if name == "board.weak" and not self._is_board(k, jar):
                    continue
                if name == "method.drone" and not self._is_drone(k, events):
                    continue
                method = METHODS.get(name, "sticky_board")
                given = Given(method, [item_span(what)], at=k)
                have = current.facts.get("method")
                in_hand = have or current.sugar_words or current.wash or current.roll
                if method == "visual" and in_hand and not self._bees_ahead(events, k):
                    continue  # "went over the tray with the magnifier": how the drop was counted
                if have is None:
                    current.facts["method"] = given
                elif have.value == method:
                    have.spans.append(given.spans[0])
                elif not current.counts and self.bound.repaired(have.at, k):
                    current.facts["method"] = given  # "sugar roll, no, alcohol wash"
                else:
                    same = next((s for s in segments if s.method == method), None)
                    if same is not None and same.counts:
                        continue
                    if same is not None:
                        current = same
                    else:
                        current = SampleDraft()
                        segments.append(current)
                        current.facts["method"] = given
                continue
            if name == "test":
                current.test = True
                continue
            if name == "method.wash":
                assert isinstance(what, Item)
                current.wash = item_span(what)
                continue
            if name in ("method.roll", "method.shake"):
                assert isinstance(what, Item)
                current.roll = item_span(what)
                continue
            if name == "sugar_word":
                assert isinstance(what, Item)
                current.sugar_words = current.sugar_words or item_span(what)
                continue
            if name == "step":
                assert isinstance(what, tuple)
                self._step(current, *what)
                continue
            if not isinstance(what, Candidate):
                continue
            if (
                name == "source"
                and "source" in current.facts
                and current.counts
                and current.facts["source"].value != what.value
                and current.facts["source"].weight <= what.weight + 0.6
                and not self.bound.repaired(current.facts["source"].at, what.first)
                and self._count_ahead(events, k)
            ):
                # the same jar work done on another kind of frame is another sample
                fresh = SampleDraft()
                for attr in ("method", "volume_ml"):
                    if attr in current.facts:
                        g = current.facts[attr]
                        fresh.facts[attr] = Given(g.value, list(g.spans), weight=g.weight, at=g.at)
                fresh.wash = current.wash
                segments.append(fresh)
                current = fresh
            if name in _JAR_SLOTS and self._before_jar(segments, current, events, k):
                # "9 mites on the board. Also took 1 dl off a brood comb with CO2"
                current = SampleDraft()
                segments.append(current)
            target = self._target(segments, current, name)
            if name == "mites_zero":
                target.zeros.append(what)
            elif name in ("mites", "infested"):
                target.counts.append(what)
            elif name == "mites_unsure":
                target.unsure = span_of(self.row, what.first, what.last)
            elif name == "mites_vague":
                target.vague = span_of(self.row, what.first, what.last)
            else:
                give(self.bound, target, name, what)
        return segments

    @staticmethod
    def _before_jar(
        segments: list[SampleDraft], current: SampleDraft, events: list[Event], k: int
    ) -> bool:
        """Whether a jar of bees is told of from ``k`` on, after a board that has its count."""
        if current.method != "sticky_board" or not current.counts or len(segments) > 1:
            return False
        return any(at > k and name in _JAR_WORDS for at, name, _ in events)

    @staticmethod
    def _bees_ahead(events: list[Event], k: int) -> bool:
        """Whether a number of bees follows before the next count."""
        after = next((name for at, name, _ in events if at > k and name in ("bees", "mites")), "")
        return after == "bees"

    @staticmethod
    def _count_ahead(events: list[Event], k: int) -> bool:
        """Whether a count follows before the next change of frame."""
        for at, name, _ in events:
            if at > k and name in ("mites", "mites_zero"):
                return True
            if at > k and name == "source":
                return False
        return False

    @staticmethod
    def _target(segments: list[SampleDraft], current: SampleDraft, slot: str) -> SampleDraft:
        """Values that only one kind of method takes go to the segment of that method."""
        if slot == "days" and current.method not in (None, "sticky_board"):
            return next((s for s in segments if s.method == "sticky_board"), current)
        if slot in ("cells", "infested") and current.method not in (None, "drone_uncapping"):
            return next((s for s in segments if s.method == "drone_uncapping"), current)
        if slot in ("volume", "source", "bees", "sugar", "shake") and current.method in (
            "sticky_board",
            "drone_uncapping",
        ):
            return next(
                (s for s in segments if s.method in JARS or (s.method is None and s.facts)),
                current,
            )
        return current

    def _is_board(self, k: int, jar: bool) -> bool:
        """A bare "board" or "tray" is a sticky board with days, a drop, or under the hive."""
        items = self.row.items
        near = range(max(0, k - 8), min(len(items), k + 9))
        if any(c.slot == "days" for j in near if (c := self.bound.by_item.get(j))):
            return True
        if jar:
            return False
        word = items[k].word
        if any(i.startswith("active") for j in near for i in items[j].ids):
            return False  # a tray of thymol
        if any(items[j].day is not None for j in near) and word in self.boards.dated:
            return True
        if word in self.boards.under:
            return any(items[j].kind == "days" or items[j].word in self.boards.lying for j in near)
        return True

    def _is_drone(self, k: int, events: list[Event]) -> bool:
        return (
            any(name in ("cells", "infested") for _, name, _ in events)
            or any(i in self.row.items[k].word for i in self.row.grammar.samples.drone.parts)
            or any(
                "opened" in self.row.items[j].ids
                for j in range(max(0, k - 6), min(len(self.row.items), k + 6))
            )
        )

    def _step(self, sample: SampleDraft, ids: frozenset[str], i: int, j: int) -> None:
        """A step that is spoken of. Phrases for skipped steps hold their own negation."""
        items = self.row.items
        start = next((x.start for x in items if x.i <= i < x.j), None)
        end = next((x.end for x in items if x.i < j <= x.j), None)
        if start is None or end is None or end <= start:
            return
        denied = any("denied" in self.bound.marks[t] for t in range(i, j))
        for name in sorted(ids):
            outcome, _, index = name.partition(" ")
            if denied and outcome == "done":
                outcome = "skipped"
            sample.steps.append((int(index), outcome, (start, end)))
