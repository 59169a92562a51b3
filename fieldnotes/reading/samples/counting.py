"""Stage 10b: the mites of one sample, from all counts told of it."""

from __future__ import annotations

from dataclasses import replace

from ...records import Span
from ..binding import Bound, Candidate
from ..counts import Folded, Role, Told, doubtful, fold
from ..drafts import Doubt, Given, SampleDraft
from ..items import Item, item_span, span_of
from ..standing import BLOCKING
from .methods import BEE_TERMS
from .roles import role_before, role_of, round_of
from .topics import adds_to_other_things, counts_other_things

SURE = 3.0
"""Weight of a binding from which a number counts mites by its own words."""

NOUNLESS = 3.4
"""Weight below which no word of mites or bees stands with a number."""

FAIR = 2.5
"""Weight from which a number counts mites where nothing surer is told; below it is asked."""


NEAR = 24
"""Items after a count within which a bare number may still be told of it."""

AFTER = 40
"""Tokens after a count within which it may be said that it does not hold."""

Entry = tuple[int, Candidate | None]
"""An item that tells a count, and its binding if it has one."""


_NO_NOUNS = frozenset({"mite", "add", "returned", "container"})
"""Terms that may follow a bare number, since it does not count them, or counts mites."""

BEES = 200
"""A bare number as large is rather one of bees than of mites."""


class MiteCounter:
    """Counts the mites of samples in one note."""

    def __init__(self, bound: Bound) -> None:
        self.bound = bound
        self.row = bound.row
        self.by_item = bound.by_item
        self.named = bound.named
        self.around = bound.row.grammar.counts.bare
        self.starting = {item.i: item for item in bound.row.items}

    def count(self, sample: SampleDraft, mine: set[int], used: set[int]) -> None:
        """Give the sample its count, or a doubt; ``used`` gets the numbers that it rests on."""
        counts = self._eligible(sample)
        entries = self._in_order(counts, mine)
        thrown = self._thrown_away(entries, mine)
        used.update(k for k, _ in thrown)
        entries = [e for e in entries if e not in thrown]
        told, spans = self._told(sample, entries)
        if not told:
            self.lone_number(sample, mine, used)
            if "mites" not in sample.facts and not sample.doubts_on("mites"):
                self._said_nothing(sample)
            return
        result = fold(told)
        if result.value is not None and self._unsettled(entries, mine):
            result = doubtful(told, result)
        if result.value and sample.unsure and result.doubt is None and not thrown:
            result = replace(result, doubt="ambiguous")
            spans = [*spans, sample.unsure]
        self._give(sample, result, spans)
        claimed = {c.k for c in counts}
        used.update(k for k, _ in entries if k in claimed or result.confirmed)
        weak = all(c.k >= 0 and c.weight < FAIR and not c.column for c in counts)
        if result.value is not None and weak and not (result.doubt or result.confirmed):
            # a number after "got" or "came out", without a word of mites: said back, not taken
            spans_used = sample.facts["mites"].spans
            sample.doubts.append(Doubt("mites", "ambiguous", spans_used, (str(result.value),)))

    def _eligible(self, sample: SampleDraft) -> list[Candidate]:
        """The counts that can be of this sample, by its method and by how sure they are."""
        method, counts = sample.method, sample.counts
        infested = [c for c in counts if c.slot == "infested"]
        if method == "drone_uncapping":
            counts = infested or [c for c in counts if c.slot == "mites"]
        elif infested and (proof := self._drone_proof(sample)):
            sample.facts.setdefault("method", Given("drone_uncapping", proof))
            counts = infested
        else:
            counts = [c for c in counts if c.slot == "mites" or method == "visual"]
        if any(c.column for c in counts):
            counts = [c for c in counts if c.column]
        counts = [c for c in counts if not self._denied(c) and not self._of_other_things(c)]
        counts = [
            c
            for c in counts
            if c.weight >= FAIR or c.column or c.k < 0 or not self._of_something(c.k)
        ]
        own = (
            sample.facts.keys() & {"method", "volume_ml", "bees", "source", "days", "bees_weight_g"}
            or sample.wash
            or sample.roll
        )
        if not own:
            # "got nothing" of a colony that was not sampled is no count
            counts = [c for c in counts if c.k >= 0 or c.column or self._names_mites(c)]
        return self._surest(counts)

    def _names_mites(self, c: Candidate) -> bool:
        """Whether a fixed count names mites, or is said of none right beside a colony's name."""
        span = self.row.items[c.first : c.last]
        words = " ".join(item.word for item in span)
        return (
            len(span) == 1
            or (len(span) == 2 and span[0].word in self.row.grammar.counts.names.showed)
            or words in self.row.grammar.counts.names.none_phrases
            or any("mite" in item.ids for item in span)
        )

    def _denied(self, c: Candidate) -> bool:
        """Whether a count is said not to be: "not five mites", but not "five, no, make it six"."""
        if "denied" not in c.standing or c.value == 0:
            return False
        return c.k < 0 or role_of(self.row, self.row.items[c.k]) != "repair"

    def _of_other_things(self, c: Candidate) -> bool:
        """Whether a count without a word of mites stands in a sentence that counts other things."""
        return (
            c.k >= 0 and not c.column and c.weight < NOUNLESS and counts_other_things(self.row, c.k)
        )

    def _drone_proof(self, sample: SampleDraft) -> list[Span]:
        """The words that show that infested cells are of drone brood."""
        if "cells" in sample.facts:
            return sample.facts["cells"].spans
        return []

    def _surest(self, counts: list[Candidate]) -> list[Candidate]:
        """Counts told with a word of mites, if there are any, and what adds to or mends them."""
        items = self.row.items
        strong = [c for c in counts if c.weight >= SURE]
        if not strong:
            return counts
        # a zero said only in passing yields to a count
        if any(c.k >= 0 and items[c.k].value for c in strong):
            strong = [c for c in strong if c.k >= 0 or c.value != 0]
        # and so does a "one" that may be a pronoun: "the trays were ready and she had one"
        loose = [c for c in strong if c.k >= 0 and self._pronoun(c)]
        if len(loose) < len(strong):
            strong = [c for c in strong if c not in loose]
        weak = [c for c in counts if c.weight < SURE and c.k >= 0]
        added_to = self._added_to(strong, weak)
        return strong + [
            c for c in weak if c in added_to or role_of(self.row, items[c.k]) != "count"
        ]

    def _added_to(self, strong: list[Candidate], weak: list[Candidate]) -> list[Candidate]:
        """ "Six. Hang on, there's three more stuck": the bare count that the first part adds to."""
        told = [c for c in strong if c.k >= 0]
        first = min(told, key=lambda c: c.k, default=None)
        if first is None or role_of(self.row, self.row.items[first.k]) != "add":
            return []
        before = [
            c for c in weak if c.k < first.k and role_of(self.row, self.row.items[c.k]) == "count"
        ]
        return before[-1:]

    def _pronoun(self, c: Candidate) -> bool:
        """Whether a "one" without a word of mites may stand for a thing of another kind."""
        item = self.row.items[c.k]
        return (
            item.word in self.around.pronouns
            and c.weight < NOUNLESS
            and role_of(self.row, item) == "count"
        )

    def _in_order(self, counts: list[Candidate], mine: set[int]) -> list[Entry]:
        """The counts as they were told, and the bare numbers among and right after them."""
        entries: list[Entry] = [(c.k if c.k >= 0 else c.first, c) for c in counts]
        if entries:
            taken = {k for k, _ in entries}
            first, final = min(taken), max(taken)
            for k in sorted(mine):
                if first - 2 <= k <= final + NEAR and k not in taken and self._joins_in(k):
                    entries.append((k, None))
                    if self._another(self.row.items[k]):
                        final = max(final, k)
            entries.sort(key=lambda e: e[0])
        return entries

    def _thrown_away(self, entries: list[Entry], mine: set[int]) -> list[Entry]:
        """The counts that are said to be none, before the next count is told.

        "No mites, but the bees were wet, that's no count; then four from a dry jar."
        """
        out: list[Entry] = []
        end: int | None = None
        for entry in reversed(entries):
            k, c = entry
            start = self.row.items[k].i
            reach = self._reach(k, mine) if end is None else min(end, start + AFTER)
            if self._told_between("void", start, reach):
                out.append(entry)
            if c is not None:  # a bare "one" between ("that one doesn't count") is no next count
                end = start
        return out

    def _unsettled(self, entries: list[Entry], mine: set[int]) -> bool:
        """Whether it is said among or right after the counts that nobody knows which holds."""
        first, final = entries[0][0], entries[-1][0]
        return self._told_between("unsettled", self.row.items[first].i, self._reach(final, mine))

    def _reach(self, k: int, mine: set[int]) -> int:
        """The token up to which words may speak of the count at item ``k``: not of another hive."""
        items = self.row.items
        last = items[k].j + AFTER
        for j in range(k + 1, len(items)):
            if items[j].i >= last or j not in mine:
                return min(last, items[j].i)
        return last

    def _told_between(self, name: str, low: int, high: int) -> bool:
        """Whether words of this list of repairs.toml stand between two tokens."""
        return any(name in names for names, _, _ in self.row.ops_near(low, high))

    def _joins_in(self, k: int) -> bool:
        """Whether a number that is bound to nothing else may be told of the count around it."""
        item = self.row.items[k]
        if item.kind != "n":
            return self._another(item)
        have = self.by_item.get(k)
        standing = self.bound.standing(item)
        return (
            (have is None or (have.slot == "mites" and have.weight < SURE))
            and not self._named(k)
            and not self._pointed_at(k)
            and not counts_other_things(self.row, k)
            and not (item.open and not self._bare(k))
            and item.value < BEES
            and not standing & BLOCKING
            and ("denied" not in standing or role_of(self.row, item) == "repair")
        )

    def _told(self, sample: SampleDraft, entries: list[Entry]) -> tuple[list[Told], list[Span]]:
        """What each entry tells, and the span of its words."""
        told: list[Told] = []
        spans: list[Span] = []
        for k, c in entries:
            if c is not None and c.k < 0:
                value = 0 if "denied" in c.standing else int(str(c.value))
                told.append(Told(value, "count" if not told else role_before(self.row, c.first)))
                spans.append(span_of(self.row, c.first, c.last))
                continue
            item = self.row.items[k]
            if item.kind != "n" and c is None:
                told.append(Told(1, "another", strong=False))
                spans.append(item_span(item))
                continue
            role = self._role(k, c)
            # "one more" is numbered, however it was bound
            count = self._one(item, role, c is None or c.weight >= SURE or role == "another")
            if count is None:
                continue
            if item.kind == "frac" and "bees" not in sample.facts and item.over >= 50:
                sample.facts["bees"] = Given(int(item.over), [item_span(item)])
            told.append(count)
            spans.append(item_span(item))
        return told, spans

    def _another(self, item: Item) -> bool:
        """ "There's another in the lid": one mite more, without a number."""
        near = self.row.words[max(0, item.i - 1) : item.j + 1]
        after = self.starting.get(item.j)
        if after is not None and (after.kind in ("vol", "spoon", "mass") or _is_test(after)):
            return False  # "another half cup", "another wash"
        return item.word in self.row.grammar.roles.another and not any(
            w in self.row.grammar.numbers.words or w[0].isdecimal() for w in near
        )

    def _role(self, k: int, c: Candidate | None) -> Role:
        """The role of the number at item ``k``; without a binding it must show that it counts."""
        item = self.row.items[k]
        role = role_of(self.row, item)
        if role == "add" and c is None and adds_to_other_things(self.row, k):
            return "spare"
        if role == "add" and item.value == 1 and self._says_more(item):
            return "another"
        if c is None and (
            role == "count"
            or not self._bare(k)
            or (role == "add" and not (self._says_more(item) or round_of(self.row, item)))
        ):
            return "spare"
        return role

    @staticmethod
    def _one(item: Item, role: Role, strong: bool) -> Told | None:
        """What one number tells; nothing if it is no whole number of mites."""
        if item.kind == "frac":
            return Told(round(item.value * item.over), role)
        if item.low is not None or item.high is not None:
            if role == "spare":
                return None
            low = int(item.low) if item.low is not None else None
            high = int(item.high) if item.high is not None and item.form != "over" else None
            return Told(int(item.value), role, True, low, high)
        if float(item.value) != int(item.value):
            return None
        return Told(int(item.value), role, item.open, strong=strong)

    def _give(self, sample: SampleDraft, result: Folded, spans: list[Span]) -> None:
        """Note the count and its bounds, and ask where it is in doubt."""
        proof = [spans[i] for i in result.used] or spans
        if result.value is not None:
            sample.facts["mites"] = Given(result.value, proof)
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
            and not self._of_something(k)
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
        elif len(free) == 1 and role_of(self.row, items[free[0]]) != "add":
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
        if before is None:
            return False
        if "hive" in before.ids or before.word in self.around.naming:
            return True
        leads = "numbersign" in before.ids or before.kind in ("name", "letter")
        return leads and role_of(self.row, self.row.items[k]) != "repair"

    def _of_something(self, k: int) -> bool:
        """Whether the number counts what its own noun names, or is the one in "the one I mean"."""
        return not self._bare(k) or self._pointed_at(k)

    def _pointed_at(self, k: int) -> bool:
        item, words = self.row.items[k], self.row.words
        return (
            item.word in self.around.pronouns
            and item.i > 0
            and words[item.i - 1] in self.around.pointing
        )

    def _bare(self, k: int) -> bool:
        """A number with no noun of its own after it."""
        items = self.row.items
        if k + 1 >= len(items):
            return True
        nxt = items[k + 1]
        if nxt.kind == "word" and nxt.word in self.around.words:
            return True
        if not self.row.words[items[k].j].isalnum():
            return True  # "7? The light was going": the mark is taken into the number
        return (
            nxt.kind in ("border", "mark", "n", "day")
            or nxt.word in self.around.any
            or not nxt.ids.isdisjoint(_NO_NOUNS)
            # "twelve, there was one in the lid", but not "one was a crumb"
            or ("counted" in nxt.ids and items[k].word not in self.around.pronouns)
        )


def _is_test(item: Item) -> bool:
    return any(i in ("test", "sample") or i.startswith("method.") for i in item.ids)
