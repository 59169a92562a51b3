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
    day: int | None = None
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
        self.group_phrases: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        for kind in ("all", "next"):
            for phrase in getattr(scenes, kind).phrases:
                words = tuple(phrase.split())
                self.group_phrases.setdefault(words[0], []).append((words, kind))
        for rows in self.group_phrases.values():
            rows.sort(key=lambda row: -len(row[0]))
        self.known = grammar.known_words
        self.likely = frozenset(grammar.names.likely)
        self.ordinary = frozenset(grammar.names.ordinary)
        self.name_before = frozenset(grammar.names.before)
        self.name_after = frozenset(grammar.names.after)
        self.person = frozenset(grammar.names.person)
        self._next_number = False
        self.loose = False
        self.typed = False
        self.calendar = frozenset([*grammar.dates.weekdays, *grammar.dates.months])
        self.spots = frozenset(grammar.names.spots)
        self.listing = frozenset(grammar.names.listing)
        self.pronouns = frozenset(
            (
                "i",
                "he",
                "she",
                "it",
                "we",
                "they",
                "you",
                "that",
                "there",
                "here",
                "what",
                "who",
                "let",
                "tis",
            )
        )
        self.lead = frozenset(grammar.names.lead)
        self.places = frozenset(grammar.names.places)

    # -- all mentions ----------------------------------------------------------------------------

    def find(self, row: Row, tables: list[Table], roster: Roster) -> list[Mention]:
        """All mentions of a note in order, settled against each other."""
        items = row.items
        self.typed = (
            any(
                i.kind in ("name", "word")
                and i.raw[:1].isupper()
                and i.raw not in ("I", "I'm", "I've", "I'll", "I'd")
                and not (k == 0 or items[k - 1].kind == "border")
                for k, i in enumerate(items)
            )
            or sum(i.raw[:1].isupper() for i in items) >= 3
        )
        loose = {
            items[k + 1].value
            for k, i in enumerate(items[:-1])
            if "hive_loose" in i.ids
            and items[k + 1].kind == "n"
            and not _counts_something(items, k + 1, False)
        }
        self.loose = len(loose) >= 2
        found: list[Mention] = []
        taken: set[int] = set()
        groups: dict[int, int] = {}

        def add(mention: Mention | None) -> None:
            if mention is None:
                return
            span = range(mention.first, mention.last)
            if any(k in taken for k in span) and not (
                mention.group is not None and groups.get(span.stop - 1) == mention.group
            ):
                return
            if mention.group is not None:
                groups[span.stop - 1] = mention.group
            taken.update(span)
            found.append(mention)

        for mention in self._roster(row, roster):
            add(mention)
        for table in tables:
            dated = any(cell.slot in ("date", "out") for cell in table.cells)
            for cell in table.cells:
                if cell.slot in ("colony", "yard"):
                    mention = self._cell(items, cell.first, cell.last, cell.slot)
                    if mention is not None and dated:
                        mention.day = 1000 + cell.line
                    add(mention)
            taken.update(
                k for cell in table.cells if cell.slot for k in range(cell.first, cell.last)
            )
            if table.header:
                taken.update(range(*table.header))
        for k in range(len(items)):
            if k in taken:
                continue
            for mention in self._explicit(items, k):
                add(mention)
        for mention in self._yards(row):
            add(mention)
        strong = any(m.kind == "colony" and m.strength >= 0.9 for m in found)
        for mention in self._number_heads(row, taken, strong):
            add(mention)
            strong = True
        for mention in self._scored_names(row, taken, strong):
            add(mention)
        found.sort(key=lambda m: m.first)
        for mention in self._again(row, taken, found):
            add(mention)
        found.extend(self._groups(row))
        found.sort(key=lambda m: m.first)
        return self._settle(found, items, row)

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
                    if key in names and not (
                        length == 1 and key[0].isdigit() and not _named_number(row.items, s)
                    ):
                        out.append(
                            Mention(words[s][1], words[s + length - 1][1] + 1, names[key], kind)
                        )
                        break
        return out

    # -- explicit names --------------------------------------------------------------------------

    def _explicit(self, items: list[Item], k: int) -> list[Mention]:
        item = items[k]
        if "hive" in item.ids:
            if k and items[k - 1].kind == "ord":
                return [Mention(k - 1, k + 1, f"{items[k - 1].word} {item.word}", strength=0.45)]
            if (
                k
                and items[k - 1].word in self.descriptive
                and item.word in ("hive", "colony")
                and not (k + 1 < len(items) and "numbersign" in items[k + 1].ids)
            ):
                named = self._before_hive(items, k)
                if named:
                    return [named]
            got = self._after_hive(items, k)
            if got:
                return got
            named = self._before_hive(items, k)
            return [named] if named else []
        if (
            item.word == "box"
            and k > 1
            and items[k - 1].word in self.descriptive
            and items[k - 2].word in ("the", "my", "our")
            and items[k - 1].word
            not in ("top", "bottom", "upper", "lower", "middle", "single", "double", "old", "end")
        ):
            return [Mention(k - 1, k + 1, f"{items[k - 1].word} box", strength=0.7)]
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
            if item.word in ("nuc", "nuke", "nucleus") and before in ("the", "my", "our"):
                after = items[k + 1].word if k + 1 < len(items) else ""
                if after not in ("box", "boxes", "yard", "lid"):
                    return [Mention(k, k + 1, "the nuc", strength=0.9)]
            if (
                item.word in ("nuc", "nuke")
                and self._at_clause_start(items, k)
                and k + 1 < len(items)
                and items[k + 1].word in (":", ",", "-", ".")
            ):
                return [Mention(k, k + 1, "the nuc", strength=0.9)]
            return []
        if (
            "hive_loose" in item.ids
            and (self._at_clause_head(items, k) or self.loose)
            and k + 1 < len(items)
            and items[k + 1].kind == "n"
            and items[k + 1].low is None
            and not _counts_something(items, k + 1, False)
        ):
            return [Mention(k, k + 2, f"{item.raw} {_number_name(items[k + 1])}", strength=0.9)]
        if (
            item.raw[:1].isupper()
            and len(item.raw) > 2
            and item.kind in ("name", "word")
            and self._at_clause_head(items, k)
            and k + 1 < len(items)
            and items[k + 1].kind == "letter"
            and (
                k + 2 >= len(items)
                or items[k + 2].kind == "border"
                or items[k + 2].word in (":", ",", "-")
            )
        ):
            return [Mention(k, k + 2, f"{item.raw} {items[k + 1].raw}", strength=0.9)]
        if item.word in self.listing and k + 1 < len(items):
            run = self._number_run(items, k + 1)
            if len(run) >= 2:
                return [Mention(j, j + 1, _number_name(items[j]), group=k) for j in run]
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
        while j < n and (
            items[j].word
            in ("number", "no", "no.", "#", "called", "named", "nr", "nr.", ":", "is", "was", "(")
            or "numbersign" in items[j].ids
        ):
            if items[j].word in ("is", "was", ":", "(") and not (
                j + 1 < n and items[j + 1].kind in ("n", "name", "code", "letter", "word")
            ):
                break
            if items[j].word in ("no",) and not (j + 1 < n and items[j + 1].kind in ("n", "code")):
                break
            named = named or items[j].word in ("called", "named")
            if (
                items[j].word in ("is", "was")
                and items[j + 1].kind != "name"
                and items[j + 1].word not in ("called", "named")
            ):
                break
            if items[j].word in ("(",) and items[j + 1].kind not in ("name",):
                break
            j += 1
        if j >= n:
            return []
        item = items[j]
        if (
            j == k + 1
            and k > 1
            and items[k - 1].word == "the"
            and items[k - 2].word in ("that's", "thats", "this")
            and item.kind in ("word", "name")
        ):
            named = True
        if named and item.kind != "n" and item.raw[:1].isupper():
            last = j + 1
            while (
                last < n
                and last - j < 3
                and items[last].raw[:1].isupper()
                and items[last].kind in ("word", "name", "letter")
            ):
                last += 1
            return [Mention(k, last, " ".join(i.raw for i in items[j:last]))]
        if (
            item.kind == "n"
            and item.low is None
            and float(item.value).is_integer()
            and not _counts_something(items, j, plural)
        ):
            last = j + 1
            name = _number_name(item)
            if last < n and items[last].kind == "letter" and items[last].i == item.j:
                name += items[last].raw
                last += 1
            out = [Mention(k, last, name)]
            if plural or True:
                while last + 1 < n and (
                    items[last].word in ("and", ",", "&", "+", "/")
                    or (plural and items[last].kind == "n")
                ):
                    step = 0 if items[last].kind == "n" else 1
                    nxt = items[last + step]
                    if step and nxt.word == "and" and last + 2 < n:
                        step, nxt = 2, items[last + 2]
                    if (
                        nxt.kind != "n"
                        or nxt.low is not None
                        or not float(nxt.value).is_integer()
                        or _counts_something(items, last + step, True)
                    ):
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
                return [
                    Mention(k if x == 0 else j, j + 1, name, group=k)
                    for x, name in enumerate(names)
                ]
        if item.kind in ("code",):
            out = [Mention(k, j + 1, item.raw)]
            last = j + 1
            while (
                plural
                and last + 1 < n
                and items[last].word in ("and", ",", "&", "+")
                and items[last + 1].kind == "code"
            ):
                out.append(Mention(last + 1, last + 2, items[last + 1].raw, group=k))
                out[0].group = k
                last += 2
            return out
        if item.kind == "letter" or (
            item.kind in ("word", "term")
            and len(item.word) == 1
            and item.word.isalpha()
            and (item.word not in ("a", "i") or item.raw == "A")
        ):
            last = j + 1
            name = item.raw.upper() or item.word.upper()
            if plural:
                out = [Mention(k, last, name)]
                while last + 1 < n and (items[last].word in (",", "and", "&")):
                    step = (
                        2
                        if items[last].word == ","
                        and items[last + 1].word == "and"
                        and last + 2 < n
                        else 1
                    )
                    nxt = items[last + step]
                    if not (nxt.kind == "letter" or (len(nxt.raw) == 1 and nxt.raw.isupper())):
                        break
                    out[0].group = k
                    out.append(Mention(last + step, last + step + 1, nxt.raw, group=k))
                    last += step + 1
                if len(out) > 1:
                    return out
            if (
                last < n
                and items[last].kind == "n"
                and items[last].low is None
                and not _counts_something(items, last, False)
            ):
                name += _number_name(items[last])
                last += 1
            return [Mention(k, last, name)]
        if item.kind == "name":
            last = j + 1
            while last < n and items[last].kind == "name" and last - j < 3:
                last += 1
            name = " ".join(i.raw for i in items[j:last])
            if (
                last < n
                and items[last].kind == "n"
                and items[last].low is None
                and not _counts_something(items, last, False)
            ):
                name += f" {_number_name(items[last])}"
                last += 1
            out = [Mention(k, last, name)]
            while plural and last + 1 < n and items[last].word in (",", "and", "&"):
                step = (
                    2
                    if items[last].word == "," and items[last + 1].word == "and" and last + 2 < n
                    else 1
                )
                if items[last + step].kind != "name":
                    break
                out[0].group = k
                out.append(Mention(last + step, last + step + 1, items[last + step].raw, group=k))
                last += step + 1
            return out
        if named or (
            item.kind == "word"
            and item.word not in self.known
            and item.word not in self.ordinary
            and item.word.isalpha()
            and len(item.word) > 2
        ):
            strength = 1.0 if named else 0.6
            last = j + 1
            name = item.raw or item.word
            pairs = [(a.word, b.word) for a, b in zip(items, items[1:], strict=False)]
            if (
                last < n
                and pairs.count((item.word, items[last].word)) > 1
                and items[last].word.isalpha()
            ):
                name += f" {items[last].raw or items[last].word}"
                last += 1
            if (
                last < n
                and items[last].kind == "n"
                and items[last].low is None
                and not _counts_something(items, last, False)
            ):
                name += f" {_number_name(items[last])}"
                last += 1
            if named or not name.endswith(("ed", "ing", "ly", "s")):
                return [Mention(k, last, name, strength=strength)]
        return []

    def _before_hive(self, items: list[Item], k: int) -> Mention | None:
        """ "the blue hive", "Second Year Hive", "swarm colony"."""
        j = k - 1
        if j < 0 or items[k].word in ("hives", "colonies", "nucs", "hv", "col"):
            return None
        first = k
        while j >= 0 and k - j <= 3 and items[j].kind == "name":
            first = j
            j -= 1
        if first < k:
            raw = " ".join(i.raw for i in items[first:k])
            if raw.endswith("'s"):
                return Mention(first, k + 1, raw, strength=0.95)
            tail = f" {items[k].raw}" if items[k].raw[:1].isupper() or "nuc" in items[k].ids else ""
            return Mention(first, k + 1, raw + (tail or ""), strength=0.9)
        word = items[j].word if j >= 0 else ""
        if (
            items[k].raw[:1].isupper()
            and j >= 0
            and items[j].raw[:1].isupper()
            and items[j].raw[:1].isalpha()
            and word
            not in (
                "the",
                "my",
                "this",
                "our",
                "no",
                "each",
                "every",
                "in",
                "at",
                "a",
                "new",
                "dead",
            )
        ):
            first = j
            while (
                first > 0
                and items[first - 1].raw[:1].isupper()
                and k - first < 3
                and items[first - 1].word not in ("the", "my")
            ):
                first -= 1
            return Mention(
                first, k + 1, " ".join(i.raw for i in items[first : k + 1]), strength=0.95
            )
        if word in self.descriptive or (items[j].kind == "term" and word in self.descriptive):
            first = j
            if j > 0 and (items[j - 1].word in self.descriptive):
                first = j - 1
            lead = items[first - 1].word if first else ""
            j2 = first - 2
            if (
                lead == "the"
                and j2 >= 0
                and (
                    items[j2].kind == "name"
                    or _base(items[j2]) in self.likely
                    or (
                        items[j2].kind == "word"
                        and items[j2].word not in self.known
                        and items[j2].word not in self.ordinary
                    )
                )
            ):
                return None
            if lead == "wee" or (
                first >= 2
                and items[first - 2].word == "the"
                and lead in ("wee", "little", "big", "old")
            ):
                return None
            noun = items[k].raw.lower().removesuffix("'s")
            name = " ".join(i.word for i in items[first:k]) + f" {noun}"
            if lead in ("a", "an", "any", "no", "of", "another", "every"):
                return None
            return Mention(first, k + 1, name, strength=0.9)
        if (
            j >= 0
            and items[j].kind in ("word", "term")
            and items[j].raw.endswith("'s")
            and _base(items[j]) in self.likely
        ):
            return Mention(j, k + 1, items[j].raw, strength=0.95)
        if (
            j > 1
            and word in self.spots
            and items[j - 2].word == "the"
            and items[j - 1].kind in ("word", "term")
            and items[j - 1].word.isalpha()
            and items[j - 1].word not in self.not_names
        ):
            return Mention(
                j - 1,
                k + 1,
                f"{items[j - 1].raw or items[j - 1].word} {items[j].raw or word}",
                strength=0.8,
            )
        if (
            j > 0
            and items[j].kind == "word"
            and _base(items[j - 1]) in self.likely
            and word not in self.not_names
            and word in ("tree", "bush", "stump", "gate", "hedge")
        ):
            return Mention(j - 1, k + 1, f"{items[j - 1].raw} {items[j].raw}", strength=0.9)
        if (
            j >= 0
            and items[j].kind == "word"
            and word not in self.known
            and word not in self.not_names
            and word.isalpha()
            and len(word) > 2
            and not word.endswith(("ed", "ing", "est", "ly"))
        ):
            lead = items[j - 1].word if j else "."
            if (
                lead
                in ("the", "in", "at", "on", "from", "for", ".", "\n", "my", "our", "her", "his")
                or items[j - 1].kind == "border"
                or j == 0
            ):
                noun = items[k].word
                return Mention(j, k + 1, f"{items[j].raw} {noun}", strength=0.75)
        return None

    def _numbered(self, items: list[Item], k: int) -> list[Mention]:
        """ "#4", "no. 4", "number four"."""
        item = items[k]
        if k + 1 >= len(items):
            return []
        nxt = items[k + 1]
        if nxt.kind == "code" and item.word == "#":
            return [Mention(k, k + 2, nxt.raw)]
        if (
            nxt.kind != "n"
            or nxt.low is not None
            or not float(nxt.value).is_integer()
            or nxt.value > 2000
        ):
            return []
        before = items[k - 1] if k else None
        if item.word in ("no",) and not (
            item.raw in ("No", "NO")
            or (before is not None and before.word in ("in", "on", "at", "for", "then"))
        ):
            return []
        if before is not None and (
            "frame" in before.ids
            or "brood_frame" in before.ids
            or before.word in ("mite", "varroa")
            or "test" in before.ids
            or "box" in before.ids
            or "super" in before.ids
            or "method.board" in before.ids
            or before.word in ("position", "phone", "house", "mite", "count", "step", "the", "a")
        ):
            return []
        if item.word != "#" and _counts_something(items, k + 1, False):
            return []
        out = [Mention(k, k + 2, _number_name(nxt), strength=1.0 if item.word == "#" else 0.9)]
        last = k + 2
        while (
            last + 1 < len(items)
            and items[last].word in ("&", "and", "+")
            and items[last + 1].kind == "n"
            and items[last + 1].low is None
            and not _counts_something(items, last + 1, True)
        ):
            out.append(Mention(last + 1, last + 2, _number_name(items[last + 1]), group=k))
            out[0].group = k
            last += 2
        return out

    def _is_code_name(self, items: list[Item], k: int) -> bool:
        raw = items[k].raw
        letters = raw.rstrip("0123456789").rstrip("-").lower()
        if not raw[0].isalpha():
            return (
                self._at_line_start(items, k)
                or sum(i.kind == "code" and i.raw[0].isdigit() for i in items) > 1
            )
        if letters in (
            "q",
            "x",
            "f",
            "fr",
            "p",
            "pg",
            "co",
            "v",
            "mp",
            "jan",
            "feb",
            "mar",
            "apr",
            "may",
            "jun",
            "jul",
            "aug",
            "sep",
            "oct",
            "nov",
            "dec",
            "ph",
            "qc",
            "fig",
            "l",
            "temp",
            "no",
            "ch",
            "psalm",
            "step",
            "fob",
            "bias",
            "day",
        ):
            if (
                letters == "q"
                and k + 1 < len(items)
                and self._at_line_start(items, k)
                and any(i.startswith(("method", "board")) for i in items[k + 1].ids)
            ):
                return True
            kin = {
                i.raw
                for i in items
                if i.kind == "code" and i.raw.rstrip("0123456789").rstrip("-").lower() == letters
            }
            if letters in ("l", "p", "v", "f") and len(kin) >= 2:
                return True
            return letters in ("l", "p", "v", "f") and (
                self._at_line_start(items, k)
                or (k + 1 < len(items) and items[k + 1].word in (":", "-", "=", "|"))
            )
        return True

    # -- names by position -----------------------------------------------------------------------

    def _at_line_start(self, items: list[Item], k: int) -> bool:
        j = k - 1
        while j >= 0 and (
            items[j].kind in ("day", "clock", "temp")
            or items[j].word in ("-", "*", "(", "[", "]", "+", ">", "→", ",")
            or (
                items[j].kind == "border"
                and items[j].word == "."
                and j > 0
                and items[j - 1].kind in ("day", "clock", "temp")
            )
        ):
            j -= 1
        return j < 0 or (items[j].kind == "border" and items[j].word[0] == "\n")

    @staticmethod
    def _number_run(items: list[Item], k: int) -> list[int]:
        """ "12 and 13", "1, 2 and 3" from item ``k`` on: whole numbers that count nothing."""
        run: list[int] = []
        while (
            k < len(items)
            and items[k].kind == "n"
            and items[k].low is None
            and not items[k].hedged
            and float(items[k].value).is_integer()
            and items[k].value < 400
            and not _counts_something(items, k, True)
        ):
            run.append(k)
            if (
                k + 2 < len(items)
                and items[k + 1].word in (",", "and", "&", "+")
                and items[k + 2].kind == "n"
            ):
                k += 2
            elif k + 3 < len(items) and items[k + 1].word == "," and items[k + 2].word == "and":
                k += 3
            else:
                break
        return run

    def _at_clause_head(self, items: list[Item], k: int) -> bool:
        return k == 0 or items[k - 1].kind == "border" or self._at_line_start(items, k)

    def _at_clause_start(self, items: list[Item], k: int) -> bool:
        if k == 0:
            return True
        before = items[k - 1]
        return before.kind == "border" or before.word in (
            "next",
            "then",
            "now",
            "okay",
            "on",
            "at",
            "in",
            "over",
            "-",
            "and",
            ",",
            "for",
            "under",
            "right",
            "to",
        )

    def _cell(self, items: list[Item], a: int, b: int, slot: str) -> Mention | None:
        part = [
            i
            for i in items[a:b]
            if i.kind != "mark" and "hive" not in i.ids and "numbersign" not in i.ids
        ]
        if not part or len(part) > 4:
            return None
        if len(part) == 1 and part[0].kind == "n":
            name = _number_name(part[0])
        else:
            name = " ".join(
                _number_name(i)
                if i.kind == "n"
                else (i.raw if i.j - i.i == 1 and i.raw else i.word)
                for i in part
            )
        if name.lower() in ("total", "totals", "mean", "average", "avg", "sum"):
            return None
        return Mention(a, b, name, kind=slot, head=True)

    def _number_heads(self, row: Row, taken: set[int], strong: bool) -> list[Mention]:
        """Bare numbers or letters at the head of lines: "11 - 4 mites", "3: none", "A 14"."""
        items = row.items
        found: list[tuple[Mention, str]] = []
        for k, item in enumerate(items):
            if k in taken or not self._at_line_start(items, k):
                continue
            after = items[k + 1] if k + 1 < len(items) else None
            if (
                item.kind == "n"
                and item.low is None
                and float(item.value).is_integer()
                and item.value < 2000
            ):
                if after is None:
                    continue
                if (
                    after.start == item.end
                    and len(after.word) == 1
                    and after.word.isalpha()
                    and k + 2 < len(items)
                    and items[k + 2].word in (":", "-", "|")
                ):
                    found.append(
                        (
                            Mention(k, k + 2, _number_name(item) + after.word, head=True),
                            items[k + 2].word,
                        )
                    )
                    continue
                mark = after.word if after.kind == "mark" else "." if after.word == "." else ""
                if not mark and _counts_something(items, k, False):
                    continue
                shape = mark or ("term" if after.kind in ("term", "n", "vol") else "word")
                if shape != "word":
                    found.append((Mention(k, k + 1, _number_name(item), head=True), shape))
            elif item.kind == "letter" or (
                item.kind == "term" and len(item.word) == 1 and item.raw.isupper()
            ):
                if after is not None and (after.kind in ("n", "term", "mark")):
                    found.append((Mention(k, k + 1, item.raw, head=True), "letter"))
            elif item.kind == "frac" and item.over == 0:
                continue
        for k, item in enumerate(items):
            if (
                k in taken
                or item.kind != "n"
                or item.low is not None
                or not float(item.value).is_integer()
            ):
                continue
            if k + 1 < len(items) and not (
                k and items[k - 1].kind in ("n", "frac") and items[k - 1].word[:1].isalpha()
            ):
                j = k + 1
                verb = items[j].word in ("had", "has", "got", "was", "came", "gave", "is", "at")
                if verb:
                    j += 1
                sentence = k == 0 or items[k - 1].kind == "border"
                if (
                    sentence
                    and j < len(items)
                    and items[j].word
                    in (",", ":", "has", "had", "i", "we", "is", "was", "got", "gets")
                    and j + 1 < len(items)
                    and items[j].kind != "border"
                ):
                    found.append((Mention(k, k + 1, _number_name(item)), "sentence"))
                    continue
                opens = (
                    k == 0
                    or items[k - 1].kind == "border"
                    or items[k - 1].word in (",", "and", "in", "then", "but")
                    or verb
                )
                if (
                    j < len(items)
                    and opens
                    and items[j].i == items[j - 1].j
                    and (
                        items[j].kind in ("n", "frac")
                        or items[j].word in ("nil", "none", "zero", "nothing", "no")
                    )
                ):
                    if verb or k == 0 or items[k - 1].kind == "border":
                        found.append(
                            (Mention(k, k + 1, _number_name(item)), "had" if verb else "sentence")
                        )
                        continue
            before = items[k - 1] if k else None
            after = items[k + 1] if k + 1 < len(items) else None
            if before is None or after is None or self._at_line_start(items, k):
                continue
            listing = (
                after.word in (":", "=")
                and k + 2 < len(items)
                and items[k + 2].kind in ("n", "frac")
            )
            if (
                (
                    before.word in (":", ",", ";", "and")
                    or before.kind == "border"
                    or after.word == ")"
                    or listing
                )
                and after.word in ("(", "=", ":", "-", ")")
                and before.word != "("
                and k + 2 < len(items)
                and items[k + 2].kind in ("n", "term", "word", "frac", "vol")
            ):
                found.append((Mention(k, k + 1, _number_name(item)), f"inline{after.word}"))
        letters = [
            k
            for k, item in enumerate(items[:-1])
            if item.kind == "letter"
            and k not in taken
            and (
                items[k + 1].kind in ("n", "frac")
                or items[k + 1].word in ("nil", "none", "zero", "no", "nothing", "(", ":")
            )
        ]
        if len({items[k].raw for k in letters}) >= 2:
            found.extend(
                (Mention(k, k + 1, items[k].raw), "letters")
                for k in letters
                if all(m.first != k for m, _ in found)
            )
        for run in self._sequences(items, taken):
            found.extend(
                (Mention(k, k + 1, _number_name(items[k])), "sequence")
                for k in run
                if all(m.first != k for m, _ in found)
            )
        colours = [
            k
            for k, item in enumerate(items[:-1])
            if item.word in self.descriptive
            and k not in taken
            and items[k + 1].kind in ("n",)
            and items[k + 1].low is None
            and not _counts_something(items, k + 1, False)
            and not (k and items[k - 1].word in ("the", "a", "of"))
        ]
        if len({items[k].word for k in colours}) >= 2:
            found.extend(
                (
                    Mention(
                        k, k + 1, items[k].raw or items[k].word, head=self._at_line_start(items, k)
                    ),
                    "colour",
                )
                for k in colours
            )
        shapes: dict[str, int] = {}
        for _, shape in found:
            shapes[shape] = shapes.get(shape, 0) + 1
        return [
            m
            for m, shape in found
            if shapes[shape] >= 2
            or (not strong and shape in (":", "|", "-", ")", ",", ".") and len(found) == 1)
        ]

    @staticmethod
    def _sequences(items: list[Item], taken: set[int]) -> list[list[int]]:
        """Numbers that run on by one through the note, "101 two 102 nil 103 six": they name hives."""
        numbers = [
            k
            for k, i in enumerate(items)
            if i.kind == "n"
            and k not in taken
            and i.low is None
            and not i.hedged
            and i.value.is_integer()
            and not _counts_something(items, k, False)
        ]
        runs: list[list[int]] = []
        used: set[int] = set()
        for s, k in enumerate(numbers):
            if k in used:
                continue
            run = [k]
            for j in numbers[s + 1 :]:
                if items[j].value == items[run[-1]].value + 1:
                    run.append(j)
            tight = all(b - a <= 2 for a, b in zip(run, run[1:], strict=False))
            enough = 3 if items[k].value >= 20 or (tight and items[k].form == "digits") else 5
            spread = not tight or len(run) >= 3
            if len(run) >= enough and spread and items[k].value < 3000:
                runs.append(run)
                used.update(run)
        return runs

    def _speakers(self, items: list[Item]) -> set[str]:
        """Who writes in a chat: names with a colon at the head of lines, some more than once."""
        heads: list[str] = []
        lines = 0
        for k, item in enumerate(items):
            if k == 0 or (items[k - 1].kind == "border" and items[k - 1].word[0] == "\n"):
                lines += 1
                j = k
                while j < len(items) and (
                    items[j].word in ("[", "]") or items[j].kind in ("clock", "day")
                ):
                    j += 1
                if (
                    j + 1 < len(items)
                    and items[j + 1].word == ":"
                    and items[j].word.isalpha()
                    and items[j].kind in ("name", "word")
                ):
                    heads.append(items[j].word)
        if len(heads) >= 3 and len(heads) >= 0.6 * lines and len(set(heads)) < len(heads):
            return set(heads)
        return set()

    def _scored_names(self, row: Row, taken: set[int], strong: bool) -> list[Mention]:
        """Names without a hive noun, scored by how much the word and its place speak for a name."""
        items = row.items
        speakers = self._speakers(items)
        occurrences: dict[str, int] = {}
        for item in items:
            occurrences[_base(item)] = occurrences.get(_base(item), 0) + 1
        out: list[Mention] = []
        scores: list[float] = []
        spare: list[tuple[float, Mention]] = []
        k = 0
        while k < len(items):
            item = items[k]
            if k in taken or item.kind in ("border", "mark") or not item.word[:1].isalpha():
                k += 1
                continue
            sentence_head = (
                k == 0
                or items[k - 1].kind == "border"
                or (items[k - 1].kind == "mark" and self._at_line_start(items, k))
            )
            self._next_number = (
                k + 2 < len(items)
                and items[k + 1].kind == "n"
                and items[k + 1].low is None
                and items[k + 2].word in (":", "-", "=", "|")
                and not _counts_something(items, k + 1, False)
            )
            hood = self._hood(item, sentence_head)
            if hood is None:
                k += 1
                continue
            last = k + 1
            if item.raw[:1].isupper():
                while (
                    last < len(items)
                    and last - k < 4
                    and last not in taken
                    and items[last].raw[:1].isupper()
                    and ("'" not in items[last].raw or items[last].raw.endswith("'s"))
                    and (
                        items[last].kind == "name"
                        or (
                            items[last].kind in ("word", "term") and items[last].word in self.likely
                        )
                    )
                ):
                    last += 1
            score = hood + self._place(items, k, last, sentence_head, occurrences)
            first = k
            while (
                item.raw[:1].isupper()
                and first > 0
                and k - first < 2
                and first - 1 not in taken
                and items[first - 1].kind in ("word", "name")
                and items[first - 1].raw[:1].isupper()
                and len(items[first - 1].raw) > 2
                and items[first - 1].word not in self.name_before
                and items[first - 1].word not in self.headings
                and items[first - 1].word not in ("the", "this", "that", "my")
            ):
                first -= 1
                score += 0.4
            if first < k:
                pass
            elif last - k > 1:
                score += 0.4 if sentence_head else 0.8
            elif (
                k
                and k - 1 not in taken
                and items[k - 1].word in self.lead
                and hood >= 0.8
                and not (k > 1 and items[k - 2].word in ("the", "a", "my", "our", "an", "this"))
                and (not item.raw[:1].isupper() or items[k - 1].raw[:1].isupper())
            ):
                first = k - 1
                score += 0.5
                if k > 1 and items[k - 2].word in ("then", "next", "and", "now", "on"):
                    score += 0.6
            if (
                last < len(items)
                and items[last].kind == "letter"
                and last not in taken
                and item.raw[:1].isupper()
            ):
                last += 1
                score += 0.6
            name = " ".join(_raw_base(i) for i in items[first:last])
            numbered = False
            if _base(item) in speakers or self._is_speaker(items, k, last):
                k = last
                continue
            if (
                last < len(items)
                and items[last].kind == "n"
                and items[last].low is None
                and not items[last].hedged
                and float(items[last].value).is_integer()
                and items[last].value <= 400
                and not _counts_something(items, last, False)
                and not items[last - 1].raw.endswith("'s")
            ):
                word = _base(items[last - 1])
                plain = word in self.ordinary and word not in self.likely
                if not (self._at_line_start(items, k) and items[last].value > 60) and (
                    not plain or sentence_head
                ):
                    numbered = True
                    score += 0.5
            if name.lower() in self.headings:
                k = last
                continue
            if score >= 1.6:
                if numbered:
                    name += f" {_number_name(items[last])}"
                    last += 1
                out.append(
                    Mention(
                        first,
                        last,
                        name,
                        strength=min(0.89, 0.3 + score / 6),
                        head=self._at_line_start(items, first),
                    )
                )
                scores.append(score)
            elif score >= 1.1 and not numbered:
                spare.append((score, Mention(first, last, name)))
            k = last
        # a weak name amid strong ones is somebody or something else
        if not out and not strong and spare and max(s for s, _ in spare) >= 1.1:
            score, mention = max(spare, key=lambda row: row[0])
            mention.strength = 0.6 if score >= 1.3 else 0.45
            return [mention]
        best = max(scores, default=0.0)
        seen = [m.name.lower() for m in out]
        return [
            m
            for m, s in zip(out, scores, strict=True)
            if s >= 2.1
            or (s >= 1.8 and m.name.lower() in self.likely)
            or (best < 2.1 and not strong)
            or m.head
            or seen.count(m.name.lower()) > 1
        ]

    def _hood(self, item: Item, head: bool) -> float | None:
        """How much a word looks like a name by itself; None if it cannot be one."""
        word = _base(item)
        if (
            item.kind not in ("word", "name", "term", "letter")
            or len(word) < 2
            or not word.replace("-", "").replace("'", "").isalpha()
        ):
            return None
        if "'" in item.word and not item.word.endswith("'s"):
            return None
        if word in self.pronouns or word in self.calendar:
            return None
        capital = item.raw[:1].isupper()
        likely = word in self.likely
        ordinary = word in self.ordinary or word in self.known
        if item.kind == "term" and not likely:
            return None
        if not capital and (word in self.headings or word in self.not_names):
            return None
        if (
            capital
            and head
            and (word in self.headings or (word in self.not_names and word not in self.lead))
        ):
            return None
        nxt = self._next_number
        if capital and ordinary and nxt and item.kind == "word":
            return 1.0
        if likely:
            if ordinary:
                return 1.1 if capital else 0.7
            return 1.6 if capital else 1.5
        if capital and not ordinary:
            if not head:
                return 1.7
            return 0.4 if word.endswith(("ed", "ing", "s", "ly")) else 1.2
        if not ordinary:
            return 0.8 if not word.endswith(("ed", "ing", "ly", "s")) else 0.2
        if capital and not head and item.kind == "word":
            return 0.6
        if capital and head and word in self.lead:
            return 0.3
        return None

    def _is_speaker(self, items: list[Item], k: int, last: int) -> bool:
        """ "[18:02] Ebba:" is who writes, not a colony."""
        if not (last < len(items) and items[last].word == ":"):
            return False
        return k >= 2 and items[k - 1].word == "]" and items[k - 2].kind in ("clock", "day")

    def _place(
        self, items: list[Item], k: int, last: int, head: bool, occurrences: dict[str, int]
    ) -> float:
        """How much the place speaks for a colony's name."""
        score = 0.0
        before = items[k - 1] if k else None
        after = items[last] if last < len(items) else None
        line = self._at_line_start(items, k)
        if line:
            score += 0.4
        if head:
            score += 0.3
        if before is not None and before.word in self.name_before:
            score += 0.6
        if before is not None and before.word == "at":
            look = k >= 2 and items[k - 2].word in (
                "look",
                "looked",
                "looking",
                "start",
                "started",
                "starting",
            )
            score += 0.9 if look else -0.3
        if self.typed and not items[k].raw[:1].isupper():
            score -= 0.8
        if before is not None and before.word in self.person:
            score -= 1.5
        if before is not None and (
            before.kind in ("n", "ord", "vol", "spoon")
            or before.word in ("the", "a", "some", "no", "of", "and")
        ):
            score -= 0.3 if before.word in ("the", "of", "and") else 0.8
        if items[last - 1].raw.endswith("'s"):
            score += 0.5
        if after is None or after.kind == "border":
            score += 0.1 if head else -0.2
        elif after.kind == "mark":
            score += (
                {
                    ":": 1.2 if head else 0.5,
                    "-": 0.7,
                    "=": 0.8,
                    "→": 0.8,
                    "|": 0.6,
                    ",": 0.2,
                    "(": 0.3,
                }.get(after.word, 0.0)
                if head
                else 0.1
            )
        elif after.word in self.name_after:
            score += 0.5
        elif after.kind in ("vol", "day", "clock") or any(
            i.startswith(
                ("method", "test", "sample", "queen", "eggs", "mite", "hive", "sign", "temper")
            )
            for i in after.ids
        ):
            score += 0.6
        elif after.word in self.person:
            score -= 1.2
        if occurrences.get(_base(items[k]), 1) > 1:
            score += 0.5
        return score

    def _again(self, row: Row, taken: set[int], found: list[Mention]) -> list[Mention]:
        """Further mentions of names, letters and numbers that the note has made known."""
        items = row.items
        names: dict[str, Mention] = {}
        numbers: dict[str, Mention] = {}
        parts: dict[str, list[Mention]] = {}
        for m in found:
            if m.kind != "colony":
                continue
            if m.name.isdigit():
                numbers[m.name] = m
            else:
                names[m.name.lower()] = m
                words = m.name.lower().split()
                if len(words) > 1:
                    parts.setdefault(words[0], []).append(m)
                    if words[-1] in ("hive", "colony", "nuc"):
                        parts.setdefault(" ".join(words[:-1]), []).append(m)
        letters_known = sum(len(n) == 1 for n in names)
        out: list[Mention] = []
        last_number = -1
        for k, item in enumerate(items):
            for m in found:
                if m.kind == "colony" and m.first <= k < m.last and m.name.isdigit():
                    last_number = int(m.name)
            if k in taken:
                continue
            base = _base(item)
            known = names.get(base)
            if (
                known is None
                and item.kind == "letter"
                and letters_known >= 2
                and item.raw not in ("I", "F", "C", "Q", "X")
            ):
                out.append(Mention(k, k + 1, item.raw, strength=0.9))
                continue
            if (
                known is not None
                and item.kind != "border"
                and not (len(base) == 1 and not item.raw.isupper())
            ):
                out.append(Mention(k, k + 1, known.name, strength=0.9))
                continue
            if (
                item.kind in ("name", "word", "term")
                and base in parts
                and len({m.name for m in parts[base]}) == 1
                and item.raw[:1].isupper()
                and not (k + 1 < len(items) and items[k + 1].ids & {"stand_place", "yard_noun"})
            ):
                out.append(Mention(k, k + 1, parts[base][0].name, strength=0.9))
                continue
            if (
                item.kind == "n"
                and item.low is None
                and not item.hedged
                and numbers
                and float(item.value).is_integer()
            ):
                value = int(item.value)
                if str(value) not in numbers and value != last_number + 1:
                    continue
                if _counts_something(items, k, False):
                    continue
                after = items[k + 1] if k + 1 < len(items) else None
                before = items[k - 1] if k else None
                if (
                    len(numbers) >= 2
                    and self._at_line_start(items, k)
                    and after is not None
                    and after.kind in ("word", "term", "mark")
                ):
                    out.append(Mention(k, k + 1, str(value), strength=0.9, head=False))
                    last_number = value
                    continue
                speaks = after is not None and (
                    after.word in self.name_after
                    or after.word in (":", "=", "-", "took", "i", "gets", "stays", "go", "goes")
                    or items[k].raw.endswith("'s")
                    or any(i.startswith("method") for i in after.ids)
                )
                follows = (
                    value == last_number + 1
                    and before is not None
                    and before.kind not in ("n", "vol")
                    and before.word not in ("about", "of", "over", "than", "frame", "the", "a")
                )
                opens = (
                    follows
                    or (
                        str(value) in numbers
                        and after is not None
                        and after.word in ("had", "has", "got", "was", "gets", "gave")
                    )
                    or before is None
                    or before.kind == "border"
                    or before.word
                    in (
                        "and",
                        "then",
                        "but",
                        "for",
                        "in",
                        "on",
                        "to",
                        "under",
                        "of",
                        "now",
                        "so",
                        ",",
                    )
                )
                told = (
                    str(value) in numbers
                    and before is not None
                    and before.word in self.listing
                    and (after is None or after.kind != "term" or "super" not in after.ids)
                )
                if not told and (not speaks or not opens):
                    continue
                if (
                    after is not None
                    and after.word in ("-", "=", ":")
                    and before is not None
                    and before.word in ("=", ":")
                ):
                    continue
                if str(value) in numbers or last_number >= 0:
                    out.append(Mention(k, k + 1, str(value), strength=0.9))
                    last_number = value
                    numbers.setdefault(str(value), out[-1])
        return out

    # -- yards -----------------------------------------------------------------------------------

    def _yards(self, row: Row) -> list[Mention]:
        items = row.items
        out: list[Mention] = []
        for k, item in enumerate(items):
            if "stand_place" in item.ids:
                mention = self._yard_before(items, k, with_noun=False) or self._yard_after(items, k)
            elif "yard_noun" in item.ids:
                mention = self._yard_before(items, k, with_noun=True) or self._place_yard(items, k)
            elif item.word in self.places:
                mention = self._place_yard(items, k)
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
            if (
                item.kind not in ("word", "term", "name", "code")
                or not item.word.replace("-", "").isalpha()
            ):
                return None
            if with_noun and not (upper or (item.kind == "word" and item.word not in self.known)):
                lead = items[j - 1].word if j else "\n"
                if not (
                    item.word
                    in (
                        "north",
                        "south",
                        "east",
                        "west",
                        "top",
                        "back",
                        "home",
                        "lower",
                        "upper",
                        "half",
                    )
                    and lead in ("the", "at", "\n", "in")
                ):
                    return None
            if (
                (item.word in self.not_names
                and item.word not in ("home", "own"))
                or item.word in ("bee", "out", "whole", "this", "the", "my", "same")
            ):
                return None
            if with_noun:
                lead = items[j - 1].word if j else "\n"
                if not (
                    lead in ("the", "at", "\n", "in", "from", "up", "down", "over", "to", "on")
                    or items[j - 1].kind == "border"
                    or j == 0
                ):
                    return None
                if item.word.endswith(("ed", "ing", "s")) and not upper:
                    return None
            first = j
            if (
                items[j - 1].kind == "word"
                and j
                and items[j - 1].word not in self.known
                and items[j - 1].word.isalpha()
                and not with_noun
            ):
                first = j - 1
        last = k + 1 if with_noun else k
        name = " ".join(i.raw or i.word for i in items[first:last])
        if not name or name.lower() in ("the", "a", "my", "bee"):
            return None
        return Mention(first, k + 1, name, kind="yard", strength=0.8)

    def _place_yard(self, items: list[Item], k: int) -> Mention | None:
        """ "out at the quarry", "at the gravel pit", "behind the mill": a place that names the yard."""
        first = k
        if k and items[k - 1].word in self.places | {
            "old",
            "top",
            "bottom",
            "lower",
            "upper",
            "long",
            "church",
            "back",
            "north",
            "south",
            "east",
            "west",
        }:
            first = k - 1
        if k + 1 < len(items) and (
            items[k + 1].word in self.places or "yard_noun" in items[k + 1].ids
        ):
            return None
        if items[k].word not in self.places and first == k:
            return None
        if first >= 2 and items[first - 1].word == "the" and items[first - 2].word in ("at", "to"):
            after = items[k + 1] if k + 1 < len(items) else None
            if after is None or after.word not in ("gate", "door", "side", "road"):
                return Mention(
                    first,
                    k + 1,
                    " ".join(i.raw or i.word for i in items[first : k + 1]),
                    kind="yard",
                    strength=0.7,
                )
        return None

    def _yard_after(self, items: list[Item], k: int) -> Mention | None:
        """ "apiary of the Old Press", "yard at Oakhill", "apiary: Elm"."""
        j = k + 1
        while j < len(items) and items[j].word in ("of", "at", "the", "on", "in", ":", "by", "-"):
            j += 1
        if j == k + 1 and not (
            items[k].word == "apiary"
            and j < len(items)
            and items[j].raw[:1].isupper()
            and items[j].kind == "name"
        ):
            return None
        last = j
        while (
            last < len(items)
            and last - j < 3
            and (
                items[last].kind == "name"
                or (items[last].raw[:1].isupper() and items[last].kind in ("word", "term"))
            )
        ):
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
            rows = self.group_phrases.get(items[k].word.split(" ", 1)[0])
            hit = 0
            for phrase, kind in rows or ():
                words: list[str] = []
                j = k
                while j < len(items) and len(words) < len(phrase):
                    words.extend(items[j].word.split())
                    j += 1
                if tuple(words) == phrase:
                    hit = j - k
                    out.append(Mention(k, j, " ".join(phrase), kind=kind))
                    break
            k += hit or 1
        return out

    def _settle(self, found: list[Mention], items: list[Item], row: Row) -> list[Mention]:
        """Settle mentions against each other.

        A name that also stands alone keeps its number as a value; a heading above other colonies
        names the yard; a repaired name is replaced.
        """
        alone = {m.name.lower() for m in found if m.kind == "colony" and not m.name[-1:].isdigit()}
        for k, item in enumerate(items):
            if (
                item.kind == "name"
                and not (k + 1 < len(items) and items[k + 1].kind in ("n", "name"))
                and not (k and items[k - 1].kind == "name")
            ):
                alone.add(_base(item))
        for m in found:
            if m.kind != "colony" or m.strength >= 0.9:
                continue
            base, _, number = m.name.rpartition(" ")
            if (
                base
                and number.isdigit()
                and m.last - m.first >= 2
                and items[m.last - 1].kind == "n"
            ):
                ends = (
                    m.last >= len(items)
                    or items[m.last].kind == "border"
                    or items[m.last].word in (",", ")", "and", "&")
                )
                plain = ends and any(
                    o is not m
                    and o.kind == "colony"
                    and not o.name[-1:].isdigit()
                    and o.strength < 0.9
                    for o in found
                )
                kin = {
                    o.name
                    for o in found
                    if o.kind == "colony" and o.name.rpartition(" ")[0].lower() == base.lower()
                }
                if len(kin) > 1 and base.lower() not in alone:
                    continue
                if base.lower() in alone or plain:
                    m.name, m.last = base, m.last - 1
        listed = [
            m
            for m in found
            if m.kind == "colony"
            and m.strength < 0.9
            and m.name.rpartition(" ")[2].isdigit()
            and items[m.last - 1].kind == "n"
        ]
        roots = {m.name.rpartition(" ")[0].lower() for m in listed}
        starts = {m.first for m in found}
        if (
            len(roots) >= 2
            and len(roots) == len(listed)
            and all(
                m.last >= len(items)
                or m.last in starts
                or items[m.last].kind == "border"
                or items[m.last].word in (",", "(", ")", "and", "&", "/")
                for m in listed
            )
        ):
            # "Maggie 4, Pearl 0, Dot 12": the numbers are counts
            for m in listed:
                m.name, m.last = m.name.rpartition(" ")[0], m.last - 1
        found = self._either(found, items)
        found = self._repaired(found, row)
        named = [m for m in found if m.kind == "colony"]
        for one, two in zip(named, named[1:], strict=False):
            between = items[one.last : two.first]
            if (
                two.group is None
                and not two.head
                and len(between) == 1
                and between[0].word in ("and", "&", ",", "+")
            ):
                if one.group is None:
                    one.group = one.first
                two.group = one.group
        colonies = [m for m in found if m.kind == "colony"]
        firm = any(m.strength >= 0.85 for m in colonies)
        for m in colonies:
            # "the green hive today in Knockaveen", "Quarry Cottage 28 Dec": where, not which
            if m.strength >= 0.85 or any(o is not m and o.name == m.name for o in colonies):
                continue
            before = items[m.first - 1].word if m.first else ""
            place = items[m.last - 1].word in self.places or "yard_noun" in items[m.last - 1].ids
            if (before == "at" and len({o.name for o in colonies}) > 1) or (firm and (
                before in ("in", "at") or (place and self._at_line_start(items, m.first))
            )):
                m.kind = "yard"
        colonies = [m for m in found if m.kind == "colony"]
        if len({m.name.lower() for m in colonies}) >= 2 and not any(
            m.kind == "yard" for m in found
        ):
            first = colonies[0]
            others = colonies[1:]
            if (
                first.strength < 0.9
                and first.group is None
                and not first.name[-1:].isdigit()
                and not any(m.name == first.name for m in others)
            ):
                stretch = items[first.last : others[0].first]
                several = len({m.name for m in others}) >= 2
                facts = any(
                    (i.kind in ("n", "vol", "frac") and not several)
                    or i.ids & {"queen", "eggs", "mite", "larvae", "super"}
                    or any(
                        x.startswith(("sign", "temper", "active", "feed", "test")) for x in i.ids
                    )
                    for i in stretch
                )
                lone = first.first <= 3 or self._at_line_start(items, first.first)
                numbered = sum(
                    (m.name[-1:].isdigit() and m.strength >= 0.9) or len(m.name) == 1
                    for m in others
                ) >= max(1, len(others) * 0.6)
                before = items[first.first - 1].word if first.first else ""
                prep = before == "at" or (
                    before in ("in", "to", "over", "from", "near") and not facts
                )
                if prep or (
                    lone and (not facts or numbered) and not self._is_subject(items, first)
                ):
                    first.kind = "yard"
        elif len({m.name.lower() for m in colonies}) >= 1 and not any(
            m.kind == "yard" for m in found
        ):
            for m in colonies:
                if (
                    m.strength < 0.9
                    and m.first
                    and items[m.first - 1].word == "at"
                    and any(x.name.lower() != m.name.lower() for x in colonies)
                ):
                    m.kind = "yard"
        return found

    @staticmethod
    def _either(found: list[Mention], items: list[Item]) -> list[Mention]:
        """ "that was Toque or Mitten": one colony, and which one is to be asked."""
        out: list[Mention] = []
        skip = False
        for i, one in enumerate(found):
            two = found[i + 1] if i + 1 < len(found) else None
            if skip:
                skip = False
                continue
            if (
                two is not None
                and one.kind == two.kind == "colony"
                and one.name != two.name
                and two.first == one.last + 1
                and items[one.last].word == "or"
            ):
                one.alternatives = (one.name, two.name)
                one.strength = 0.3
                one.last = two.last
                skip = True
            out.append(one)
        return out

    @staticmethod
    def _is_subject(items: list[Item], m: Mention) -> bool:
        after = items[m.last] if m.last < len(items) else None
        return after is not None and after.word in (":", "had", "has", "was", "got", "-", "'s")

    def _repaired(self, found: list[Mention], row: Row) -> list[Mention]:
        """ "hive six no sorry that's seven": the second name takes the place of the first."""
        items = row.items
        out: list[Mention] = []
        for m in found:
            if m.kind == "colony" and m.name.isdigit() and m.last < len(items):
                token = items[m.last - 1].j
                for names, i, j in row.ops:
                    if "repair" not in names or not token <= i <= token + 1:
                        continue
                    k = m.last
                    while (
                        k < len(items)
                        and (
                            items[k].i < j
                            or items[k].word
                            in (
                                "that's",
                                "thats",
                                "it's",
                                "its",
                                "make",
                                "that",
                                "i",
                                "mean",
                                "it",
                                "hive",
                                "number",
                                "sorry",
                                "is",
                                "wait",
                            )
                        )
                        and k < m.last + 7
                    ):
                        k += 1
                    if (
                        k < len(items)
                        and items[k].kind == "n"
                        and items[k].low is None
                        and not _counts_something(items, k, False)
                    ):
                        m.name, m.last = _number_name(items[k]), k + 1
                    break
            out.append(m)
        # a mention swallowed by a repair goes
        kept: list[Mention] = []
        for m in out:
            if any(
                o is not m and o.kind == m.kind == "colony" and o.first < m.first < o.last
                for o in out
            ):
                continue
            kept.append(m)
        return kept


def _base(item: Item) -> str:
    """The word without a possessive ending."""
    return item.word.removesuffix("'s").removesuffix("'")


def _raw_base(item: Item) -> str:
    return (item.raw or item.word).removesuffix("'s").removesuffix("'")


def _plain(item: Item) -> str:
    return (
        str(int(item.value)) if item.kind == "n" and float(item.value).is_integer() else item.word
    )


def _number_name(item: Item) -> str:
    return str(int(item.value))


def _named_number(items: list[Item], k: int) -> bool:
    before = items[k - 1] if k else None
    return before is not None and (
        "hive" in before.ids or "numbersign" in before.ids or before.word == "#"
    )


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
            return not (
                after is not None
                and (after.kind == "n" or after.word in (":", "=", "-", "count", "were", "was"))
            )
        return True
    if (
        nxt.word in ("more", "of", "and a half", "x", "or", "to", "were", "had", "with")
        and not plural
    ):
        return nxt.word in ("more", "of", "or", "to")
    return nxt.word in ("/", "%") and not plural
