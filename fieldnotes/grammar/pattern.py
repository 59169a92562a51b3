"""Compiles the pattern lines of ``bindings.toml`` and ``scenes.toml``.

A note becomes a string of symbols, one character an item: a term, a value, a word, a mark. A
pattern line then is an ordinary regular expression over that string, which costs microseconds.
The notation is explained at the top of ``grammars/en/bindings.toml``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Final

from ..errors import GrammarError

VALUE_KINDS = (
    "n", "ord", "vol", "spoon", "mass", "dur", "hours", "days", "temp", "pct", "frac", "clock",
    "day", "code", "letter",
)  # fmt: skip
MARKS = ",:;=()|/+-→#✓✗&\"?×@[]%£$€<>~'!*^_"
_PIECE = re.compile(
    r"\s+|(?P<neg>!)|(?P<open>\{)|(?P<close>\})|(?P<bar>\|)|(?P<gap>~\d(?!\d))|(?P<opt>\?)"
    r"|(?P<cls><[a-z_0-9.]+(?::[a-z]+)?>)|(?P<lit>[^\s{}|<>~?!]+)"
)

_LONE_WORD = re.compile(r"(?<!!)\{[a-z_]+\}(?!\?)")
"""Braces around one word that may not be left out: useless, so the name of a macro was meant."""


def literals(form: str) -> set[str]:
    """The plain words that a pattern line names."""
    return {m["lit"] for m in _PIECE.finditer(form) if m["lit"]}


class Symbols:
    """Gives every kind of item its character, and every class of items its set of characters."""

    def __init__(self, words: Iterable[str]) -> None:
        self.border = "\n"
        self.words = frozenset(words)
        self._next = 0xE000
        self._symbols: dict[tuple[frozenset[str], str | None], str] = {}
        self._by_word: dict[str, set[str]] = {}
        self._by_id: dict[str, set[str]] = {}
        # words and names that no pattern spells out; patterns must know their characters too
        self.of(frozenset({"w"}), None)
        self.of(frozenset({"name"}), None)

    def of(self, ids: frozenset[str], word: str | None) -> str:
        """The character for an item with these term or kind ids; ``word`` if patterns name it."""
        if word not in self.words:
            word = None
        key = (ids, word)
        found = self._symbols.get(key)
        if found is None:
            found = chr(self._next)
            self._next += 1
            self._symbols[key] = found
            if word is not None:
                self._by_word.setdefault(word, set()).add(found)
            for name in ids:
                self._by_id.setdefault(name, set()).add(found)
                if "." in name:
                    self._by_id.setdefault(name.split(".")[0], set()).add(found)
        return found

    def having(self, name: str) -> set[str]:
        """All characters whose item has this id, or an id of this family."""
        return self._by_id.get(name, set())

    def spelling(self, word: str) -> set[str]:
        """All characters whose item is this very word."""
        return self._by_word.get(word, set())


def _chars(chars: Iterable[str]) -> str:
    """A regular expression class for these characters."""
    points = sorted(ord(c) for c in chars)
    if not points:
        return r"(?!)"
    parts: list[str] = []
    start = last = points[0]
    for point in [*points[1:], -1]:
        if point == last + 1:
            last = point
            continue
        parts.append(re.escape(chr(start)) + (f"-{re.escape(chr(last))}" if last > start else ""))
        start = last = point
    return f"[{''.join(parts)}]"


TAKERS: Final = frozenset({"v", "bees", "per"})
"""What a pattern may take: the slot's value, and beside it the bees it is counted in or per."""


class Compiled:
    """A pattern ready to run. ``needs``: at least one character of each set must occur.

    The regular expression is compiled when it is first asked for: most notes need few of them.
    """

    __slots__ = ("_regex", "needs", "source", "takes")

    def __init__(
        self, source: str, needs: tuple[frozenset[str], ...], takes: frozenset[str]
    ) -> None:
        self.source = source
        self.needs = needs
        self.takes = takes
        self._regex: re.Pattern[str] | None = None

    def __reduce__(self) -> tuple[type[Compiled], tuple[object, ...]]:
        return Compiled, (self.source, self.needs, self.takes)

    @property
    def regex(self) -> re.Pattern[str]:
        if self._regex is None:
            self._regex = re.compile(self.source)
        return self._regex


class PatternCompiler:
    """Turns pattern lines into regular expressions over symbols."""

    def __init__(self, symbols: Symbols, macros: Mapping[str, str], known_ids: set[str]) -> None:
        self.symbols = symbols
        self.macros = macros
        self.known_ids = known_ids
        values = set().union(*(symbols.having(k) for k in VALUE_KINDS))
        self._soft = "[^" + _chars(values | {symbols.border})[1:-1] + "]"
        # "<n>" is a whole or decimal number, never one that has a unit
        self._ends = _chars({symbols.border, *(symbols.having("end"))})

    def compile(self, form: str, where: str) -> Compiled:
        """Compile one line; raise :class:`GrammarError` with ``where`` if it is malformed."""
        text = form
        for name, body in self.macros.items():
            text = text.replace("{" + name + "}", body)
        if unknown := _LONE_WORD.search(text):
            raise GrammarError(f"{where}: unknown macro {unknown.group()} in {form!r}")
        pieces = [m for m in _PIECE.finditer(text) if m.group().strip()]
        if not pieces or sum(len(m.group()) for m in pieces) != len(re.sub(r"\s", "", text)):
            raise GrammarError(f"{where}: cannot read the pattern {form!r}")
        self._pieces, self._pos, self._where, self._form = pieces, 0, where, form
        self._needs: list[frozenset[str]] = []
        self._captures: set[str] = set()
        out = self._sequence(depth=0)
        if self._pos != len(pieces):
            raise GrammarError(f"{where}: unbalanced braces in the pattern {form!r}")
        return Compiled(out, tuple(self._needs), frozenset(self._captures))

    def _sequence(self, depth: int) -> str:
        alternatives = [""]
        while self._pos < len(self._pieces):
            piece = self._pieces[self._pos]
            if piece["close"]:
                break
            self._pos += 1
            if piece["bar"]:
                alternatives.append("")
                continue
            if piece["neg"]:
                nested = self._pieces[self._pos] if self._pos < len(self._pieces) else None
                if not (nested and nested["open"]):
                    raise GrammarError(f"{self._where}: '!' needs braces in {self._form!r}")
                self._pos += 1
                alternatives[-1] += f"(?!{self._group(depth + 1)})"
                continue
            if piece["open"]:
                item, chars = f"(?:{self._group(depth + 1)})", None
            elif piece["gap"]:
                item, chars = f"{self._soft}{{0,{piece['gap'][1]}}}?", None
            elif piece["cls"]:
                item, chars = self._class(piece["cls"][1:-1])
            elif piece["lit"]:
                chars = self._literal(piece["lit"])
                item = _chars(chars)
            else:
                raise GrammarError(f"{self._where}: misplaced {piece.group()!r} in {self._form!r}")
            if self._pos < len(self._pieces) and self._pieces[self._pos]["opt"]:
                while self._pos < len(self._pieces) and self._pieces[self._pos]["opt"]:
                    self._pos += 1
                item = f"(?:{item})?"
            elif chars and depth == 0:
                self._needs.append(frozenset(chars))
            alternatives[-1] += item
        return "|".join(alternatives)

    def _group(self, depth: int) -> str:
        inner = self._sequence(depth)
        if self._pos >= len(self._pieces):
            raise GrammarError(f"{self._where}: unbalanced braces in the pattern {self._form!r}")
        self._pos += 1
        return inner

    def _literal(self, word: str) -> set[str]:
        if len(word) == 1 and word in MARKS:
            return {word} | self.symbols.spelling(word)
        return self.symbols.spelling(word)

    def _class(self, body: str) -> tuple[str, set[str] | None]:
        name, _, capture = body.partition(":")
        if name == "b":
            return rf"(?=[{self.symbols.border}]|$)", None
        if name == "end":
            return r"(?=[\n,;)|\]→+/&-]|$)", None
        if name == "start":
            return r"(?<=\n)", None
        if name not in self.known_ids:
            raise GrammarError(f"{self._where}: unknown term <{name}> in {self._form!r}")
        chars = set(self.symbols.having(name))
        if name == "w":
            chars |= self.symbols.having("name")
        item = _chars(chars)
        if capture and capture not in TAKERS:
            raise GrammarError(f"{self._where}: cannot take {capture!r} in {self._form!r}")
        if capture and capture not in self._captures:
            self._captures.add(capture)
            item = f"(?P<{capture}>{item})"
        return item, chars
