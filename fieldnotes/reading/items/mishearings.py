"""Stage 3: words that a recogniser misheard, put right where their company is right."""

from __future__ import annotations

from collections.abc import Iterable

from ...grammar.schema import Heard


def heard_by_word(heard: Iterable[Heard]) -> dict[str, list[Heard]]:
    """The mishearings of the grammar by the word that is written."""
    out: dict[str, list[Heard]] = {}
    for row in heard:
        out.setdefault(row.text, []).append(row)
    return out


def mend(words: list[str], heard: dict[str, list[Heard]]) -> dict[int, str]:
    """Words misheard by a recogniser, by index, with the word meant, where the company is right."""
    out: dict[int, str] = {}
    for i, word in enumerate(words):
        for row in heard.get(word, ()):
            if _in_company(row, words, i):
                out[i] = row.means
                break
    return out


def _in_company(heard: Heard, words: list[str], i: int) -> bool:
    before = words[i - 1] if i else ""
    after = words[i + 1] if i + 1 < len(words) else ""
    if heard.after and before not in heard.after:
        return False
    if heard.before and after not in heard.before:
        return False
    if after in heard.unless_before or before in heard.unless_after:
        return False
    if heard.unless_lead and i > 1 and words[i - 2] in heard.unless_lead:
        return False
    return not heard.needs or any(w in heard.needs for w in words[i + 1 : i + 4])
