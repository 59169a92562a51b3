"""Stage 7: whose clause it is: colony, yard and day mentions, and the stretch each one rules.

A mention is a name as it stands in the note. Mentions are found on the row of items, then settled
against each other: a name that stands alone elsewhere does not take the number beside it, and weak
candidates count only where nothing stronger names a colony.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..grammar.load import Grammar
from .items import Item, Row
from .tables import Table

_LINE_MARKS = frozenset({":", "-", "=", ")", "→", "|", ",", ";"})


@dataclass(slots=True)
class Mention:
    """A colony (or yard) named at items ``first`` to ``last`` (exclusive).

    ``strength`` from 0 to 1; ``kind`` is "colony", "yard", "all" or "next"; ``head`` is true where
    the mention stands at the head of a line.
    """

    first: int
    last: int
    name: str
    kind: str = "colony"
    strength: float = 1.0
    head: bool = False
    proof: tuple[int, int] | None = None
    group: int | None = None
    alternatives: tuple[str, ...] = ()


@dataclass(slots=True)
class Roster:
    """Known names: word tuples -> canonical name."""

    colonies: dict[tuple[str, ...], str] = field(default_factory=dict)
    yards: dict[tuple[str, ...], str] = field(default_factory=dict)
    yard_of: dict[str, str] = field(default_factory=dict)


class SceneFinder:
    """Finds mentions with one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        scenes = grammar.scenes
        self.grammar = grammar
        self.headings = {p for p in scenes.headings.phrases}
        self.not_names = frozenset(scenes.not_names.phrases)
        self.descriptive = frozenset(scenes.descriptive.phrases)
        self.all_phrases = sorted((tuple(p.split()) for p in scenes.all.phrases), key=len, reverse=True)
        self.next_phrases = sorted((tuple(p.split()) for p in scenes.next.phrases), key=len, reverse=True)
        self.known = grammar.known_words

    # -- all mentions ----------------------------------------------------------------------------

    def find(self, row: Row, tables: list[Table], roster: Roster) -> list[Mention]:
        """All mentions of a note in order, settled against each other."""
        items = row.items
        found: list[Mention] = []
        taken: set[int] = set()

        def add(mention: Mention | None) -> None:
            if mention is None:
                return
            span = range(mention.first, mention.last)
            if any(k in taken for k in span):
                return
            taken.update(span)
            found.append(mention)

        for mention in self._roster(row, roster):
            add(mention)
        for table in tables:
            for cell in table.cells:
                if cell.slot in ("colony", "yard"):
                    add(self._cell(items, cell.first, cell.last, cell.slot))
        for k in range(len(items)):
            if k in taken:
                continue
            for mention in self._explicit(items, k):
                add(mention)
        for mention in self._yards(row):
            add(mention)
        for mention in self._line_heads(row, taken, found):
            add(mention)
        for k in range(len(items)):
            if k not in taken:
                add(self._name_and_number(items, k))
        if not any(m.kind == "colony" for m in found):
            for mention in self._weak(row, taken):
                add(mention)
        found.extend(self._groups(row))
        found.sort(key=lambda m: m.first)
        return self._settle(found, items)

    # -- roster ----------------------------------------------------------------------------------

    def _roster(self, row: Row, roster: Roster) -> list[Mention]:
        out: list[Mention] = []
        for kind, names in (("colony", roster.colonies), ("yard", roster.yards)):
            if not names:
                continue
            longest = max(len(n) for n in names)
            words: list[tuple[str, int]] = []
            for k, item in enumerate(row.items):
                words.append((_plain(item), k))
            for s in range(len(words)):
                for length in range(min(longest, len(words) - s), 0, -1):
                    key = tuple(w for w, _ in words[s : s + length])
                    if key in names and not (length == 1 and key[0].isdigit() and not _named_number(row.items, s)):
                        out.append(Mention(words[s][1], words[s + length - 1][1] + 1, names[key], kind))
                        break
        return out

    # -- explicit names --------------------------------------------------------------------------

    def _explicit(self, items: list[Item], k: int) -> list[Mention]:
        item = items[k]
        if "hive" in item.ids:
            got = self._after_hive(items, k)
            if got:
                return got
            named = self._before_hive(items, k)
            return [named] if named else []
        if "nuc" in item.ids:
            nuc = self._after_hive(items, k)
            if nuc:
                for m in nuc:
                    m.name = m.name if m.strength < 1 else f"nuc {m.name}"
                return nuc
            named = self._before_hive(items, k)
            if named:
                return [named]
            before = items[k - 1].word if k else ""
            if item.word in ("nuc", "nuke", "nucleus") and before in ("the", "my", "our") :
                after = items[k + 1].word if k + 1 < len(items) else ""
                if after not in ("box", "boxes", "yard", "lid"):
                    return [Mention(k, k + 1, "the nuc", strength=0.9)]
            if item.word in ("nuc", "nuke") and self._at_clause_start(items, k) and k + 1 < len(items) and items[k + 1].word in (":", ",", "-", "."):
                return [Mention(k, k + 1, "the nuc", strength=0.9)]
            return []
        if item.word == "#" or ("numbersign" in item.ids and "hive" not in item.ids):
            return self._numbered(items, k)
        if item.kind == "code" and self._is_code_name(items, k):
            return [Mention(k, k + 1, item.raw)]
        return []

    def _after_hive(self, items: list[Item], k: int) -> list[Mention]:
        j = k + 1
        n = len(items)
        plural = items[k].word in ("hives", "colonies", "nucs")
        named = False
        while j < n and (items[j].word in ("number", "no", "no.", "#", "called", "named", "nr", "nr.", ":", "is", "was", "(") or "numbersign" in items[j].ids):
            if items[j].word in ("is", "was", ":", "(") and not (j + 1 < n and items[j + 1].kind in ("n", "name", "code", "letter", "word")):
                break
            if items[j].word in ("no",) and not (j + 1 < n and items[j + 1].kind in ("n", "code")):
                break
            named = named or items[j].word in ("called", "named")
            if items[j].word in ("is", "was") and items[j + 1].kind != "name":
                break
            if items[j].word in ("(",) and items[j + 1].kind not in ("name",):
                break
            j += 1
        if j >= n:
            return []
        item = items[j]
        if item.kind == "n" and item.low is None and float(item.value).is_integer() and not _counts_something(items, j, plural):
            last = j + 1
            name = _number_name(item)
            if last < n and items[last].kind == "letter" and items[last].i == item.j:
                name += items[last].raw
                last += 1
            out = [Mention(k, last, name)]
            if plural or True:
                while last + 1 < n and (items[last].word in ("and", ",", "&", "+", "/") or (plural and items[last].kind == "n")):
                    step = 0 if items[last].kind == "n" else 1
                    nxt = items[last + step]
                    if step and nxt.word == "and" and last + 2 < n:
                        step, nxt = 2, items[last + 2]
                    if nxt.kind != "n" or nxt.low is not None or not float(nxt.value).is_integer() or _counts_something(items, last + step, True):
                        break
                    if not plural and items[last].word == ",":
                        break
                    out.append(Mention(last + step, last + step + 1, _number_name(nxt), group=k))
                    last += step + 1
            if len(out) > 1:
                for m in out:
                    m.group = k
            return out
        if item.kind == "n" and plural and item.low is not None and item.form == "range":
            names = [str(x) for x in range(int(item.low), int(item.value) + 1)]
            if len(names) <= 60:
                return [Mention(k if x == 0 else j, j + 1, name, group=k) for x, name in enumerate(names)]
        if item.kind in ("code",):
            out = [Mention(k, j + 1, item.raw)]
            last = j + 1
            while plural and last + 1 < n and items[last].word in ("and", ",", "&", "+") and items[last + 1].kind == "code":
                out.append(Mention(last + 1, last + 2, items[last + 1].raw, group=k))
                out[0].group = k
                last += 2
            return out
        if item.kind == "letter" or (item.kind in ("word", "term") and len(item.word) == 1 and item.word.isalpha() and item.word not in ("a", "i")):
            last = j + 1
            name = item.raw.upper() or item.word.upper()
            if last < n and items[last].kind == "n" and items[last].low is None and not _counts_something(items, last, False):
                name += _number_name(items[last])
                last += 1
            return [Mention(k, last, name)]
        if item.kind == "name":
            last = j + 1
            while last < n and items[last].kind == "name" and last - j < 3:
                last += 1
            name = " ".join(i.raw for i in items[j:last])
            if last < n and items[last].kind == "n" and items[last].low is None and not _counts_something(items, last, False):
                name += f" {_number_name(items[last])}"
                last += 1
            return [Mention(k, last, name)]
        if named or (item.kind == "word" and item.word not in self.known and item.word.isalpha() and len(item.word) > 2):
            strength = 1.0 if named else 0.6
            last = j + 1
            name = item.raw or item.word
            if last < n and items[last].kind == "n" and items[last].low is None and not _counts_something(items, last, False):
                name += f" {_number_name(items[last])}"
                last += 1
            if named or not name.endswith(("ed", "ing", "ly", "s")):
                return [Mention(k, last, name, strength=strength)]
        return []

    def _before_hive(self, items: list[Item], k: int) -> Mention | None:
        """"the blue hive", "Second Year Hive", "swarm colony"."""
        j = k - 1
        if j < 0 or items[k].word in ("hives", "colonies", "nucs", "hv", "col"):
            return None
        first = k
        while j >= 0 and k - j <= 3 and items[j].kind == "name":
            first = j
            j -= 1
        if first < k:
            raw = " ".join(i.raw for i in items[first:k])
            tail = f" {items[k].raw}" if items[k].raw[:1].isupper() or "nuc" in items[k].ids else ""
            return Mention(first, k + 1, raw + (tail or ""), strength=0.9)
        word = items[j].word if j >= 0 else ""
        if items[k].raw[:1].isupper() and j >= 0 and items[j].raw[:1].isupper() and items[j].raw[:1].isalpha() and word not in ("the", "my", "this", "our", "no", "each", "every", "in", "at", "a", "new", "dead"):
            first = j
            while first > 0 and items[first - 1].raw[:1].isupper() and k - first < 3 and items[first - 1].word not in ("the", "my"):
                first -= 1
            return Mention(first, k + 1, " ".join(i.raw for i in items[first : k + 1]), strength=0.95)
        if word in self.descriptive or (items[j].kind == "term" and word in self.descriptive):
            first = j
            if j > 0 and (items[j - 1].word in self.descriptive):
                first = j - 1
            lead = items[first - 1].word if first else ""
            noun = items[k].raw.lower()
            name = " ".join(i.word for i in items[first:k]) + f" {noun}"
            if lead in ("a", "an", "any", "no", "of", "another", "every"):
                return None
            return Mention(first, k + 1, name, strength=0.9)
        if j >= 0 and items[j].kind == "word" and word not in self.known and word not in self.not_names and word.isalpha() and len(word) > 2 and not word.endswith(("ed", "ing", "est", "ly")):
            lead = items[j - 1].word if j else "."
            if lead in ("the", "in", "at", "on", "from", "for", ".", "\n", "my", "our", "her", "his") or items[j - 1].kind == "border" or j == 0:
                noun = items[k].word
                return Mention(j, k + 1, f"{items[j].raw} {noun}", strength=0.75)
        return None

    def _numbered(self, items: list[Item], k: int) -> list[Mention]:
        """"#4", "no. 4", "number four"."""
        item = items[k]
        if k + 1 >= len(items):
            return []
        nxt = items[k + 1]
        if nxt.kind == "code" and item.word == "#":
            return [Mention(k, k + 2, nxt.raw)]
        if nxt.kind != "n" or nxt.low is not None or not float(nxt.value).is_integer() or nxt.value > 2000:
            return []
        before = items[k - 1] if k else None
        if item.word in ("no",) and not (item.raw in ("No", "NO") or (before is not None and before.word in ("in", "on", "at", "for", "then"))):
            return []
        if before is not None and ("frame" in before.ids or "brood_frame" in before.ids or "mite" in before.ids or "test" in before.ids or "box" in before.ids or "super" in before.ids or "method.board" in before.ids or before.word in ("position", "phone", "house", "mite", "count", "step", "the", "a")):
            return []
        if item.word != "#" and _counts_something(items, k + 1, False):
            return []
        out = [Mention(k, k + 2, _number_name(nxt), strength=1.0 if item.word == "#" else 0.9)]
        last = k + 2
        while last + 1 < len(items) and items[last].word in ("&", "and", "+") and items[last + 1].kind == "n" and items[last + 1].low is None and not _counts_something(items, last + 1, True):
            out.append(Mention(last + 1, last + 2, _number_name(items[last + 1]), group=k))
            out[0].group = k
            last += 2
        return out

    def _is_code_name(self, items: list[Item], k: int) -> bool:
        raw = items[k].raw
        letters = raw.rstrip("0123456789").rstrip("-").lower()
        if not raw[0].isalpha():
            return self._at_line_start(items, k)
        if letters in ("q", "x", "f", "fr", "p", "pg", "co", "v", "mp", "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec", "ph", "qc", "fig", "l", "temp", "no", "ch", "psalm", "step", "fob", "bias", "day"):
            return self._at_line_start(items, k) and letters in ("l", "p", "f", "q", "no") and k + 1 < len(items) and items[k + 1].word in (":", "-", ",", "|")
        return True

    # -- names by position -----------------------------------------------------------------------

    def _at_line_start(self, items: list[Item], k: int) -> bool:
        j = k - 1
        while j >= 0 and items[j].kind == "mark" and items[j].word in ("-", "*", "(", "[", "+", ">"):
            j -= 1
        return j < 0 or (items[j].kind == "border" and items[j].word[0] == "\n")

    def _at_clause_start(self, items: list[Item], k: int) -> bool:
        if k == 0:
            return True
        before = items[k - 1]
        return before.kind == "border" or before.word in ("next", "then", "now", "okay", "on", "at", "in", "over", "-", "and", ",", "for", "under", "right", "to")

    def _cell(self, items: list[Item], a: int, b: int, slot: str) -> Mention | None:
        part = [i for i in items[a:b] if i.kind != "mark" and "hive" not in i.ids and "numbersign" not in i.ids]
        if not part or len(part) > 4:
            return None
        if len(part) == 1 and part[0].kind == "n":
            name = _number_name(part[0])
        else:
            name = " ".join(_number_name(i) if i.kind == "n" else (i.raw if i.j - i.i == 1 and i.raw else i.word) for i in part)
        if name.lower() in ("total", "totals", "mean", "average", "avg", "sum"):
            return None
        return Mention(a, b, name, kind=slot, head=True)

    def _line_heads(self, row: Row, taken: set[int], found: list[Mention]) -> list[Mention]:
        """"Cwtch: ...", "11 - 4 mites", "Larch." at the head of lines or of the note."""
        items = row.items
        candidates: list[tuple[Mention, str]] = []
        for k in range(len(items)):
            if k in taken or not self._at_line_start(items, k):
                continue
            item = items[k]
            if item.kind == "n" and item.low is None and float(item.value).is_integer():
                after = items[k + 1] if k + 1 < len(items) else None
                if after is None or _counts_something(items, k, False) and after.word not in (":", ")", "|"):
                    continue
                shape = after.word if after.kind == "mark" else "." if after.kind == "border" and after.word == "." else "term" if after.kind in ("term", "n") else "word"
                if shape != "word":
                    candidates.append((Mention(k, k + 1, _number_name(item), head=True), f"n{shape}"))
                continue
            last = k
            while last < len(items) and last - k < 4 and items[last].kind == "name":
                last += 1
            plain = last == k
            if plain and item.kind in ("word", "term", "letter") and (item.raw[:1].isupper() or item.kind == "letter") and item.word not in self.headings and item.kind != "border":
                last = k + 1
                while last < len(items) and last - k < 4 and items[last].raw[:1].isupper() and items[last].kind in ("word", "name", "term"):
                    last += 1
            if plain and last == k and item.kind == "word" and item.word not in self.known and item.word.isalpha() and len(item.word) > 2:
                last = k + 1
            if last == k:
                continue
            name = " ".join(i.raw or i.word for i in items[k:last])
            if last < len(items) and items[last].kind == "n" and items[last].low is None and float(items[last].value).is_integer() and not _counts_something(items, last, False) and (last + 1 >= len(items) or items[last + 1].word in (":", "-", ",", ".", "|", "(", "=", ";") or items[last + 1].kind in ("term", "border")):
                name += f" {_number_name(items[last])}"
                last += 1
            after = items[last] if last < len(items) else None
            mark = after.word if after is not None and (after.kind == "mark" or after.word == ".") else ""
            if name.lower() in self.headings:
                continue
            if mark == ":" or mark in ("-", "=", "→", "|"):
                if plain and any("method" in i.split(".")[0] or i in ("queen", "mite", "brood", "bee") for it in items[k:last] for i in it.ids):
                    continue
                candidates.append((Mention(k, last, name, head=True, strength=0.95 if not plain else 0.8), "name" + mark))
            elif not plain and mark in (",", ".", "(", ";"):
                candidates.append((Mention(k, last, name, head=True, strength=0.8), "name" + mark))
            elif not plain and after is not None and after.kind in ("term", "vol", "n", "day") and k + 1 == last:
                candidates.append((Mention(k, last, name, head=True, strength=0.6), "name "))
            elif not plain and (after is None or after.kind == "border") and last - k <= 3:
                candidates.append((Mention(k, last, name, head=True, strength=0.5), "name line"))
        shapes: dict[str, int] = {}
        for _, shape in candidates:
            shapes[shape] = shapes.get(shape, 0) + 1
        out: list[Mention] = []
        strong = any(m.kind == "colony" and m.strength >= 0.9 for m in found)
        for mention, shape in candidates:
            if shape.startswith("n") and not shape.startswith("name"):
                if shapes[shape] >= 2 or (not strong and shape in ("n:", "n|", "n-", "n)", "n,") and len(candidates) == 1):
                    out.append(mention)
            elif shape in ("name:", "name-", "name=", "name→", "name|") or not strong or shapes[shape] >= 2:
                out.append(mention)
        if sum(not m.name.isdigit() for m in out) >= 2:
            # a heading above lines of another shape names the yard
            first = out[0]
            rest = [s for m, s in candidates if m in out[1:]]
            own = next(s for m, s in candidates if m is first)
            if rest and own not in rest and all(s == rest[0] for s in rest) and own in ("name,", "name line", "name.", "name:"):
                first.kind = "yard"
        elif len(out) == 1 and strong and not out[0].name.isdigit():
            out[0].kind = "yard"
        elif out and any(m.name.isdigit() for m in out) and not out[0].name.isdigit():
            out[0].kind = "yard"
        return out

    def _name_and_number(self, items: list[Item], k: int) -> Mention | None:
        """"Birch four", "barn 6" in the run of a note."""
        item = items[k]
        if k + 1 >= len(items):
            return None
        nxt = items[k + 1]
        if nxt.kind != "n" or nxt.low is not None or nxt.hedged or not float(nxt.value).is_integer() or nxt.value > 400:
            return None
        if _counts_something(items, k + 1, False):
            return None
        if item.kind == "name":
            first = k
            while first > 0 and items[first - 1].kind == "name":
                first -= 1
            name = " ".join(i.raw for i in items[first : k + 1])
            return Mention(first, k + 2, f"{name} {_number_name(nxt)}", strength=0.85)
        if item.kind == "letter" and self._at_clause_start(items, k):
            return Mention(k, k + 2, item.raw + _number_name(nxt), strength=0.85)
        known = item.word in self.known or not item.word.isalpha() or len(item.word) < 3
        if item.kind == "word" and not known and self._at_clause_start(items, k):
            return Mention(k, k + 2, f"{item.raw} {_number_name(nxt)}", strength=0.7)
        if item.kind == "term" and "yard_noun" in item.ids and (self._at_line_start(items, k) or self._at_clause_start(items, k)):
            return Mention(k, k + 2, f"{item.raw} {_number_name(nxt)}", strength=0.7)
        return None

    def _weak(self, row: Row, taken: set[int]) -> list[Mention]:
        """Where nothing names a colony: a capitalised name in the text, or the note's first word."""
        items = row.items
        counts: dict[str, list[int]] = {}
        for k, item in enumerate(items):
            if item.kind == "name" and k not in taken and not (k and items[k - 1].kind == "name"):
                counts.setdefault(item.raw, []).append(k)
        out: list[Mention] = []
        for raw, places in counts.items():
            before = {items[k - 1].word if k else "\n" for k in places}
            if before & {"in", "under", "on", "from", "for", "of", "did", "checked", "tested", "is", "sampled", "washed", "into", "called", "through"} or len(places) > 1:
                for k in places:
                    last = k + 1
                    while last < len(items) and items[last].kind == "name" and last - k < 3:
                        last += 1
                    out.append(Mention(k, last, " ".join(i.raw for i in items[k:last]), strength=0.5))
                break
        if out:
            return out
        for k, item in enumerate(items[:3]):
            if k in taken:
                continue
            if item.kind in ("word", "name") and item.word not in self.known and item.word.isalpha() and len(item.word) > 2:
                after = items[k + 1] if k + 1 < len(items) else None
                if after is not None and after.kind in ("term", "vol", "n") and all(i.word in self.known for i in items[:k]):
                    return [Mention(k, k + 1, item.raw, strength=0.45)]
        return out

    # -- yards -----------------------------------------------------------------------------------

    def _yards(self, row: Row) -> list[Mention]:
        items = row.items
        out: list[Mention] = []
        for k, item in enumerate(items):
            if "stand_place" in item.ids:
                mention = self._yard_before(items, k, with_noun=False) or self._yard_after(items, k)
            elif "yard_noun" in item.ids:
                mention = self._yard_before(items, k, with_noun=True)
            else:
                continue
            if mention:
                out.append(mention)
        return out

    def _yard_before(self, items: list[Item], k: int, *, with_noun: bool) -> Mention | None:
        first = k
        while first > 0 and k - first < 3 and items[first - 1].kind == "name":
            first -= 1
        upper = all(i.raw[:1].isupper() for i in items[first : k + 1])
        if first == k:
            j = k - 1
            if j < 0:
                if with_noun and (k + 1 >= len(items) or items[k + 1].kind != "n"):
                    return None
                return None
            item = items[j]
            if item.kind not in ("word", "term", "name", "code") or not item.word.replace("-", "").isalpha():
                return None
            if with_noun and not (upper or (item.kind == "word" and item.word not in self.known)):
                lead = items[j - 1].word if j else "\n"
                if not (item.word in ("north", "south", "east", "west", "top", "back", "home", "lower", "upper", "half") and lead in ("the", "at", "\n", "in")):
                    return None
            if item.word in self.not_names and item.word not in ("home", "own") or item.word in ("bee", "out", "whole", "this", "the", "my", "same"):
                return None
            if with_noun:
                lead = items[j - 1].word if j else "\n"
                if not (lead in ("the", "at", "\n", "in", "from", "up", "down", "over", "to", "on") or items[j - 1].kind == "border" or j == 0):
                    return None
                if item.word.endswith(("ed", "ing", "s")) and not upper:
                    return None
            first = j
            if items[j - 1].kind == "word" and j and items[j - 1].word not in self.known and items[j - 1].word.isalpha() and not with_noun:
                first = j - 1
        last = k + 1 if with_noun else k
        name = " ".join(i.raw or i.word for i in items[first:last])
        if not name or name.lower() in ("the", "a", "my", "bee"):
            return None
        return Mention(first, k + 1, name, kind="yard", strength=0.8)

    def _yard_after(self, items: list[Item], k: int) -> Mention | None:
        """"apiary of the Old Press", "yard at Oakhill", "apiary: Elm"."""
        j = k + 1
        while j < len(items) and items[j].word in ("of", "at", "the", "on", "in", ":", "by", "-"):
            j += 1
        if j == k + 1:
            return None
        last = j
        while last < len(items) and last - j < 3 and (items[last].kind == "name" or (items[last].raw[:1].isupper() and items[last].kind in ("word", "term"))):
            last += 1
        if last == j:
            return None
        return Mention(k, last, " ".join(i.raw for i in items[j:last]), kind="yard", strength=0.8)

    # -- all, next -------------------------------------------------------------------------------

    def _groups(self, row: Row) -> list[Mention]:
        items = row.items
        out: list[Mention] = []
        k = 0
        while k < len(items):
            for phrases, kind in ((self.all_phrases, "all"), (self.next_phrases, "next")):
                hit = 0
                for phrase in phrases:
                    words: list[str] = []
                    j = k
                    while j < len(items) and len(words) < len(phrase):
                        words.extend(items[j].word.split())
                        j += 1
                    if tuple(words) == phrase:
                        hit = j - k
                        break
                if hit:
                    out.append(Mention(k, k + hit, " ".join(i.word for i in items[k : k + hit]), kind=kind))
                    k += hit - 1
                    break
            k += 1
        return out

    def _settle(self, found: list[Mention], items: list[Item]) -> list[Mention]:
        """A name that also stands alone keeps its number as a value, not as part of the name."""
        alone: set[str] = set()
        for m in found:
            if m.kind == "colony" and not m.name[-1:].isdigit():
                alone.add(m.name.lower())
        for k, item in enumerate(items):
            if item.kind == "name" and not (k + 1 < len(items) and items[k + 1].kind in ("n", "name")) and not (k and items[k - 1].kind == "name"):
                alone.add(item.word)
        for m in found:
            if m.kind != "colony" or m.strength >= 0.9:
                continue
            base, _, number = m.name.rpartition(" ")
            if base and number.isdigit() and base.lower() in alone and m.last - m.first >= 2 and items[m.last - 1].kind == "n":
                m.name, m.last = base, m.last - 1
        return found


def _plain(item: Item) -> str:
    return str(int(item.value)) if item.kind == "n" and float(item.value).is_integer() else item.word


def _number_name(item: Item) -> str:
    return str(int(item.value))


def _named_number(items: list[Item], k: int) -> bool:
    before = items[k - 1] if k else None
    return before is not None and ("hive" in before.ids or "numbersign" in before.ids or before.word == "#")


_COUNTABLE = frozenset(
    {"mite", "mite_letter", "fbees", "fbrood", "fstores", "fob", "seam", "frame", "super", "queen_cells", "brood_frame", "box", "bee", "cells", "rate", "per_day", "infested", "form", "queen_cups", "honey_frame", "container", "fell", "board.weak", "drone_brood", "stores"}
)  # fmt: skip


def _counts_something(items: list[Item], k: int, plural: bool) -> bool:
    """Whether the number at ``k`` counts what follows it, and so is no name."""
    if k + 1 >= len(items):
        return False
    nxt = items[k + 1]
    if nxt.ids & _COUNTABLE:
        if "mite" in nxt.ids or "bee" in nxt.ids or "super" in nxt.ids:
            # "hive seven mites four": the number names the hive, another one counts
            after = items[k + 2] if k + 2 < len(items) else None
            return not (after is not None and (after.kind == "n" or after.word in (":", "=", "-", "count", "were", "was")) )
        return True
    if nxt.word in ("more", "of", "and a half", "x", "or", "to", "were", "had", "with") and not plural:
        return nxt.word in ("more", "of", "or", "to")
    return nxt.word in ("/", "%") and not plural
