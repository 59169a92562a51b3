"""Stage 10b: the samples of one visit: which values belong to which, and what they add up to."""

from __future__ import annotations

from collections.abc import Iterable

from ..records import Span
from .binding import Candidate
from .counts import Role, Told, fold
from .drafts import Doubt, Given, SampleDraft
from .items import Item, Row

JARS = frozenset({"sugar", "alcohol", "soap", "co2", "ether"})
SLOTS = frozenset(
    {"mites", "mites_zero", "mites_vague", "bees", "volume", "weight", "source", "source_unclear",
     "position",
     "days", "cells", "infested", "sugar", "rest", "shake", "queen_checked", "returned",
     "rate_per_100", "per_day"}
)  # fmt: skip
_FIELD = {
    "volume": "volume_ml",
    "weight": "bees_weight_g",
    "sugar": "sugar_ml",
    "rest": "rest_s",
    "shake": "shake_s",
    "per_day": "mites_per_day",
}
_JAR_TERMS = frozenset(
    {"method.sugar", "method.alcohol", "method.soap", "method.co2", "method.ether", "method.wash"}
)
_BLOCKING = frozenset({"planned", "remembered", "supposed", "reported", "rule"})
_METHODS = {
    "method.sugar": "sugar",
    "method.alcohol": "alcohol",
    "method.soap": "soap",
    "method.co2": "co2",
    "method.ether": "ether",
    "method.board": "sticky_board",
    "method.drone": "drone_uncapping",
    "method.visual": "visual",
}


_ROUNDS = frozenset({"shake", "wash", "rinse", "pour", "go", "round", "time", "roll"})
_LATER = frozenset({"second", "third", "fourth", "next", "2nd", "3rd"})
_BEE_WORDS = frozenset(
    {"bee", "mite", "test", "brood", "brood_frame", "queen", "hive", "sample", "nuc", "honey_frame"}
)
# cues that also have plain uses, and so must stand close to the number they correct
_SOFT_REPAIRS = frozenset(
    {"no", "not", "wait", "sorry", "actually", "rather", "hang", "hold", "again"}
)
_PASSING = frozenset(
    {"i", "it", "was", "is", "its", "it's", "make", "that", "thats", "that's", "a",
     "only", "just", "wait",
     "sorry",
     "uh", "um", "mean", "there", "were", "count", "counted", "looked", "again", "the",
     "call", "say",
     "makes",
     "about", "=", ":", ",", "final", "in", "all", "mites", "mite", "to", "then", "we",
     "have", "get", "got",
     "for",
     "me", "at", "of", "no", "first", "rinse", "shake", "pour", "hang", "hold", "on"}
)  # fmt: skip


def span_of(row: Row, first: int, last: int) -> Span:
    """Character span of items ``first`` to ``last`` (exclusive) in the clean text."""
    last = max(first + 1, min(last, len(row.items)))
    return (row.items[first].start, row.items[last - 1].end)


def item_span(item: Item) -> Span:
    return (item.start, item.end)


def role_of(row: Row, item: Item) -> Role:
    """Whether a count adds to, sums up or replaces what was counted before it.

    Words before it count first ("no, five", "so five", "then another five"), then words after it
    ("five more", "five in all"), then rounds ("five on the second shake").
    """
    words = row.words
    found: Role = "count"
    for names, i, j in row.ops:
        if j <= item.i <= j + 4 and not _barrier(row, j, item.i):
            between = words[j : item.i]
            if (
                "repair" in names
                and len(between) <= 3
                and words[i] != "not"
                and (words[i] not in _SOFT_REPAIRS or all(w in _PASSING for w in between))
            ):
                found = "repair"
            elif "total" in names and all(w in _PASSING for w in between):
                found = "total"
            elif "add" in names and len(between) <= 1 and found == "count":
                found = "add"
    if found == "count":
        for names, i, j in row.ops:
            # a strong cue reaches over what explains it: "no wait, half of them are seeds, eleven"
            if (
                "repair" in names
                and j - i >= 2
                and j <= item.i <= j + 8
                and not _barrier(row, j, item.i)
            ):
                found = "repair"
    if found != "count":
        return found
    for names, i, _ in row.ops:
        after = item.j <= i <= item.j + 2
        if (
            after
            and "total" in names
            and words[i] in ("altogether", "total", "in", "all", "together")
        ):
            return "total"
        if item.j <= i <= item.j + 1 and "add" in names:
            return "add"
    after_words = words[item.j : item.j + 5]
    if after_words[:1] and after_words[0] in ("mite", "mites"):
        after_words = after_words[1:]
    if (
        len(after_words) >= 3
        and after_words[0] in ("on", "in", "from", "with", "off")
        and after_words[1] == "the"
        and after_words[2] in _LATER
    ):
        return "add"
    before = words[max(0, item.i - 3) : item.i]
    if (
        before
        and before[0] in _LATER
        and len(before) == 3
        and before[1] in _ROUNDS
        and before[2] in ("was", "gave", "had", "got", ":", "=")
    ):
        return "add"
    if len(before) >= 2 and before[-2] in _LATER and before[-1] in _ROUNDS:
        return "add"
    return "count"


def _barrier(row: Row, a: int, b: int) -> bool:
    return any(w[0] == "\n" or w in (".", ";") for w in row.words[a:b])


class SampleBuilder:
    """Builds the samples of one place from the candidates that speak of it."""

    def __init__(
        self, row: Row, chosen: list[Candidate], marks: list[set[str]], named: set[int]
    ) -> None:
        self.named = named
        self.any_jar = any(n in _JAR_TERMS for item in row.items for n in item.ids)
        self.row = row
        self.marks = marks
        self.by_item = {c.k: c for c in chosen if c.k >= 0}
        self.chosen = chosen

    def standing(self, item: Item) -> set[str]:
        out: set[str] = set()
        for t in range(item.i, item.j):
            out |= self.marks[t]
        return out

    def build(self, own: Iterable[int]) -> tuple[list[SampleDraft], set[int]]:
        """Samples told in the items ``own``; also the value items that they use."""
        events = self.events(own)
        mine = set(own)
        jar = any(name in _JAR_TERMS or name == "method.roll" for _, name, _ in events)
        segments = self._segments(events, jar)
        samples = self._merge(segments)
        for sample in samples:
            self._by_method(sample, mine)
        used: set[int] = set()
        out: list[SampleDraft] = []
        for sample in samples:
            self._count(sample, mine, used)
            if "source" not in sample.facts:
                self._by_method(sample, mine)
            if self._is_sample(sample):
                out.append(sample)
        return out, used

    def events(self, own: Iterable[int]) -> list[tuple[int, str, object]]:
        """What the items ``own`` say of samples, in order: methods, values and steps."""
        row = self.row
        mine = set(own)
        events: list[tuple[int, str, object]] = []
        for k in sorted(mine):
            item = row.items[k]
            if item.kind == "term":
                for name in item.ids:
                    if name == "test" and not self.standing(item) & (_BLOCKING | {"denied"}):
                        events.append((k, "test", item))
                    if name == "drone_brood" and any(
                        "opened" in row.items[j].ids
                        for j in range(max(0, k - 5), min(len(row.items), k + 4))
                    ):
                        name = "method.drone"
                    if name.startswith(("method.", "board.")) or name == "sugar":
                        if (
                            name == "sugar"
                            and k + 1 < len(row.items)
                            and row.items[k + 1].word in (":", "=")
                        ):
                            name = "method.sugar"
                        name = "sugar_word" if name == "sugar" else name
                        if not self.standing(item) & (_BLOCKING | {"denied"}):
                            events.append((k, name, item))
        first_at = {row.items[k].i: k for k in sorted(mine)}
        for ids, i, j in row.steps:
            at = first_at.get(i, first_at.get(i - 1))
            if at is not None and not any(
                m in self.marks[t] for t in range(i, j) for m in _BLOCKING
            ):
                events.append((at, "step", (ids, i, j)))
        for c in self.chosen:
            where = c.k if c.k >= 0 else c.first
            if c.slot in SLOTS and where in mine:
                if c.standing & _BLOCKING and not c.column:
                    continue
                events.append((where, c.slot, c))
        events.sort(key=lambda e: e[0])
        return events

    # -- segments --------------------------------------------------------------------------------

    def _segments(self, events: list[tuple[int, str, object]], jar: bool) -> list[SampleDraft]:
        segments: list[SampleDraft] = []
        current = SampleDraft()
        segments.append(current)
        seen_count = False
        for k, name, what in events:
            if (
                name == "days"
                and isinstance(what, Candidate)
                and what.column
                and "method" not in current.facts
            ):
                current.facts["method"] = Given("sticky_board", [item_span(self.row.items[what.k])])
            if name in _METHODS or name == "board.weak":
                assert isinstance(what, Item)
                if name == "board.weak" and not self._is_board(k, jar):
                    continue
                if name == "method.drone" and not self._is_drone(k, events):
                    continue
                method = _METHODS.get(name, "sticky_board")
                given = Given(method, [item_span(what)], at=k)
                have = current.facts.get("method")
                if have is None:
                    if not current.facts and not current.counts:
                        current.first = k
                    current.facts["method"] = given
                elif have.value == method:
                    have.spans.append(given.spans[0])
                else:
                    same = next(
                        (
                            s
                            for s in segments
                            if s.facts.get("method") and s.facts["method"].value == method
                        ),
                        None,
                    )
                    if same is not None and same.counts:
                        continue
                    if same is not None:
                        current = same
                    else:
                        current = SampleDraft(first=k)
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
                and not self._repaired(current.facts["source"].at, what.first)
                and self._count_ahead(events, k)
            ):
                # the same jar work done on another kind of frame is another sample
                fresh = SampleDraft(first=k)
                for attr in ("method", "volume_ml"):
                    if attr in current.facts:
                        g = current.facts[attr]
                        fresh.facts[attr] = Given(g.value, list(g.spans), weight=g.weight, at=g.at)
                fresh.wash = current.wash
                segments.append(fresh)
                current = fresh
            target = self._target(segments, current, name)
            if name == "mites_zero":
                target.zeros.append(what)
            elif name in ("mites", "infested"):
                target.counts.append(what)
                seen_count = True
            elif name == "mites_vague":
                target.vague = span_of(self.row, what.first, what.last)
            else:
                self._attribute(target, name, what)
        del seen_count
        return segments

    @staticmethod
    def _count_ahead(events: list[tuple[int, str, object]], k: int) -> bool:
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

        def method(s: SampleDraft) -> object:
            return s.facts["method"].value if "method" in s.facts else None

        if slot == "days" and method(current) not in (None, "sticky_board"):
            return next((s for s in segments if method(s) == "sticky_board"), current)
        if slot in ("cells", "infested") and method(current) not in (None, "drone_uncapping"):
            return next((s for s in segments if method(s) == "drone_uncapping"), current)
        if slot in ("volume", "source", "bees", "sugar", "shake") and method(current) in (
            "sticky_board",
            "drone_uncapping",
        ):
            return next(
                (s for s in segments if method(s) in JARS or (method(s) is None and s.facts)),
                current,
            )
        return current

    def _is_board(self, k: int, jar: bool) -> bool:
        """A bare "board" or "tray" is a sticky board with days, a drop, or under the hive."""
        items = self.row.items
        near = range(max(0, k - 8), min(len(items), k + 9))
        if any(c.slot == "days" for j in near if (c := self.by_item.get(j))):
            return True
        if jar:
            return False
        word = items[k].word
        if any(items[j].day is not None for j in near) and word in (
            "tray",
            "trays",
            "sheet",
            "slide",
            "drawer",
            "board",
            "boards",
            "insert",
            "inserts",
        ):
            return True
        if word in (
            "tray",
            "trays",
            "sheet",
            "slide",
            "drawer",
            "floor board",
            "natural",
            "white board",
        ):
            return any(
                items[j].kind == "days"
                or items[j].word in ("under", "debris", "slid", "beneath", "below", "pulled")
                for j in near
            )
        return True

    def _is_drone(self, k: int, events: list[tuple[int, str, object]]) -> bool:
        return (
            any(name in ("cells", "infested") for _, name, _ in events)
            or any(
                i in self.row.items[k].word
                for i in ("uncapp", "fork", "test", "check", "count", "sample")
            )
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
        denied = any("denied" in self.marks[t] for t in range(i, j))
        for name in sorted(ids):
            outcome, _, index = name.partition(" ")
            if denied and outcome == "done":
                outcome = "skipped"
            sample.steps.append((int(index), outcome, (start, end)))

    def _attribute(self, sample: SampleDraft, slot: str, c: Candidate) -> None:
        row = self.row
        name = _FIELD.get(slot, slot)
        value = c.value
        spans = [span_of(row, c.first, c.last)] if c.k < 0 else [item_span(row.items[c.k])]
        item = row.items[c.k] if c.k >= 0 else None
        denied = "denied" in c.standing
        if slot in ("queen_checked", "returned"):
            value = bool(value) != denied
        elif denied and slot in (
            "source",
            "position",
            "volume",
            "bees",
            "rest",
            "shake",
            "source_unclear",
        ):
            return
        if slot == "volume" and c.weight < 4 and isinstance(value, float) and value > 700:
            return
        if slot == "bees" and c.weight < 4 and isinstance(value, float) and value < 40:
            return
        if (
            slot == "weight"
            and c.weight < 3
            and (
                item is None
                or not 5 <= item.value <= 150
                or not any("weight" in i.ids for i in row.items)
            )
        ):
            return
        if slot == "source_unclear":
            sample.doubts.append(Doubt("frame", "ambiguous", spans, ("brood", "super")))
            return
        if slot in ("bees", "cells") and item is not None:
            if item.kind == "frac":
                return
            if float(item.value) != int(item.value) or item.low is not None:
                if item.form.startswith("range") and slot == "bees":
                    sample.doubts.append(Doubt("bees", "ambiguous", spans))
                if item.form not in ("over", "under"):
                    return
            value = int(item.value)
        if (
            slot in ("rest", "shake", "volume", "sugar")
            and item is not None
            and item.low is not None
        ):
            if slot == "volume":
                sample.doubts.append(Doubt("volume", "ambiguous", spans))
            return
        if slot == "days" and item is not None:
            if item.low is not None and item.form.startswith("range"):
                sample.doubts.append(Doubt("days", "ambiguous", spans))
                return
            value = (
                c.value
                if item.kind == "day"
                else round(item.value / 86400, 4)
                if item.kind != "n"
                else item.value
            )
            if item.hedged and item.open:
                sample.doubts.append(Doubt("days", "ambiguous", spans, value=f"{value:g}"))
        if slot == "position" and isinstance(value, float):
            value = int(value)
        if slot == "rate_per_100" and item is not None and item.low is not None:
            return
        if (
            slot == "sugar"
            and "sugar_ml" in sample.facts
            and sample.facts["sugar_ml"].value != value
        ):
            before = sample.facts["sugar_ml"]
            if item is not None and role_of(row, item) == "add":
                before.value += value
                before.spans += spans
                return
        old = sample.facts.get(name)
        if old is None:
            sample.facts[name] = Given(
                value, spans, weight=c.weight, at=c.k if c.k >= 0 else c.first
            )
            return
        if old.value == value:
            old.spans.extend(spans)
            return
        role = (
            role_of(row, item)
            if item is not None
            else ("repair" if self._repaired(old.at, c.first) else "count")
        )
        if role in ("repair", "total") or (
            slot in ("returned", "queen_checked") and c.weight >= old.weight
        ):
            sample.facts[name] = Given(value, spans, weight=c.weight, at=c.k)
        elif slot in ("source", "volume", "bees") and c.weight >= old.weight - 0.6:
            field = {"source": "frame", "volume": "volume", "bees": "volume"}[slot]
            if slot == "source" and {old.value, value} == {"brood", "drone_brood"}:
                return
            if slot == "volume" and c.weight < 4 and old.weight > 4:
                return
            sample.doubts.append(
                Doubt(
                    field,
                    "ambiguous" if slot == "source" else "conflict",
                    old.spans + spans,
                    (str(old.value), str(value)),
                )
            )
            old.weight = -1.0
        elif c.weight > old.weight:
            sample.facts[name] = Given(value, spans, weight=c.weight, at=c.k)

    def _repaired(self, before: int, after: int) -> bool:
        items = self.row.items
        if not 0 <= before < after < len(items):
            return False
        low, high = items[before].j, items[after].i + 1
        return any("repair" in names and low <= i < high for names, i, _ in self.row.ops)

    # -- merging ---------------------------------------------------------------------------------

    def _merge(self, segments: list[SampleDraft]) -> list[SampleDraft]:
        """Segments without a count join the counted one, or are dropped, or make a conflict."""
        for s in segments:
            self._settle_method(s)
        counted = [
            s
            for s in segments
            if s.counts or s.vague or "rate_per_100" in s.facts or "mites_per_day" in s.facts
        ]
        if not counted:
            if len(segments) > 1:
                first = segments[0]
                for s in segments[1:]:
                    self._join(first, s)
                return [first]
            return segments
        out = list(counted)
        for s in segments:
            if s in counted:
                continue
            home = min(counted, key=lambda c: abs(segments.index(c) - segments.index(s)))
            if any(
                c.facts.get("method")
                and s.facts.get("method")
                and c.facts["method"].value == s.facts["method"].value
                for c in counted
            ):
                home = next(
                    c
                    for c in counted
                    if c.facts.get("method")
                    and s.facts.get("method")
                    and c.facts["method"].value == s.facts["method"].value
                )
            self._join(home, s)
        return out

    def _join(self, home: SampleDraft, other: SampleDraft) -> None:
        mine, theirs = home.facts.get("method"), other.facts.get("method")
        if mine and theirs and mine.value != theirs.value:
            if {mine.value, theirs.value} <= JARS:
                home.doubts.append(
                    Doubt(
                        "method",
                        "conflict",
                        mine.spans + theirs.spans,
                        (str(mine.value), str(theirs.value)),
                    )
                )
                mine.weight = -1.0
            elif theirs.value in ("sticky_board", "drone_uncapping", "visual"):
                other.facts = {
                    k: v for k, v in other.facts.items() if k not in ("method", "days", "cells")
                }
        for name, given in other.facts.items():
            home.facts.setdefault(name, given)
        home.steps += other.steps
        home.doubts += other.doubts
        home.wash = home.wash or other.wash
        home.roll = home.roll or other.roll
        home.sugar_words = home.sugar_words or other.sugar_words

    @staticmethod
    def _settle_method(s: SampleDraft) -> None:
        if "method" in s.facts:
            return
        if s.wash is not None:
            s.doubts.append(Doubt("method", "ambiguous", [s.wash], ("alcohol", "soap")))
        elif (
            s.roll is not None
            or "shake_s" in s.facts
            or "rest_s" in s.facts
            or "sugar_ml" in s.facts
            or s.counts
        ):
            if s.sugar_words is not None or "sugar_ml" in s.facts:
                proof = s.sugar_words or s.facts["sugar_ml"].spans[0]
                s.facts["method"] = Given("sugar", [proof])
            elif s.roll is not None and not s.counts and not s.facts:
                pass

    def _by_method(self, sample: SampleDraft, mine: set[int]) -> None:
        """Drop what the method has no place for; drone cells are drone brood."""
        method = sample.facts["method"].value if "method" in sample.facts else None
        if method == "sticky_board":
            for name in (
                "bees",
                "volume_ml",
                "source",
                "position",
                "sugar_ml",
                "rest_s",
                "shake_s",
                "queen_checked",
                "returned",
                "cells",
            ):
                sample.facts.pop(name, None)
            sample.doubts = [d for d in sample.doubts if d.field not in ("volume", "bees", "frame")]
        elif method == "drone_uncapping":
            for name in ("bees", "volume_ml", "position", "days", "source"):
                sample.facts.pop(name, None)
            sample.doubts = [d for d in sample.doubts if d.field not in ("volume", "bees", "frame")]
            proof = next(
                (
                    item_span(self.row.items[k])
                    for k in sorted(mine)
                    if self.row.items[k].ids & {"drone_brood", "method.drone", "drone"}
                    and "drone" in self.row.items[k].word
                ),
                None,
            )
            if proof:
                sample.facts["source"] = Given("drone_brood", [proof])
        else:
            sample.facts.pop("days", None)
            if method is not None:
                sample.facts.pop("cells", None)

    # -- counting --------------------------------------------------------------------------------

    def _count(self, sample: SampleDraft, mine: set[int], used: set[int]) -> None:
        row = self.row
        method = sample.facts["method"].value if "method" in sample.facts else None
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
        last_k = None
        entries: list[tuple[int, Candidate | None]] = [
            (c.k if c.k >= 0 else c.first, c) for c in counts
        ]
        if entries:
            first_k = entries[0][0]
            final_k = entries[-1][0]
            for k in sorted(mine):
                if (
                    first_k < k <= final_k + 16
                    and row.items[k].kind == "n"
                    and all(k != e for e, _ in entries)
                ):
                    have = self.by_item.get(k)
                    role = role_of(row, row.items[k])
                    if (
                        role in ("total", "repair", "add")
                        and (role != "add" or self._says_more(row.items[k]))
                        and (have is None or (have.slot == "mites" and have.weight < 3))
                        and self._bare(k)
                        and not self.standing(row.items[k]) & _BLOCKING
                    ):
                        entries.append((k, None))
            entries.sort(key=lambda e: e[0])
        for k, c in entries:
            if c is not None and c.k < 0:
                told.append(Told(0, "count" if not told else role_before(row, c.first)))
                spans.append(span_of(row, c.first, c.last))
                last_k = k
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
            last_k = k
        del last_k
        if not told:
            self._lone_number(sample, mine, used)
            if "mites" not in sample.facts and not sample.doubts_on("mites"):
                self._said_nothing(sample)
            return
        result = fold(told)
        field = "mites"
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
            sample.doubts.append(Doubt(field, result.doubt, proof, options))

    def _said_nothing(self, sample: SampleDraft) -> None:
        """A bare "nothing" or "none" shortly after the sample's own words is its count."""
        places = [g.at for g in sample.facts.values() if g.at >= 0]
        for c in sample.zeros:
            if (
                "method" in sample.facts
                and any(0 < c.first - at <= 10 for at in places)
                and not c.standing & _BLOCKING
            ):
                sample.facts["mites"] = Given(0, [span_of(self.row, c.first, c.last)])
                return

    def _lone_number(self, sample: SampleDraft, mine: set[int], used: set[int]) -> None:
        """A sample without a count, and one bare number that nothing else claims: that is it.

        Several such numbers are a question with those numbers as its answers.
        """
        if sample.vague or "rate_per_100" in sample.facts or "mites_per_day" in sample.facts:
            return
        if "method" not in sample.facts and sample.wash is None and not sample.test:
            return
        items = self.row.items
        if not self.named and not any(i.ids & _BEE_WORDS for i in items):
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
                    and not self.by_item[k].standing & (_BLOCKING | {"denied"})
                )
            )
            and self._bare(k)
            and not self.standing(items[k]) & (_BLOCKING | {"denied"})
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
        return any(w in ("more", "another", "plus", "extra") for w in around)

    def lone(self, own: Iterable[int], model: SampleDraft, used: set[int]) -> SampleDraft | None:
        """A sample "the same as" ``model`` of which only a bare count is said."""
        sample = SampleDraft()
        if "method" in model.facts:
            sample.facts["method"] = Given(
                model.facts["method"].value, list(model.facts["method"].spans)
            )
        sample.wash = model.wash
        mine = set(own)
        self._lone_number(sample, mine, used)
        if "mites" not in sample.facts:
            zero = next(
                (
                    c
                    for c in self.chosen
                    if c.slot == "mites_zero" and c.first in mine and not c.standing & _BLOCKING
                ),
                None,
            )
            if zero is not None:
                sample.facts["mites"] = Given(0, [span_of(self.row, zero.first, zero.last)])
        return sample if "mites" in sample.facts else None

    def _named(self, k: int) -> bool:
        if k in self.named:
            return True
        before = self.row.items[k - 1] if k else None
        return before is not None and (
            "hive" in before.ids
            or "numbersign" in before.ids
            or before.kind in ("name", "letter")
            or before.word in ("#", "frame", "position", "page", "about", "only")
        )

    def _bare(self, k: int) -> bool:
        """A number with no noun of its own after it."""
        items = self.row.items
        if k + 1 >= len(items):
            return True
        nxt = items[k + 1]
        if nxt.kind == "word" and nxt.word in (
            "i'd",
            "i've",
            "i'm",
            "it's",
            "that's",
            "she's",
            "there's",
            "they",
            "one",
            "you",
            "he",
            "my",
            "a",
            "this",
            "bees",
            "out",
            "off",
            "again",
            "today",
            "yes",
            "no",
            "as",
            "or",
            "if",
            "though",
            "only",
            "just",
            "exactly",
            "hmm",
            "happy",
            "good",
            "great",
            "nice",
            "lovely",
        ):
            return True
        return (
            nxt.kind in ("border", "mark", "n")
            or nxt.word
            in (
                "and",
                "so",
                "then",
                "in",
                "but",
                "not",
                "on",
                "total",
                "all",
                "altogether",
                "more",
                "i",
                "it",
                "which",
                "for",
                "that",
                "with",
                "the",
                "hive",
                "bees",
                "tipped",
                "is",
                "now",
                "when",
                "because",
                "final",
                "last",
                "after",
                "we",
                "she",
                "queen",
                "no",
            )
            or "mite" in nxt.ids
            or "add" in nxt.ids
            or "returned" in nxt.ids
        )

    def _is_sample(self, sample: SampleDraft) -> bool:
        facts = sample.facts
        if (
            any(
                name in facts
                for name in ("mites", "mites_low", "mites_high", "rate_per_100", "mites_per_day")
            )
            or sample.counts
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
                or sample.counts
                or not set(facts) <= bare
            )
        method = facts["method"].value if "method" in facts else None
        if (
            not any(i.ids & _BEE_WORDS - {"queen", "hive", "sample"} for i in self.row.items)
            and not self.named
        ):
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
        return "volume_ml" in facts and ("source" in facts or "bees" in facts)


def role_before(row: Row, k: int) -> Role:
    """The role of a count said in words at item ``k`` ("no mites")."""
    item = row.items[k]
    for names, i, j in row.ops:
        if "repair" in names and j <= item.i <= j + 1 and row.words[i] != "no":
            return "repair"
        if "total" in names and j <= item.i <= j + 1:
            return "total"
    return "count"
