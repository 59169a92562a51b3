"""Stage 3: the row of a tokenized note: each word becomes a term, a value, a plain word or a mark.

Standing cues, words of repair and steps lie over the items and may share words with them.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from spacy.tokens import Doc

from ...grammar.load import Grammar
from ...grammar.pattern import MARKS
from ...grammar.schema import Pseudo
from .joins import Joiner
from .match import longest_match
from .mishearings import Mender
from .row import CueHit, Hit, Item, Row
from .spot import Spot
from .values import ValueReader

_CODE = re.compile(r"[A-Za-z]{1,3}-?\d{1,3}[A-Za-z]?$")
_NUMBERED = re.compile(r"\d{1,2}[ABDEKNPRXYZ]$")
_BORDERS = frozenset(".;!?\n")


class _Token(NamedTuple):
    """A word as it is read and as it is written, where it starts, and whether a blank follows."""

    word: str
    raw: str
    start: int
    spaced: bool


class ItemBuilder:
    """Builds rows with one grammar; everything that depends on the grammar only is made once."""

    def __init__(self, grammar: Grammar) -> None:
        self.grammar = grammar
        self.letters = grammar.items.letters
        self.values = ValueReader(grammar)
        self.joiner = Joiner(grammar, self.values.kind_symbol["n"])
        self.mender = Mender(grammar.mishearings, grammar.numbers)
        self._possessives = frozenset(
            word
            for word, by_second in grammar.lexicon.items()
            if any(
                ids & {"hive", "nuc", "queen", "stand_place", "board.weak"}
                for _, ids in by_second.get("", ())
            )
        )
        nouns = "|".join(map(re.escape, sorted(self.letters.glued)))
        self._glued = re.compile(rf"({nouns})(\d{{1,3}})$", re.IGNORECASE)
        self._w = frozenset({"w"})
        self._name = frozenset({"name"})

    def build(self, doc: Doc, text: str) -> Row:
        """Return the row of items of a tokenized text."""
        tokens = self._tokens(doc, text)
        words = [t.word for t in tokens]
        raw = [t.raw for t in tokens]
        starts = [t.start for t in tokens]
        self.mender.mend(words)
        items: list[Item] = []
        i, n = 0, len(words)
        while i < n:
            item = self._item(Spot(words, raw, starts, i))
            if item is None:
                i += 1
                continue
            items.append(item)
            i = item.j
        items = self.joiner.join(items, words, [t.spaced for t in tokens])
        symbols = "".join([item.sym for item in items])
        cues, ops, steps = self._overlays(words)
        gaps = (
            frozenset(
                t
                for t in range(1, n)
                if starts[t] - starts[t - 1] - len(raw[t - 1]) >= 2 or text[starts[t] - 1] == "\t"
            )
            if "\t" in text or "  " in text
            else frozenset()
        )
        return Row(self.grammar, text, words, items, symbols, cues, ops, steps, gaps)

    def _tokens(self, doc: Doc, text: str) -> list[_Token]:
        """The words of the text, with those made one that a recogniser took apart."""
        out: list[_Token] = []
        for token in doc:
            part = token.text
            if part.isspace():
                if "\n" not in part:
                    continue
                part = "\n\n" if part.count("\n") > 1 else "\n"
            glued = self._glued.match(part)
            if glued:  # "no2", "hive1"
                noun = self.letters.glued[glued[1].lower()]
                out.append(_Token(noun, glued[1], token.idx, False))
                part = glued[2]
            word = self._plain_possessive(self._without_article(part.lower()))
            start = token.idx + (len(glued[1]) if glued else 0)
            out.append(_Token(word, part, start, bool(token.whitespace_)))
        joins = self.mender.joins([t.word for t in out])
        return _joined(out, joins, text) if joins else out

    def _without_article(self, word: str) -> str:
        """ "t'brood" of northern English is the brood."""
        for article in self.letters.articles:
            if word.startswith(article) and len(word) > len(article):
                return word[len(article) :]
        return word

    def _plain_possessive(self, word: str) -> str:
        """ "hive's", "board's", "two's" are hive, board, two; other words keep their ending."""
        if word[-2:] == "'s":
            base = word[:-2]
            if (
                base in self._possessives
                or base in self.grammar.numbers.words
                or base in self.grammar.dates.weekdays
                or base in self.letters.owning
            ):
                return base
        return word

    def _overlays(self, words: list[str]) -> tuple[list[CueHit], list[Hit], list[Hit]]:
        """Standing cues, repair words and steps: they lie over the items and may share words."""
        cues: list[CueHit] = []
        steps: list[Hit] = []
        step_lexicon = self.grammar.step_lexicon
        ops: list[Hit] = []
        cue_lexicon, repair_lexicon = self.grammar.cue_lexicon, self.grammar.repair_lexicon
        free = 0
        for i, word in enumerate(words):
            rows = cue_lexicon.get(word)
            if rows is not None and i >= free:
                taken = 0
                for phrase, cue in rows:
                    n = len(phrase)
                    if n < taken:
                        break
                    if n == 1 or tuple(words[i : i + n]) == phrase:
                        if taken and isinstance(cues[-1].cue, Pseudo):
                            break
                        cues.append(CueHit(cue, i, i + n))
                        taken = n
                if taken:
                    free = i + taken
            if word in repair_lexicon:
                found = longest_match(repair_lexicon, words, i)
                if found and "filler" not in found[1]:
                    ops.append((found[1], i, i + found[0]))
            if word in step_lexicon:
                step = longest_match(step_lexicon, words, i)
                if step:
                    steps.append((step[1], i, i + step[0]))
        return cues, ops, steps

    def _item(self, spot: Spot) -> Item | None:
        """The item that begins here; None for a filler of one word."""
        word = spot.word
        if word[0] == "\n":
            return spot.item("border", "\n")
        term = self._term(spot)
        value = self.values.read(spot) if self._may_be_value(word) else None
        if term is not None and self._outweighs(term, value) and self._is_term(spot, term, value):
            length, ids = term
            sym = self.grammar.symbols.of(ids, word if length == 1 else None)
            item = spot.item("term", sym, length)
            item.ids = ids
            return item
        if value is not None:
            return value
        if filler := self._filler(spot):
            return None if filler == 1 else spot.item("filler", "", filler)
        return self._mark(spot) or self._plain(spot)

    def _term(self, spot: Spot) -> tuple[int, frozenset[str]] | None:
        """The longest phrase of the lexicon that begins here, and its ids."""
        lexicon, words, i = self.grammar.lexicon, spot.words, spot.i
        found = longest_match(lexicon, words, i) if spot.word in lexicon else None
        if found is not None and found[0] > 1:
            # a phrase does not reach over the gap between two columns
            for t in range(i, i + found[0] - 1):
                if spot.starts[t + 1] - spot.starts[t] - len(spot.raw[t]) >= 2:
                    return longest_match(lexicon, words, i, t + 1 - i)
        return found

    def _may_be_value(self, word: str) -> bool:
        first = word[0]
        return (
            first.isdecimal()
            or not first.isascii()
            or word in self.values.starts
            or first in "@."
            or (first == "-" and len(word) > 1)
            or (
                "-" in word
                and len(word) > 6
                and word.partition("-")[0] in self.grammar.numbers.tens
            )
        )

    def _outweighs(self, term: tuple[int, frozenset[str]], value: Item | None) -> bool:
        """Whether a term is at least as long as the value that begins at the same word."""
        if value is None or value.j - value.i <= term[0]:
            return True
        return value.kind == "ord" and term[0] > 1

    def _is_term(self, spot: Spot, term: tuple[int, frozenset[str]], value: Item | None) -> bool:
        """Whether a lone letter, or "in" before a value, is meant as the term it could be."""
        if term[0] > 1:
            return True
        if spot.word in self.letters.shorthand:
            return self._letter_is_term(spot)
        if spot.word in self.letters.shouted and spot.raw[spot.i].islower():
            return not spot.before[:1].isalpha()
        return spot.word != "in" or value is None

    def _filler(self, spot: Spot) -> int:
        """How many words here are fillers that say nothing."""
        repairs = self.grammar.repair_lexicon
        found = longest_match(repairs, spot.words, spot.i) if spot.word in repairs else None
        if found is None or "filler" not in found[1]:
            return 0
        return 0 if found[0] == 1 and spot.word in self.letters.not_fillers else found[0]

    def _mark(self, spot: Spot) -> Item | None:
        """A border of sentences, or a mark within one."""
        word = spot.word
        if word != "?" and ((len(word) == 1 and word in _BORDERS) or word.startswith("..")):
            return spot.item("border", "\n")
        if len(word) == 1 and word in MARKS:
            return spot.item("mark", word)
        return None

    def _plain(self, spot: Spot) -> Item:
        """A code, a letter, a name or any other word, by the way it is written."""
        part, word, symbols = spot.raw[spot.i], spot.word, self.grammar.symbols
        if (_CODE.match(part) and part[0].isupper()) or _NUMBERED.match(part):
            return spot.item("code", self.values.kind_symbol["code"])
        if (
            len(part) == 1
            and part.isupper()
            and (part not in self.letters.words or (part == "A" and self._letter_a(spot)))
        ):
            return spot.item("letter", symbols.of(frozenset({"letter"}), word))
        if part[0].isupper() and len(part) > 1 and word not in self.grammar.known_words:
            return spot.item("name", symbols.of(self._name, word))
        return spot.item("word", symbols.of(self._w, word))

    def _letter_a(self, spot: Spot) -> bool:
        """A capital A is a name only at the head of a line, or beside a hive, number or mark."""
        before, after = spot.before, spot.after
        if before in self.letters.nouns or after in (":", "=", "-", "|", "(", "\n"):
            return True
        return (before[0] in "\n." or before in self.letters.before) and (
            after[:1].isdecimal() or after in self.letters.counts
        )

    def _letter_is_term(self, spot: Spot) -> bool:
        """One-letter shorthand is a term only beside a number, a mark or another shorthand."""
        before, after = spot.before, spot.after
        if spot.word in self.letters.counted:
            return (
                before[:1].isdecimal()
                or before[-1:] in "½"
                or (
                    spot.word == "f"
                    and (after[:1].isdecimal() or before == "\n" or after in self.letters.frames)
                )
            )
        company = self.letters.company
        return spot.raw[spot.i].isupper() and before in company and after in company


def _joined(tokens: list[_Token], joins: dict[int, tuple[int, str]], text: str) -> list[_Token]:
    """The tokens with each of ``joins`` (first token -> end and word meant) made one."""
    out: list[_Token] = []
    i = 0
    while i < len(tokens):
        token = tokens[i]
        i, word = joins.get(i, (i + 1, ""))
        if word:
            last = tokens[i - 1]
            whole = text[token.start : last.start + len(last.raw)]
            token = _Token(word, whole, token.start, last.spaced)
        out.append(token)
    return out
