"""Stage 10: two entries under one name: told on, or one of the names is wrong."""

from __future__ import annotations

from collections.abc import Iterable

from ..drafts import Doubt, VisitDraft


def settle_twins(drafts: list[VisitDraft], pairs: Iterable[tuple[VisitDraft, VisitDraft]]) -> None:
    """Join the second visit of each pair to the first, or keep both and ask where they contradict.

    The pairs are visits of one colony on one day. Two samples contradict too: nobody samples a
    colony twice without a word about it.
    """
    for first, twin in pairs:
        if _contradict(first, twin):
            named = twin.facts.get("colony")
            twin.doubts.append(Doubt("colony", "conflict", named.spans if named else []))
        else:
            _join(first, twin)
            drafts[:] = [draft for draft in drafts if draft is not twin]


def _contradict(one: VisitDraft, two: VisitDraft) -> bool:
    if one.samples and two.samples:
        return True
    facts = (one.facts.keys() & two.facts.keys()) - {"colony"}  # it may be spelled in two ways
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
