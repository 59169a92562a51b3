"""The note itself, with the words marked that the record and the questions rest on."""

from __future__ import annotations

from collections.abc import Iterator

from rich.text import Text

from ..records import Fact, Note, Reading, Span
from .safe import block
from .screen import DOUBTED, USED
from .words import join_spans

_LONGEST = 10_000
_SHOWN = 4_000


def used_spans(reading: Reading) -> list[Span]:
    """Return the parts of the note that prove a fact, in order and without overlap."""
    return join_spans(
        span
        for visit in reading.visits
        for fact in _facts(visit)
        for proof in fact.evidence.values()
        for span in proof.said
    )


def _facts(fact: Fact) -> Iterator[Fact]:
    yield fact
    for name in type(fact).PARTS - {"evidence"}:
        part = getattr(fact, name)
        for inner in part if isinstance(part, tuple) else (part,):
            if isinstance(inner, Fact):
                yield from _facts(inner)


def doubted_spans(reading: Reading) -> list[Span]:
    """Return the parts of the note that a question is about."""
    return join_spans(span for question in reading.questions for span in question.evidence)


def marked(note: Note, reading: Reading) -> Text:
    """Return the note's words, those used underlined and those in doubt bold as well."""
    whole = block(note.text)
    text = Text(whole)
    for start, end in used_spans(reading):
        text.stylize(USED, start, end)
    for start, end in doubted_spans(reading):
        text.stylize(DOUBTED, start, end)
    if len(whole) > _LONGEST:
        text = text[:_SHOWN].append(f" … and {len(whole) - _SHOWN:,} more characters")
    else:
        # Blank lines at the end say nothing; those at the front would shift no words.
        text = text[: len(whole.rstrip())]
    return text
