"""Stage 7, scored names: all that speaks for or against a run of words as a colony's name.

Evidence is a set of marks. What each weighs was fitted on marked notes
(``grammars/en/name_weights.toml``, ``tests/accuracy/fit_names.py``); nothing here decides.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise

from ..items import Item
from .mentions import Mention
from .page import Page, base, capital
from .runs import Run, find_runs, has_verb_ending

_MARKS = {
    ":": "colon",
    "-": "dash",
    "=": "equals",
    ",": "comma",
    "(": "bracket",
    "|": "pipe",
    "→": "arrow",
}
_FORMS = ("capital_inside", "capital_head", "small")
"""How a name can be written: with a capital amid a sentence or at its head, or small."""
_COUNTED = ("n", "ord", "vol", "spoon", "dur")
COMPANY = frozenset(
    {
        "line_colon",
        "line_dash",
        "line_comma",
        "line_n",
        "head_has",
        "head_colon",
        "inside_has",
        "possessive_fact",
        "with_n",
        "counts_mites",
    }
)
"""Marks that several names of one note share: what one has says more where others have it."""
_CROSSED = (
    ("with", "no_facts"),
    ("with", "ends"),
    ("led", "no_facts"),
    ("led", "ends"),
    ("within", "no_facts"),
    ("within", "ends"),
    ("capital_inside", "no_facts"),
    ("likely", "person_does"),
    ("likely", "no_facts"),
)
"""Marks that say more together than each by itself: "came with Ruth." names a person."""
WINDOW = 8
"""Items before and after a name that are asked for words of the trade."""
NUMBERED = 3
"""Numbered colonies in a note from which a single word is hardly another colony's name."""
SHORT = 3
"""Letters up to which capitals abbreviate."""
NEAR = 4
"""Items after a name that are asked for cues."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What the note tells apart from the names in question.

    ``strong``: it names a colony for certain; ``numbered``: it names several by number;
    ``heads``: the words after colonies at the head of a line; ``edges``: the items before and after
    colonies named for certain; ``tales``: the word and the kind of item that follow these.
    """

    strong: bool
    numbered: bool
    heads: frozenset[str]
    edges: frozenset[int]
    tales: frozenset[tuple[str, str]]


def setting_of(page: Page, certain: list[Mention], *, strong: bool) -> Setting:
    """What the mentions of colonies found for certain tell of the note."""
    colonies = [m for m in certain if m.kind == "colony"]
    numbered = {m.name for m in colonies if m.name[-1:].isdigit()}
    return Setting(
        strong,
        len(numbered) >= NUMBERED,
        frozenset(page.word(m.last) for m in colonies if page.at_line_start(m.first)),
        frozenset(k for m in colonies for k in (m.first - 1, m.last)),
        frozenset(_tale(page, m.last) for m in colonies if m.last + 1 < page.n),
    )


def _tale(page: Page, k: int) -> tuple[str, str]:
    """The word at ``k`` and the kind of what follows it: "had", a number."""
    return page.items[k].word, page.items[k + 1].kind


@dataclass(slots=True)
class Named:
    """One possible name with all runs in which it stands and its evidence."""

    runs: list[Run] = field(default_factory=list)
    evidence: set[str] = field(default_factory=set)


def names_with_evidence(page: Page, taken: set[int], setting: Setting) -> list[Named]:
    """Every possible name outside ``taken``, in order of first mention."""
    found: dict[str, Named] = defaultdict(Named)
    runs = find_runs(page, taken)
    for run in runs:
        named = found[run.name.lower()]
        named.runs.append(run)
        named.evidence |= _of_mention(page, run) | _beside_certain(page, run, setting)
    small = {base(item) for item in page.items if not capital(item)} if page.typed else set()
    for name, named in found.items():
        named.evidence |= _of_name(page, name, named, small)
        named.evidence |= _of_setting(named.evidence, setting, alone=len(found) == 1)
        named.evidence |= {
            f"{one}_{two}"
            for one, two in _CROSSED
            if one in named.evidence and two in named.evidence
        }
    _add_company(page, runs, found)
    return list(found.values())


# -- one mention -------------------------------------------------------------------------------


def _of_mention(page: Page, run: Run) -> set[str]:
    """How the name is written here, and what stands around it."""
    head = _is_head(page, run.first)
    line = page.at_line_start(run.first)
    after = page.items[run.end] if run.end < page.n else None
    return {
        *_form(page, run, head, line),
        *_before(page, run),
        *_after(page, run, after, head, line),
        *_cues(page, run, head),
        *_facts(page, run, head),
    }


def _is_head(page: Page, k: int) -> bool:
    return page.opens_sentence(k) or (page.items[k - 1].kind == "mark" and page.at_line_start(k))


def _form(page: Page, run: Run, head: bool, line: bool) -> set[str]:
    first = page.items[run.first]
    upper = capital(first)
    marks = {("capital_head" if head else "capital_inside") if upper else "small"}
    if page.flowing:
        marks |= {f"{mark}_flowing" for mark in marks}
    if first.raw.isupper() and len(first.raw) > SHORT and not page.loud:
        marks.add("shouted")
    words = len(run.name.split())
    if run.last - run.first > words:
        marks.add("article")
        first = page.items[run.first + 1]
    word = base(first)
    if words > 1:
        marks.add("several_words" if upper else "small_lead")
        if first.word in page.lexicon.names.lead:
            marks.add("lead")
    elif first.kind == "term":
        marks.add("term")
    if run.number:
        marks.add("number" if run.number.isdigit() else "side")
    if run.number.isdigit() or (run.last < page.n and page.items[run.last].kind == "n"):
        marks.add("with_n")
    if page.items[run.last - 1].raw.endswith("'s"):
        marks.add("possessive")
    elif word.endswith("s") and not word.endswith("ss"):
        marks.add("plural")
    if has_verb_ending(page, word):
        marks.add("verb_ending")
    if first.kind in ("name", "word"):
        marks.add(f"kind_{first.kind}")
    if line:
        marks.add("line")
    if run.first == 0:
        marks.add("opens_note")
    return marks


def _before(page: Page, run: Run) -> set[str]:
    before = page.items[run.first - 1] if run.first else None
    if before is None:
        return set()
    if before.kind in _COUNTED:
        return {"counted"}
    if before.kind == "word" and not capital(before) and not page.opens_sentence(run.first):
        return {"after_word"}
    return set()


def _after(page: Page, run: Run, after: Item | None, head: bool, line: bool) -> set[str]:
    if after is None or after.kind == "border":
        return {"ends", "stands_alone"} if head else {"ends"}
    marks = set()
    place = "line" if line else "head" if head else "inside"
    if after.word in _MARKS:
        marks.add(f"{place}_{_MARKS[after.word]}")
    if after.kind == "n":
        marks.update(("before_n", "line_n") if line else ("before_n",))
    fact = after.kind in ("vol", "day", "clock") or page.is_trade(after)
    if fact:
        marks.add("before_fact")
        if page.items[run.last - 1].raw.endswith("'s"):
            marks.add("possessive_fact")
    if after.kind == "name":
        marks.add("before_name")
    if _counts_mites(page, run.end):
        marks.add("counts_mites")
    if not after.ids.isdisjoint(("yard_noun", "stand_place")):
        marks.add("before_yard")
    return marks


def _counts_mites(page: Page, k: int) -> bool:
    """Whether "three mites" or "had three mites" stands at ``k``."""
    k += "has" in page.lexicon.name_cues.get((1, page.word(k)), ())
    counted = page.items[k : k + 2]
    return len(counted) == 2 and counted[0].kind == "n" and "mite" in counted[1].ids


def _beside_certain(page: Page, run: Run, setting: Setting) -> set[str]:
    """Whether colonies that are certain head lines or stand in a list as this name does."""
    marks = set()
    if page.at_line_start(run.first) and page.word(run.end) in setting.heads & _MARKS.keys():
        marks.add("line_as_certain")
    if run.end + 1 < page.n and _tale(page, run.end) in setting.tales:
        marks.add("told_as_certain")
    lists = page.lexicon.around.common.lists
    for k in (run.first - 1, run.end):
        if k in setting.edges and page.word(k) in lists:
            marks.add("listed_with_certain")
    return marks


def _cues(page: Page, run: Run, head: bool) -> set[str]:
    """Cues of ``names.toml`` at their distance from the name."""
    cues = page.lexicon.name_cues
    marks: set[str] = set()
    for distance in (-2, -1):
        marks.update(cues.get((distance, page.word(run.first + distance)), ()))
    for distance in range(1, NEAR + 1):
        marks.update(cues.get((distance, page.word(run.end + distance - 1)), ()))
    if "has" in marks and _has_a_thing(page, run.end + 1):
        marks.add("has_thing")
    if "has" in marks:
        marks.add("head_has" if head else "inside_has")
    if head and "verb_follows" in marks and run.last - run.first == 1:
        marks.add("head_verb")
    return marks


def _has_a_thing(page: Page, k: int) -> bool:
    """ "Hal had the frames, Jo had the camera": what people hold."""
    if k + 1 >= page.n or page.word(k) not in page.lexicon.around.common.the | {"a", "his", "her"}:
        return False
    return page.items[k + 1].kind in ("word", "name")


def _facts(page: Page, run: Run, head: bool) -> set[str]:
    """How much of its sentence around the name is of the trade."""
    items = page.items
    after = before = 0
    people_before = False
    k = run.end
    while k < page.n and items[k].kind != "border" and k - run.end < WINDOW:
        after += page.is_trade(items[k]) or items[k].kind == "vol"
        k += 1
    k = run.first - 1
    while k >= 0 and items[k].kind != "border" and run.first - k <= WINDOW:
        before += page.is_trade(items[k]) or items[k].kind == "vol"
        people_before |= items[k].word in page.lexicon.names.person
        k -= 1
    marks = {"no_facts"} if not after + before else set()
    if after:
        marks.add("facts_after")
    if after > 1:
        marks.add("facts_after_2")
    if before:
        marks.add("facts_before")
    if head and after and not before:
        marks.add("told_of")
    if people_before:
        marks.add("people_before")
    if "led" in page.lexicon.name_cues.get((-1, page.word(run.first - 1)), ()):
        for distance in (2, 3):
            if run.first >= distance and page.is_trade(items[run.first - distance]):
                marks.add(f"fact_in_{distance}")
                break
    return marks


# -- one name ----------------------------------------------------------------------------------


def _of_name(page: Page, name: str, named: Named, small: set[str]) -> set[str]:
    """What the word itself, and all its mentions together, speak."""
    lexicon = page.lexicon
    words = name.split()
    band = max(lexicon.band(word) for word in words)
    marks = {f"band_{band}"}
    marks.update(f"{form}_{band}" for form in _FORMS if form in named.evidence)
    if words[0] in lexicon.names.titles:
        marks.add("title")
    if any(word in lexicon.names.likely for word in words):
        marks.add("likely")
    if all(word in lexicon.known for word in words):
        of_trade = "trade_words" if len(words) > 1 else "trade_word"
        marks.update(f"{of_trade}_{form}" for form in _FORMS if form in named.evidence)
    if any(word in lexicon.names.places or word in lexicon.names.place_ends for word in words):
        marks.add("place_word")
    if all(word in small for word in words):
        marks.add("also_small")
    if len(named.runs) > 1:
        marks.add("again")
    if len(named.runs) > 2:
        marks.add("again_2")
    numbers = {run.number for run in named.runs}
    if len(numbers - {""}) > 1:
        marks.add("numbers")
    if "" in numbers and len(numbers) > 1:
        marks.add("also_without_number")
    return marks


def _of_setting(evidence: set[str], setting: Setting, *, alone: bool) -> set[str]:
    marks = set()
    if setting.strong:
        marks.add("strong")
        marks.update(f"strong_{form}" for form in ("capital_inside", "small") if form in evidence)
    if setting.numbered:
        marks.add("numbered")
    if alone:
        marks.add("only_one")
    return marks


# -- the company of names ----------------------------------------------------------------------


def _add_company(page: Page, runs: list[Run], found: dict[str, Named]) -> None:
    """Mark what several names share, and names joined in a list: "Juniper & Mabel"."""
    for mark in COMPANY:
        having = [named for named in found.values() if mark in named.evidence]
        if len(having) > 1:
            for named in having:
                named.evidence.add(f"{mark}_shared")
    for one, two in pairwise(runs):
        names = (one.name.lower(), two.name.lower())
        if (
            names[0] == names[1]
            or two.first != one.end + 1
            or page.word(one.end) not in page.lexicon.around.common.lists
        ):
            continue
        for name, other in (names, names[::-1]):
            found[name].evidence.add("listed")
            if "likely" in found[other].evidence:
                found[name].evidence.add("listed_with_likely")
