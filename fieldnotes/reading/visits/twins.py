"""Stage 10: two entries under one name: told on, or one of the names is wrong."""

from __future__ import annotations

from collections.abc import Iterable

from ..drafts import Doubt, VisitDraft


def settle_twins(drafts: list[VisitDraft], twins: Iterable[VisitDraft]) -> None:
    """Join each twin to the visit of its name, or keep both and ask where they contradict.

    Two samples contradict too: nobody samples a colony twice without a word about it.
    """
    for twin in twins:
        first = next(d for d in drafts if d.name == twin.name)
        if _contradict(first, twin):
            named = twin.facts.get("colony")
            twin.doubts.append(Doubt("colony", "conflict", named.spans if named else []))
        else:
            _join(first, twin)
            drafts.remove(twin)


def _contradict(one: VisitDraft, two: VisitDraft) -> bool:
    if one.samples and two.samples:
        return True
    facts = one.facts.keys() & two.facts.keys()
    signs = one.signs.keys() & two.signs.keys()
    return any(one.facts[name].value != two.facts[name].value for name in facts) or any(
        one.signs[name][0] != two.signs[name][0] for name in signs
    )


def _join(into: VisitDraft, more: VisitDraft) -> None:
    """Add what ``more`` tells to the visit that has been told of before."""
    into.facts = more.facts | into.facts
    into.signs = more.signs | into.signs
    into.supers = more.supers | into.supers
    for name in ("samples", "treatment", "earlier", "fed", "todo", "events", "doubts"):
        getattr(into, name).extend(getattr(more, name))
