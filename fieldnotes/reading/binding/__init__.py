"""Stage 9: which value fills which slot.

Every rule of the grammar that matches proposes a candidate with a weight. Rival roles that are no
fact of the visit (a rate, a threshold, an amount of something else) are slots like any other. For
one value the heaviest candidate wins; how clearly it wins is kept, since a near tie is a doubt.
"""

from .bound import Bound
from .candidates import Candidate, stand
from .choice import choose
from .names import counts_at_once, counts_beside_names, counts_dealt_out, counts_said_alone
from .rules import index_rules, propose

__all__ = [
    "Bound",
    "Candidate",
    "choose",
    "counts_at_once",
    "counts_beside_names",
    "counts_dealt_out",
    "counts_said_alone",
    "index_rules",
    "propose",
    "stand",
]
