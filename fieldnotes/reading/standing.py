"""Stage 6: how each word stands: done, denied, planned, remembered, supposed, reported, rule.

Cues reach forward or backward over a few words and end at a sentence border or at words that turn
the tide, as in the ConText algorithm (Harkema et al. 2009, J. Biomed. Inform. 42:839-851).
"""

from __future__ import annotations

from ..grammar.schema import Cue, Cues
from .items import QUANTITIES, CueHit, Item, Row

_BORDERS = frozenset({".", ";", "!", "\n", "\n\n"})
_CLOSERS = _BORDERS | {",", ")"}

QUOTED = 3
"""Words before a quotation among which it is told that somebody says it."""

_SAMPLED_FROM = frozenset({"brood_frame", "honey_frame", "pollen_frame", "sample"})
"""Terms of where a sample came from, after which "none" is its count."""

BLOCKING = frozenset({"planned", "remembered", "supposed", "reported", "rule"})
"""Standings of words that tell nothing of the visit itself."""


def standings(
    row: Row,
    cues: Cues,
    stops: frozenset[int] = frozenset(),
    counted: frozenset[int] = frozenset(),
) -> list[set[str]]:
    """For every word of the row, the standings that cues give it; none means done.

    ``stops`` are the words where another colony's stretch begins, ``counted`` those of them whose
    count follows at once ("number twenty one three mites"): no cue reaches over these.
    """
    out: list[set[str]] = [set() for _ in row.words]
    if not row.cues:
        return out
    item_at: dict[int, Item] = {}
    for item in row.items:
        for t in range(item.i, item.j):
            item_at[t] = item
    both = _two_way(row)
    for hit in row.cues:
        cue = hit.cue
        if not isinstance(cue, Cue):
            continue
        if (hit.i, hit.j) in both and (cue.direction == "backward") != _closes(row.words, hit.j):
            continue
        if _corrects(cue, hit, item_at, row):
            continue
        if cue.direction == "backward":
            if cue.standing in ("planned", "remembered"):
                # "put off to Sunday", "dribbled in December": the words of the cue are of it too
                for t in range(hit.i, hit.j):
                    out[t].add(cue.standing)
            if _leads(hit, item_at, row):
                _forward(cue, hit, row, out, item_at, cues, (stops, counted))
            elif not _counts_none(cue, hit, item_at, row):
                _backward(cue, hit.i, row, out, cues, stops)
        else:
            _forward(cue, hit, row, out, item_at, cues, (stops, counted))
    _quotations(row, out)
    return out


def _quotations(row: Row, out: list[set[str]]) -> None:
    """ "The leaflet says: "take half a cup"": what is quoted of others is all theirs."""
    words = row.words
    opened: int | None = None
    for t, word in enumerate(words):
        if word != '"':
            continue
        if opened is None:
            led = out[max(0, t - QUOTED) : t]
            opened = t if any("reported" in marks for marks in led) else -1
            continue
        if opened >= 0:
            for k in range(opened, t):
                out[k].add("reported")
        opened = None


def _leads(hit: CueHit, item_at: dict[int, Item], row: Row) -> bool:
    """ "✗Q": a mark written right before what it denies, and apart from what goes before."""
    mark, after = item_at.get(hit.i), item_at.get(hit.j)
    if mark is None or after is None or row.words[hit.i].isalnum() or hit.j - hit.i > 1:
        return False
    before = item_at.get(hit.i - 1)
    return mark.end == after.start and (before is None or before.end < mark.start)


def _corrects(cue: Cue, hit: CueHit, item_at: dict[int, Item], row: Row) -> bool:
    """ "five, no six mites": whether a denial right before an amount corrects one instead."""
    after = item_at.get(hit.j)
    if (
        after is not None
        and after.kind == "n"
        and row.words[hit.i] in row.grammar.cues.denial_swaps
    ):
        # "not five, seven mites": the second holds
        second = item_at.get(after.j + (row.words[after.j : after.j + 1] == [","]))
        if second is not None and second.kind == "n":
            return True
    if cue.unless_counted and after is not None and after.kind == "n":
        counted = item_at.get(after.j)
        return counted is not None and "mite" in counted.ids
    if after is not None and after.word in row.grammar.numbers.said.articles:
        after = item_at.get(after.j)
    return (
        cue.standing == "denied"
        and cue.direction == "forward"
        and after is not None
        and after.kind in QUANTITIES
        and row.words[hit.i] in row.grammar.cues.denial_corrects
    )


def _counts_none(cue: Cue, hit: CueHit, item_at: dict[int, Item], row: Row) -> bool:
    """ "half a cup, brood frame none": a count of none, which does not deny the frame."""
    before = item_at.get(hit.i - 1)
    return (
        cue.standing == "denied"
        and before is not None
        and row.words[hit.i] in row.grammar.counts.names.none
        and (before.kind == "vol" or not before.ids.isdisjoint(_SAMPLED_FROM))
    )


def standing_of(marks: list[set[str]], i: int, j: int) -> set[str]:
    """All standings of the tokens ``i`` to ``j``, exclusive."""
    out: set[str] = set()
    for t in range(i, j):
        if marks[t]:
            out |= marks[t]
    return out


def _two_way(row: Row) -> set[tuple[int, int]]:
    """Spans of cues such as "last month", which look back from the end of a clause and otherwise
    forward."""
    ways: dict[tuple[int, int], set[str]] = {}
    for hit in row.cues:
        if isinstance(hit.cue, Cue):
            ways.setdefault((hit.i, hit.j), set()).add(hit.cue.direction)
    return {span for span, directions in ways.items() if len(directions) > 1}


def _closes(words: list[str], j: int) -> bool:
    """Whether the clause closes at word ``j``."""
    return j >= len(words) or words[j] in _CLOSERS or words[j][0] == "\n"


def _ends(word: str, cues: Cues) -> bool:
    """Whether a cue of any kind ends at ``word``."""
    return word in _BORDERS or word[0] == "\n" or word == "|" or word in cues.ends_at


def _forward(
    cue: Cue,
    hit: CueHit,
    row: Row,
    out: list[set[str]],
    item_at: dict[int, Item],
    cues: Cues,
    borders: tuple[frozenset[int], frozenset[int]],
) -> None:
    words = row.words
    stops, counted = borders
    denial = cue.standing == "denied"
    for t in range(hit.i, hit.j):
        out[t].add(cue.standing)
    met = False
    for t in range(hit.j, min(len(words), hit.j + cue.reach)):
        word, item = words[t], item_at.get(t)
        if _ends(word, cues) or t in row.gaps or _ends_forward(cue, hit, words, t, cues.carries_on):
            return
        if t in counted:
            return
        if denial and t in stops and (t > hit.j or (item is not None and item.kind == "n")):
            return  # "52 zero 53 fourteen 54 never wrote it down 55 one mite"
        before = item_at.get(t - 1)
        if t in stops and (t > hit.j + 3 or (before is not None and before.day is not None)):
            # speech without full stops: another colony is another sentence, so after "tonight"
            return
        if not denial:
            out[t].add(cue.standing)
            continue
        if word in (",", "(", "-") or (met and word not in cues.denial_goes_on):
            return
        if word in cues.denial_joints:
            met = False
        elif item is not None and t == item.j - 1 and _is_denied(item, cues):
            met = True
        out[t].add(cue.standing)


def _ends_forward(
    cue: Cue, hit: CueHit, words: list[str], t: int, carries_on: frozenset[str]
) -> bool:
    """Whether this cue ends at word ``t``, by one of its own words or pairs of words."""
    word = words[t]
    if cue.ends_at and t > hit.j and words[t - 1] in carries_on:
        return False
    if word in cue.through:
        return False
    if word in cue.ends_at or (word == ":" and words[hit.j - 1] != ":"):
        return True
    return bool(cue.ends_at) and t + 1 < len(words) and f"{word} {words[t + 1]}" in cue.ends_at


def _is_denied(item: Item, cues: Cues) -> bool:
    """Whether a denial is spent on this term; it passes over what only leads to its object."""
    return item.kind == "term" and cues.denial_passes.isdisjoint(i.split(".")[0] for i in item.ids)


def _backward(
    cue: Cue,
    start: int,
    row: Row,
    out: list[set[str]],
    cues: Cues,
    stops: frozenset[int],
) -> None:
    denial = cue.standing == "denied"
    for t in range(start - 1, max(-1, start - 1 - cue.reach), -1):
        word = row.words[t]
        if _ends(word, cues) or word in (",", "(") or t + 1 in row.gaps or word in cue.ends_at:
            return
        number = word[0].isdecimal() or word in row.grammar.numbers.words
        if denial and (word in cues.denial_after_ends or number):
            return
        out[t].add(cue.standing)
        if t in stops and t and row.words[t - 1] not in cues.leads_to_name:
            return  # "off the brood Daisy gets strips tomorrow": a clause begins with the name
