"""Stage 10b: the samples of one place, from the candidates that speak of it."""

from __future__ import annotations

from collections.abc import Iterable

from ..binding import Bound, Candidate
from ..drafts import Given, SampleDraft
from ..items import span_of
from ..standing import BLOCKING
from .attributes import SURE
from .counting import MiteCounter
from .events import find_events
from .merging import drop_foreign, merge, share_each
from .methods import BEE_TERMS, JAR_TERMS, JARS
from .segments import Segmenter

ANEW = frozenset({"source", "volume", "bees", "weight", "position"})
"""What may be told anew of a sample that otherwise is as the one before."""


_OF_MITES = frozenset({"mite", "test", "sample", "board.weak", "sugar"})
_BOARDS = frozenset({"method.board", "board.weak"})
_OF_JARS_OR_CELLS = frozenset({"volume_ml", "bees", "bees_weight_g", "source", "shake_s", "cells"})
LONGEST_DAYS = 60
"""Days for which no board lies."""
BESIDE = 30
"""Characters within which days beside a count are those in which the mites fell."""


class SampleBuilder:
    """Builds the samples of one place from the candidates that speak of it."""

    def __init__(self, bound: Bound) -> None:
        self.bound = bound
        self.row = bound.row
        about = BEE_TERMS - {"queen", "hive", "sample"}
        self.of_bees = bool(bound.named) or any(i.ids & about for i in bound.row.items)
        dated = bound.row.grammar.samples.boards.dated
        self.any_board = any(
            not i.ids.isdisjoint(_BOARDS)
            or ("container" in i.ids and i.word.rpartition(" ")[2] in dated)
            for i in bound.row.items
        )
        self.any_jar = any(n in JAR_TERMS for item in bound.row.items for n in item.ids)
        self.of_mites = any(
            name in ("mite", "test", "sample") or name.startswith(("method.", "board."))
            for item in bound.row.items
            for name in item.ids
        )
        of_mites = [
            "denied" in bound.standing(item)
            for item in bound.row.items
            if any(n in _OF_MITES or n.startswith("method.") for n in item.ids)
        ]
        self.mites_denied = bool(of_mites) and all(of_mites)
        self.segmenter = Segmenter(bound)
        self.counter = MiteCounter(bound)

    def build(self, own: Iterable[int]) -> tuple[list[SampleDraft], set[int]]:
        """Samples told in the items ``own``; also the value items that they use."""
        events = find_events(self.bound, own)
        mine = set(own)
        told = {name for _, name, _ in events}
        taken = told & {"volume", "bees"} and told & {"source", "sugar_word"}
        jar = bool(told & (JAR_TERMS | {"method.roll"}) or taken)
        segments = self.segmenter.cut(events, jar)
        samples = merge(segments)
        for sample in samples:
            drop_foreign(self.row, sample, mine)
        used: set[int] = set()
        out: list[SampleDraft] = []
        for sample in samples:
            self.counter.count(sample, mine, used)
            if "source" not in sample.facts:
                drop_foreign(self.row, sample, mine)
            self._of_days(sample)
            if self._is_sample(sample):
                out.append(sample)
        share_each(self.row, out)
        return out, used

    def lone(self, own: Iterable[int], model: SampleDraft, used: set[int]) -> SampleDraft | None:
        """A sample "the same as" ``model`` of which only a bare count is said."""
        mine = set(own)
        # "the same, but off a honey frame": what is told anew stands
        events = [e for e in find_events(self.bound, mine) if e[1] in ANEW]
        sample = self.segmenter.cut(events, False)[0]
        if "method" in model.facts:
            sample.facts["method"] = Given(
                model.facts["method"].value, list(model.facts["method"].spans)
            )
        sample.wash = model.wash
        self.counter.lone_number(sample, mine, used)
        if "mites" not in sample.facts:
            zero = next(
                (
                    c
                    for c in self.bound.of(mine)
                    if c.slot == "mites_zero" and not c.standing & BLOCKING
                ),
                None,
            )
            if zero is not None:
                sample.facts["mites"] = Given(0, [span_of(self.row, zero.first, zero.last)])
        return sample if "mites" in sample.facts else None

    def _of_days(self, sample: SampleDraft) -> None:
        """Mites in so many days fell on a board, also where no word for one stands beside them."""
        facts = sample.facts
        days, mites = facts.get("days"), facts.get("mites")
        unnamed = not (sample.method or sample.wash or sample.roll or sample.sugar_words)
        if not (unnamed and days and mites) or facts.keys() & _OF_JARS_OR_CELLS:
            return
        beside = any(abs(a[0] - b[1]) <= BESIDE for a in mites.spans for b in days.spans)
        if days.value <= LONGEST_DAYS and (beside or self.any_board):
            facts["method"] = Given("sticky_board", list(days.spans), weight=0.0, at=days.at)

    def _on_bees(self, c: Candidate) -> bool:
        """Whether it counts bees that were seen with mites on them."""
        after = self.row.items[c.k + 1 : c.k + 2] if c.k >= 0 else []
        return any("sign.mites_on_bees" in item.ids for item in after)

    def _is_sample(self, sample: SampleDraft) -> bool:
        facts = sample.facts
        told = sample.vague or sample.wash or sample.roll or sample.sugar_words
        if not (facts or told or sample.doubts_on("mites")):
            return False  # a number that was no count in the end
        untold = not (sample.method or sample.wash or sample.roll or sample.sugar_words)
        if untold and facts.keys() == {"mites"} and facts["mites"].value and self.mites_denied:
            return False  # "no mite count today, four queen cells, there was one on the bar"
        if sample.vague and not (facts or sample.counts or self.of_mites):
            return False  # "saw the queen, forgot to write it down"
        if not (self.of_bees or self.any_jar or sample.method):
            return False  # "there were four or five cars"
        # bees seen with mites on them are a sign, and no sample by themselves
        counted = any(facts or not self._on_bees(c) for c in sample.counts)
        if (
            any(
                name in facts
                for name in ("mites", "mites_low", "mites_high", "rate_per_100", "mites_per_day")
            )
            or counted
            or sample.vague
        ):
            if "mites_per_day" in facts:
                return True
            # a rate or a place alone, with no jar in the note, is talk about mites
            bare = {"rate_per_100", "position", "returned", "queen_checked", "source", "days"}
            return bool(
                sample.wash
                or sample.roll
                or self.any_jar
                or sample.vague
                or counted
                or not set(facts) <= bare
            )
        method = sample.method
        if not self.of_bees:
            return False
        if method in JARS or (method is None and (sample.wash or sample.roll)):
            return (
                "volume_ml" in facts
                or "bees" in facts
                or "source" in facts
                or "shake_s" in facts
                or "bees_weight_g" in facts
            )
        if method == "drone_uncapping":
            return "cells" in facts
        if method == "sticky_board":
            return False
        if sample.test and facts.keys() & {"volume_ml", "bees", "source"}:
            return True
        sure = "source" in facts and facts["source"].weight >= SURE
        return "volume_ml" in facts and (sure or "bees" in facts)
