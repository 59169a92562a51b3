"""A second pair of ears: which whole numbers some words say, worked out without the reader."""

from __future__ import annotations

import itertools
import re
import tomllib
import unicodedata
from collections.abc import Iterator
from typing import Final

from fieldnotes.grammar import grammars_folder

_SMALL = """zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen
    fifteen sixteen seventeen eighteen nineteen"""
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety"
UNITS: Final = {word: n for n, word in enumerate(_SMALL.split())}
TENS: Final = {word: 10 * n for n, word in enumerate(_TENS.split(), start=2)} | {"fourty": 40}
SETS: Final = {"couple": 2, "pair": 2, "dozen": 12, "score": 20}
ALSO: Final = {
    "a": 1, "an": 1, "single": 1, "another": 1, "straggler": 1, "twa": 2, "fower": 4, "fiver": 5,
    # what recognisers write for a number
    "to": 2, "too": 2, "for": 4, "ate": 8, "won": 1,
}  # fmt: skip
_APART: Final = re.compile(r"\b(thir|for|four|fif|six|seven|ate|eight|nine) (?:teen|team)\b")
"""Teens that a recogniser takes apart."""
_TEENS: Final = {
    "thir": "thirteen", "for": "fourteen", "four": "fourteen", "fif": "fifteen", "six": "sixteen",
    "seven": "seventeen", "ate": "eighteen", "eight": "eighteen", "nine": "nineteen",
}  # fmt: skip
_HEARD = tomllib.loads((grammars_folder() / "en" / "mishearings.toml").read_text("utf-8"))["heard"]
HEARD: Final = {
    text: UNITS[row["means"]] for row in _HEARD if row["means"] in UNITS for text in row["texts"]
}
"""Sound-alikes of number words, in any company: the only thing asked of the grammar."""
_SPOKEN: Final = UNITS | {"too": 2, "tree": 3}
"""Units as they stand within longer numbers: "tree hundred", "too hundred"."""
_NOTHING = re.compile(
    r"\b(?:no|know|not|none|nil|nae|naething|zip|zilch|zero|nothing|nowt|nada|nought|naught|nary|clean|"
    r"clear|free|negative|without|never|neither|nor)\b|n't\b|\b(?:did|could)n(?:t|ae|a)\b|\b0"
)
_HUNDREDS: Final = ("hundred", "hunnert", "hunner", "hunder")
_LONGEST: Final = 9
"""Words that one number may take."""
_TOO_MANY: Final = 20_000


def plain(words: str) -> str:
    """Small letters and plain digits, without what cannot be seen."""
    text = unicodedata.normalize("NFKC", words).casefold().replace("’", "'")
    seen = "".join(c for c in text if unicodedata.category(c) not in ("Cf", "Mn"))
    return re.sub(r"(?<=\d),(?=\d{3})", "", seen)


def in_words(words: list[str]) -> int | None:
    """The number that these words say as a whole, or None."""
    total = current = 0
    before = ""
    for word in words:
        if word in _SPOKEN and before in ("", "ten", "times", "and"):
            current, before = current + _SPOKEN[word], "unit"
        elif word in TENS and before in ("", "times", "and"):
            current, before = current + TENS[word], "ten"
        elif word.isdecimal() and len(word) < 10 and not before:
            current, before = int(word), "unit"
        elif word in ("a", "an") and not before:
            before = "one"
        elif word in SETS and before in ("", "unit", "one"):
            current, before = (current or 1) * SETS[word], "set"
        elif word in _HUNDREDS and before in ("", "unit", "ten", "one"):
            current, before = (current or 1) * 100, "times"
        elif word == "thousand":
            total, current, before = total + (current or 1) * 1000, 0, "times"
        elif word == "and" and before == "times":
            before = "and"
        else:
            return None
    return None if before in ("", "and", "one") else total + current


def numbers_said(words: str) -> set[int]:
    """Every whole number that these words can be heard to say, and the sum of all of them."""
    whole = _APART.sub(lambda m: _TEENS[m[1]], plain(words))
    tokens = re.findall(r"\d+|[^\W\d]+", whole)
    said = {told[token] for told in (ALSO, HEARD) for token in tokens if token in told}
    for start in range(len(tokens)):
        for end in range(start + 1, min(len(tokens), start + _LONGEST) + 1):
            number = in_words(tokens[start:end])
            if number is not None:
                said.add(number)
    return said | {sum(_in_order(tokens))} if said else said


def _in_order(words: list[str]) -> Iterator[int]:
    """The numbers of the words one after the other, each as long as it goes."""
    at = 0
    while at < len(words):
        for end in range(min(len(words), at + _LONGEST), at, -1):
            number = in_words(words[at:end])
            if number is not None:
                yield number
                at = end
                break
        else:
            yield ALSO.get(words[at], 0)
            at += 1


def readable(value: int, quoted: list[str]) -> bool:
    """Whether the quoted words say ``value``: one of them, or several as parts of a sum."""
    if value == 0 and any(_NOTHING.search(plain(words)) for words in quoted):
        return True
    each = [numbers_said(words) for words in quoted]
    if any(value in said for said in each) or value in numbers_said(" ".join(quoted)):
        return True
    if value == 0:
        return False
    sums = {0}
    for said in each:
        sums = {a + b for a, b in itertools.product(sums, said | {0})}
        if len(sums) > _TOO_MANY:
            raise ValueError("too many parts to tell; give the test a shorter note")
    return value in sums
