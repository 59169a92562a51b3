"""Stage 10: what one colony takes from the one before, and all from what is said of all."""

from __future__ import annotations

from collections.abc import Iterable

from ...records import Span
from ..binding import Bound, Candidate
from ..drafts import Doubt, Given, SampleDraft, VisitDraft
from ..items import span_of
from ..samples import JARS, drop_foreign

_CARRIED = (
    "method",
    "volume_ml",
    "volume_said",
    "bees",
    "source",
    "position",
    "bees_weight_g",
    "sugar_ml",
    "rest_s",
    "shake_s",
)
_AMOUNTS = frozenset({"volume_ml", "volume_said", "bees", "bees_weight_g"})
_RESULTS = frozenset({"mites", "mites_low", "mites_high", "rate_per_100", "mites_per_day", "cells"})
"""Facts that show that a sample was taken."""
LONGEST = 5
"""Most words of a phrase such as "same again"."""


def _split(phrases: Iterable[str]) -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(phrase.split()) for phrase in phrases)


class Sharer:
    """Shares among the drafts of one note."""

    def __init__(self, bound: Bound) -> None:
        self.bound = bound
        self.row = bound.row
        scenes = bound.row.grammar.scenes
        self.none = bound.row.grammar.counts.names.none
        self.same = _split(scenes.same.phrases)
        self.same_amount = _split(scenes.same_amount.phrases)
        self.unvisited = _split(scenes.unvisited.phrases)
        self.refused = _split(scenes.refused.phrases)
        self.unmeasured = _split(scenes.unmeasured.phrases)

    def same_again(self, draft: VisitDraft, before: VisitDraft, own: list[int]) -> None:
        """ "Hive 8 the same": what this colony leaves out is as for the one before."""
        if not draft.samples or not before.samples:
            return
        sample, model = draft.samples[0], before.samples[-1]
        same = self.same_words(own)
        if self._said(own, self.same_amount) is not None:
            for name in _AMOUNTS & model.facts.keys() - sample.facts.keys():
                sample.facts[name] = model.facts[name]
        said = sample.facts.keys() & {
            "method",
            "volume_ml",
            "bees",
            "source",
            "bees_weight_g",
            "days",
            "cells",
        }
        if same is None and (said or sample.wash):
            return
        if _differ(sample, model):
            return
        unmeasured = self._said(own, self.unmeasured) is not None
        for name in _CARRIED:
            if (
                name in model.facts
                and name not in sample.facts
                and not (unmeasured and name in _AMOUNTS)
                and not (name == "source" and any(d.field == "frame" for d in sample.doubts))
            ):
                if name in ("sugar_ml", "rest_s", "shake_s", "position") and same is None:
                    continue
                given = model.facts[name]
                spans = list(given.spans) + ([same] if same else [])
                sample.facts[name] = Given(
                    given.value, spans, declared=given.declared, on=given.on, weight=given.weight
                )
        if "method" in sample.facts:
            sample.doubts = [d for d in sample.doubts if d.field != "method"]
        elif model.wash and not sample.wash:
            sample.wash = model.wash
            sample.doubts.append(Doubt("method", "ambiguous", [model.wash], ("alcohol", "soap")))

    def only_named(self, own: list[int]) -> bool:
        """ "Number seven I didn't get to": whether nothing but that was said of a colony."""
        return self._said(own, self.unvisited) is not None

    def drop_refused(self, draft: VisitDraft, own: list[int]) -> None:
        """ "Clara, no wash, just a look": words of sampling there make no sample."""
        if not any(_RESULTS & s.facts.keys() or s.doubts_on("mites") for s in draft.samples) and (
            self._refuses(own)
        ):
            draft.samples = []

    def _refuses(self, own: list[int]) -> bool:
        """Whether it is said in ``own`` that no sample was taken."""
        if self._said(own, self.refused) is not None:
            return True
        items = [self.row.items[k] for k in own]
        if any(item.word in self.none for item in items):
            # "alcohol, half cup, brood frame, none" denies no sample
            return False
        return any(
            "denied" in self.bound.standing(item)
            and any(i.startswith(("method", "test", "sample")) for i in item.ids)
            for item in items
        )

    def same_words(self, own: list[int]) -> tuple[int, int] | None:
        """The span of "the same again" in ``own``, or None."""
        return self._said(own, self.same)

    def _said(self, own: list[int], phrases: frozenset[tuple[str, ...]]) -> Span | None:
        """The span of the first phrase that is said in ``own``, or None."""
        items = self.row.items
        mine = set(own)
        for k in own:
            words: list[str] = []
            j = k
            while j < len(items) and j in mine and len(words) < LONGEST:
                words.extend(items[j].word.split())
                j += 1
                if tuple(words) in phrases:
                    return span_of(self.row, k, j)
        return None

    def ask_unsampled(
        self,
        drafts: list[VisitDraft],
        owned: list[list[int]],
        common: SampleDraft | None,
        chosen: list[Candidate],
    ) -> None:
        """All were sampled, and of one no count could be read though a number is told: ask."""
        if common is None or common.method is None:
            return
        if 2 * sum(bool(d.samples) for d in drafts) < len(drafts):
            return
        named = {c.k for c in chosen if c.k >= 0 and c.slot != "mites"} | self.bound.named
        for draft, own in zip(drafts, owned, strict=True):
            if draft.samples:
                continue
            counts = [k for k in own if self.row.items[k].kind == "n" and k not in named]
            if common.method == "sticky_board":
                by_item = self.bound.by_item
                counts = [k for k in counts if k in by_item and by_item[k].slot == "mites"]
            if counts and not self._refuses(own):
                method = common.facts["method"]
                draft.samples = [
                    SampleDraft(facts={"method": Given(method.value, list(method.spans))})
                ]

    def share(self, drafts: list[VisitDraft], common: SampleDraft | None) -> None:
        """What a preamble says of all samples goes to each that lacks it."""
        if common is None:
            return
        if common.sugar_words and "method" not in common.facts and not common.wash:
            common.facts["method"] = Given("sugar", [common.sugar_words])
        for draft in drafts:
            for sample in draft.samples:
                if _differ(sample, common):
                    continue
                for name, given in common.facts.items():
                    if name in (
                        "mites",
                        "mites_low",
                        "mites_high",
                        "rate_per_100",
                        "mites_per_day",
                    ):
                        continue
                    if name == "bees" and "bees" in sample.facts:
                        continue
                    if name not in sample.facts:
                        sample.facts[name] = Given(
                            given.value, list(given.spans), weight=given.weight
                        )
                        if name == "method":
                            sample.doubts = [d for d in sample.doubts if d.field != "method"]
                if sample.method in JARS:
                    for name in ("cells", "days"):
                        sample.facts.pop(name, None)
                if sample.method == "sticky_board":
                    drop_foreign(self.row, sample, set())
                if common.wash and "method" not in sample.facts and not sample.wash:
                    sample.wash = common.wash
                    sample.doubts.append(
                        Doubt("method", "ambiguous", [common.wash], ("alcohol", "soap"))
                    )


def _differ(one: SampleDraft, other: SampleDraft) -> bool:
    """Whether the two are known to be of different methods."""
    return None not in (one.method, other.method) and one.method != other.method
