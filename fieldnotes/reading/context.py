"""What a reading may know beside the note's own words."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..grammar.vocabulary import Vocabulary


@dataclass(frozen=True)
class Context:
    """The keeper's vocabulary, and the yard and colony given from outside for the whole note."""

    vocabulary: Vocabulary = field(default_factory=Vocabulary)
    yard: str | None = None
    colony: str | None = None
    in_reply_to: str | None = None
