"""Stage 10b: the methods of sampling as the reader knows them, by the ids of their terms."""

from __future__ import annotations

JARS = frozenset({"sugar", "alcohol", "soap", "co2", "ether"})
"""Methods that shake or wash a jar of bees."""

JAR_TERMS = frozenset(
    {"method.sugar", "method.alcohol", "method.soap", "method.co2", "method.ether", "method.wash"}
)
METHODS = {
    "method.sugar": "sugar",
    "method.alcohol": "alcohol",
    "method.soap": "soap",
    "method.co2": "co2",
    "method.ether": "ether",
    "method.board": "sticky_board",
    "method.drone": "drone_uncapping",
    "method.visual": "visual",
}
BEE_TERMS = frozenset(
    {"bee", "mite", "test", "brood", "brood_frame", "queen", "hive", "sample", "nuc", "honey_frame"}
)
"""Terms that show that a note is about bees at all."""
