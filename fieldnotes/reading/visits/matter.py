"""Stage 10: whether a note is about colonies at all.

Kitchens and sheds have eggs, honey, queens, boards, sugar and jars too; only what follows is
said of colonies alone.
"""

from __future__ import annotations

from ..items import Row

_OF_COLONIES = frozenset(
    {
        "hive", "nuc", "bee", "mite", "mite_letter", "brood", "brood_frame", "brood_nest",
        "honey_frame", "pollen_frame", "larvae", "capped", "bias", "broodless", "seen",
        "queen_seen", "queen_not_seen", "queenright", "queenless", "laying_workers", "queen_cells",
        "queen_cups", "super", "seam", "fob", "fbees", "fbrood", "fstores", "excluder",
        "swarmed", "requeened", "foulbrood", "sign", "active", "treated", "feed", "fed", "test",
        "board", "infested", "place", "method",
    }
)  # fmt: skip
_OF_NAMED = ("temper.", "board.")
_EVERYDAY = frozenset({"method.roll", "method.shake", "method.wash"})
"""Words of sampling that laundry, tape and rugs share."""


def tells_of_colonies(row: Row, *, named: bool) -> bool:
    """Whether any word of the note is said of colonies alone.

    Tempers are said of anybody, and boards lie anywhere; they count where the note names a colony.
    """
    return any(
        name not in _EVERYDAY
        and (name.split(".")[0] in _OF_COLONIES or (named and name.startswith(_OF_NAMED)))
        for item in row.items
        for name in item.ids
    )
