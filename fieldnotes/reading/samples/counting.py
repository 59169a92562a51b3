"""Stage 10b: the mites of one sample, from all counts told of it."""

from __future__ import annotations

from ...records import Span
from ..binding import Bound, Candidate
from ..counts import Told, fold
from ..drafts import Doubt, Given, SampleDraft
from ..items import Item, item_span, span_of
from ..standing import BLOCKING
from .methods import BEE_TERMS
from .roles import role_before, role_of


class MiteCounter:
    """Counts the mites of samples in one note."""

    def __init__(self, bound: Bound) -> None:
        self.bound = bound
        self.row = bound.row
        self.by_item = bound.by_item
        self.named = bound.named
        self.around = bound.row.grammar.counts.bare

    def count(self, sample: SampleDraft, mine: set[int], used: set[int]) -> None:
        row = self.row
        method = sample.method
        counts = sample.counts
        if method == "drone_uncapping":
            infested = [c for c in counts if c.slot == "infested"]
            counts = infested or [c for c in counts if c.slot == "mites"]
        else:
            infested = [c for c in counts if c.slot == "infested"]
            if infested and "cells" in sample.facts:
                sample.facts.setdefault(
                    "method", Given("drone_uncapping", sample.facts["cells"].spans)
                )
                counts = infested
            else:
                counts = [c for c in counts if c.slot == "mites" or method == "visual"]
        if any(c.column for c in counts):
            counts = [c for c in counts if c.column]
        if any("denied" in c.standing and c.value != 0 for c in counts):
            counts = [c for c in counts if "denied" not in c.standing or c.value == 0]
        own = (
            sample.facts.keys() & {"method", "volume_ml", "bees", "source", "days", "bees_weight_g"}
            or sample.wash
        )
        if not own:
            # "got nothing" of a colony that was not sampled is no count
            counts = [c for c in counts if c.k >= 0 or c.weight >= 3.5 or c.column]
        strong = [c for c in counts if c.weight >= 3.0]
        if strong:
            # a zero said only in passing yields to a count
            zeros = [c for c in strong if c.k < 0]
            if (
                zeros
                and len(zeros) < len(strong)
                and not all(row.items[c.k].value == 0 for c in strong if c.k >= 0)
            ):
                strong = [c for c in strong if c.k >= 0]
            counts = strong + [
                c
                for c in counts
                if c.weight < 3.0 and c.k >= 0 and role_of(row, row.items[c.k]) != "count"
            ]
        counts = sorted(counts, key=lambda c: c.k if c.k >= 0 else c.first)
        told: list[Told] = []
        spans: list[Span] = []
        entries: list[tuple[int, Candidate | None]] = [
            (c.k if c.k >= 0 else c.first, c) for c in counts
        ]
        if entries:
            first_k = entries[0][0]
            final_k = entries[-1][0]
            taken = {e for e, _ in entries}
            for k in sorted(mine):
                if first_k < k <= final_k + 16 and row.items[k].kind == "n" and k not in taken:
                    have = self.by_item.get(k)
                    role = role_of(row, row.items[k])
                    if (
                        role in ("total", "repair", "add")
                        and (role != "add" or self._says_more(row.items[k]))
                        and (have is None or (have.slot == "mites" and have.weight < 3))
                        and self._bare(k)
                        and not self.bound.standing(row.items[k]) & BLOCKING
                    ):
                        entries.append((k, None))
            entries.sort(key=lambda e: e[0])
        for k, c in entries:
            if c is not None and c.k < 0:
                told.append(Told(0, "count" if not told else role_before(row, c.first)))
                spans.append(span_of(row, c.first, c.last))
                continue
            item = row.items[k]
            used.add(k)
            role = role_of(row, item)
            if item.kind == "frac":
                told.append(Told(round(item.value * item.over), role))
                if "bees" not in sample.facts and item.over >= 50:
                    sample.facts["bees"] = Given(int(item.over), [item_span(item)])
            elif item.low is not None or item.high is not None:
                low = int(item.low) if item.low is not None else None
                high = int(item.high) if item.high is not None else None
                if item.form == "over":
                    high = None
                told.append(Told(int(item.value), role, True, low, high))
            elif float(item.value) != int(item.value):
                continue
            else:
                told.append(
                    Told(int(item.value), role, item.open, strong=c is None or c.weight >= 3.0)
                )
            spans.append(item_span(item))
        if not told:
            self.lone_number(sample, mine, used)
            if "mites" not in sample.facts and not sample.doubts_on("mites"):
                self._said_nothing(sample)
            return
        result = fold(told)
        proof = [spans[i] for i in result.used] or spans
        if result.value is not None:
            sample.facts["mites"] = Given(result.value, proof)
            weak = [c for c in counts if c.k >= 0 and c.weight < 3.0 and not c.column]
            if weak and len(weak) == len(counts) and not result.doubt:
                # a number after "got" or "came out", without a word of mites: said back, not taken
                sample.doubts.append(Doubt("mites", "ambiguous", proof, (str(result.value),)))
        if result.low is not None:
            sample.facts["mites_low"] = Given(result.low, proof)
        if result.high is not None:
            sample.facts["mites_high"] = Given(result.high, proof)
        if result.doubt:
            options = tuple(str(o) for o in result.options) or (
                (str(result.value),) if result.value is not None else ()
            )
            if result.low is not None and result.high is not None:
                options = (str(result.low), str(result.high))
            sample.doubts.append(Doubt("mites", result.doubt, proof, options))

    def _said_nothing(self, sample: SampleDraft) -> None:
        """A bare "nothing" or "none" shortly after the sample's own words is its count."""
        places = [g.at for g in sample.facts.values() if g.at >= 0]
        for c in sample.zeros:
            if (
                "method" in sample.facts
                and any(0 < c.first - at <= 10 for at in places)
                and not c.standing & BLOCKING
            ):
                sample.facts["mites"] = Given(0, [span_of(self.row, c.first, c.last)])
                return

    def lone_number(self, sample: SampleDraft, mine: set[int], used: set[int]) -> None:
        """A sample without a count, and one bare number that nothing else claims: that is it.

        Several such numbers are a question with those numbers as its answers.
        """
        if sample.vague or "rate_per_100" in sample.facts or "mites_per_day" in sample.facts:
            return
        if "method" not in sample.facts and sample.wash is None and not sample.test:
            return
        items = self.row.items
        if not self.named and not any(i.ids & BEE_TERMS for i in items):
            return
        start = min((g.at for g in sample.facts.values() if g.at >= 0), default=0)
        free = [
            k
            for k in sorted(mine)
            if k > start
            and k not in used
            and items[k].kind == "n"
            and items[k].form != "set"
            and items[k].value == int(items[k].value)
            and (
                k not in self.by_item
                or (
                    self.by_item[k].slot == "mites"
                    and not self.by_item[k].standing & (BLOCKING | {"denied"})
                )
            )
            and self._bare(k)
            and not self.bound.standing(items[k]) & (BLOCKING | {"denied"})
            and not self._named(k)
        ]
        if len(free) > 1 and all(role_of(self.row, items[k]) != "count" for k in free[1:]):
            told = [
                Told(int(items[k].value), role_of(self.row, items[k]), items[k].open) for k in free
            ]
            result = fold(told)
            if result.value is not None:
                used.update(free)
                sample.facts["mites"] = Given(
                    result.value, [item_span(items[free[i]]) for i in result.used]
                )
                if result.doubt:
                    sample.doubts.append(
                        Doubt("mites", result.doubt, list(sample.facts["mites"].spans))
                    )
        elif len(free) == 1:
            item = items[free[0]]
            used.add(free[0])
            if item.low is None and item.high is None:
                sample.facts["mites"] = Given(int(item.value), [item_span(item)])
                near = [
                    g.at for g in sample.facts.values() if g.at >= 0 and abs(g.at - free[0]) <= 6
                ]
                if item.open or not near:
                    sample.doubts.append(
                        Doubt("mites", "ambiguous", [item_span(item)], (f"{item.value:g}",))
                    )
            else:
                sample.doubts.append(Doubt("mites", "ambiguous", [item_span(item)]))

    def _says_more(self, item: Item) -> bool:
        """ "two more", "another two", "plus two"."""
        around = self.row.words[max(0, item.i - 1) : item.i] + self.row.words[item.j : item.j + 1]
        return any(w in self.row.grammar.roles.more for w in around)

    def _named(self, k: int) -> bool:
        if k in self.named:
            return True
        before = self.row.items[k - 1] if k else None
        return before is not None and (
            "hive" in before.ids
            or "numbersign" in before.ids
            or before.kind in ("name", "letter")
            or before.word in self.around.naming
        )

    def _bare(self, k: int) -> bool:
        """A number with no noun of its own after it."""
        items = self.row.items
        if k + 1 >= len(items):
            return True
        nxt = items[k + 1]
        if nxt.kind == "word" and nxt.word in self.around.words:
            return True
        return (
            nxt.kind in ("border", "mark", "n")
            or nxt.word in self.around.any
            or "mite" in nxt.ids
            or "add" in nxt.ids
            or "returned" in nxt.ids
        )
