"""Stage 1: the text as the later stages see it, with an exact way back to the original offsets.

Cleaning never adds a character. It replaces one by one (curly quotes, odd spaces, full-width
digits), blanks out struck-out words, and drops invisible characters; only the last kind changes
offsets, and only then is a map kept.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from ..records import Span

_ONE_TO_ONE = str.maketrans(
    {
        "‘": "'", "’": "'", "‛": "'", "ʼ": "'", "´": "'", "`": "'", "“": '"', "”": '"', "„": '"',
        "«": '"', "»": '"', "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "‒": "-", "―": "-",
        "\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u202f": " ", "\u3000": " ", "\u2002": " ",
        "\u2003": " ", "\u2005": " ", "\u0085": "\n", "\u2028": "\n", "\u2029": "\n", "\x0b": "\n",
        "\x0c": "\n", "⁄": "/", "∕": "/", "✔": "✓", "✅": "✓", "☑": "✓", "✘": "✗", "❌": "✗",
        "✕": "×", "•": "-", "·": "-", "‣": "-", "◦": "-", "⇒": "→", "➔": "→", "➜": "→",
        **{chr(0xFF10 + d): str(d) for d in range(10)},
    }
)  # fmt: skip

# half of a pair of surrogates is no character
_ONE_TO_ONE.update(dict.fromkeys(range(0xD800, 0xE000), "\ufffd"))

_INVISIBLE = re.compile("[\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u2069\ufeff\u00ad\u034f]")
_STRUCK = re.compile(
    r"~~([^~\n]{1,200})~~|<(s|del|strike)>([^<\n]{1,200})</\2>|(?:[^\s\u0336]\u0336 ?)+", re.I
)
_CARRIAGE = re.compile("\r\n?")


@dataclass(frozen=True)
class Clean:
    """Cleaned text; ``back`` maps its offsets to the original's, or is None where they agree."""

    text: str
    back: tuple[int, ...] | None = None

    def span(self, start: int, end: int) -> Span:
        """The original's span for ``text[start:end]``."""
        if self.back is None:
            return (start, end)
        if end <= start:
            return (self.back[start], self.back[start])
        return (self.back[start], self.back[end - 1] + 1)


def _blank(match: re.Match[str]) -> str:
    return " " * len(match.group())


_LONG_WORD = re.compile(r"[^\W\d_]{4,}")
_SHOUTED = 8
"""Long words from which a note in capitals alone was typed with the caps lock on."""


def clean(text: str) -> Clean:
    """Return the text that the reader works on."""
    cleaned = _cleaned(text)
    if not text[:1].isupper() or not _is_shouted(cleaned.text):
        return cleaned
    quiet = cleaned.text.lower()
    return Clean(quiet, cleaned.back) if len(quiet) == len(cleaned.text) else cleaned


def _is_shouted(text: str) -> bool:
    """Whether capitals say nothing, since all long words are written in them.

    Short words do not count: shorthand such as "QS BIAS" is in capitals by itself.
    """
    words = _LONG_WORD.findall(text)
    return len(words) >= _SHOUTED and sum(word.isupper() for word in words) > 0.9 * len(words)


def _cleaned(text: str) -> Clean:
    if text.isascii() and "\r" not in text and "~~" not in text and "<" not in text:
        return Clean(text)
    out = text.translate(_ONE_TO_ONE)
    out = _CARRIAGE.sub(lambda m: " " * (len(m.group()) - 1) + "\n", out)
    if "~~" in out or "<" in out or "\u0336" in out:
        out = _STRUCK.sub(_blank, out)
    if out.isascii() or not (_INVISIBLE.search(out) or not unicodedata.is_normalized("NFC", out)):
        return Clean(out)
    chars: list[str] = []
    back: list[int] = []
    for i, char in enumerate(out):
        if _INVISIBLE.match(char):
            continue
        if unicodedata.combining(char) and chars:
            joined = unicodedata.normalize("NFC", chars[-1] + char)
            if len(joined) == 1:
                chars[-1] = joined
            continue
        chars.append(char)
        back.append(i)
    back.append(len(out))
    return Clean("".join(chars), tuple(back))
