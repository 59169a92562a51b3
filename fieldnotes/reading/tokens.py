"""Stage 2: the tokenizer, a blank spaCy pipeline whose punctuation rules fit notes.

spaCy's stock rules keep "8fob", "3m/300b" and "35C" whole and split "queen-right"; notes need
the opposite. "12th", "H7" and "K17" stay whole here: a digit is cut from what follows only where
that is a unit or a shorthand of the grammar.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from spacy.language import Language
from spacy.tokenizer import Tokenizer  # type: ignore[import-not-found]
from spacy.util import compile_infix_regex
from spacy.vocab import Vocab

_PREFIX = re.compile(
    r"""^(?:\.\.+|[\[\](){}<>"'~≈±#=*+|?!,:;/\\@£$€→←↑↓✓✗…☐&_^]|-(?=\D)|-$|\.(?=\D)|×(?=\d)|[xX](?=\d))"""
)
_SUFFIX = re.compile(
    r"""(?:\.\.+|[\[\](){}<>"'~≈±=*|?!,:;/\\→←↑↓✓✗…&_^]|(?<=[^\d.])\.|(?<=\d)\.|(?<=[^qQ])[-+]|(?<=[qQ][+-])[.,])$"""
)
_WHOLE = re.compile(
    r"""^(?:\d{1,4}[/.-]\d{1,2}[/.-]\d{1,4}|\d{1,2}[:.]\d{2}(?:am|pm)?|\d{1,2}h\d{2}|\d{1,3}/\d{1,4}
        |\d+(?:[.,]\d+)?|[qQ][+-]|\d+:\d+|[Nn]o\.|[Nn]os\.|[Nn]r\.|a\.m\.|p\.m\.|\d+\s?/\s?d)$""",
    re.X,
)
_INFIX = (
    r"\.\.+|…|[|=→←↑↓✓✗;+*~≈&\"()\[\]<>?!]",
    r"(?<=[A-Za-z½¼¾⅓⅔%°])/(?=\w)",
    r"(?<=\d)/(?=[A-Za-z])",
    r"(?<=[^\d]),|,(?=[^\d])",
    r"(?<=[^\d]):|:(?=[^\d])",
    r"(?<=\d)[-](?=\d)",
    r"(?<=[a-z]{2})-(?=\d)",
    r"(?<=\bno\.)(?=\d)|(?<=\bnr\.)(?=\d)",
    r"(?<=\d)(?=[°º%])",
    r"(?<=half)-(?=cup)|(?<=quarter)-(?=cup)|(?<=third)-(?=cup)|(?<=minute)-(?=long)",
    r"(?<=[a-z]{3})-(?=(?:minute|second|day|hour|frame|cup|mite|bee)\b)",
    r"(?<=\d)-(?=[a-z])",
    r"(?<=[a-z]{2})\.(?=[A-Z])",
    r"(?<=\d)[x×](?=\d)",
    r"(?<=\d)(?=['’]s$)",
    r"(?<=[½¼¾⅓⅔])(?=[A-Za-z])",
    r"(?<=[A-Za-z])_(?=[A-Za-z])",
)


def build_nlp(glued: Iterable[str]) -> Language:
    """Return the blank pipeline; ``glued`` are the words that may stand right after a digit."""
    words = sorted({w for w in glued if w}, key=len, reverse=True)
    units = "|".join(re.escape(w) for w in words)
    infixes = [*_INFIX, rf"(?<=[\d½¼¾⅓⅔])(?=(?:{units})(?![A-Za-z]))"]

    def tokenizer(nlp: Language) -> Tokenizer:
        return Tokenizer(
            nlp.vocab,
            rules={},
            prefix_search=_PREFIX.search,
            suffix_search=_SUFFIX.search,
            infix_finditer=compile_infix_regex(infixes).finditer,
            token_match=_WHOLE.match,
        )

    # An empty vocabulary, since only the text of tokens is used here: what a language's own would
    # compute of every new word costs a dozen attributes.
    return Language(Vocab(), create_tokenizer=tokenizer)
