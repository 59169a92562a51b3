"""The screens: what is shown for hand-made readings, on a terminal and as plain lines."""

from __future__ import annotations

import datetime as dt
import io
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len
from rich.console import Console

from fieldnotes.cli.marks import doubted_spans, used_spans
from fieldnotes.cli.page import show_page
from fieldnotes.cli.results import Result, as_object
from fieldnotes.cli.screen import Screen
from fieldnotes.cli.words import (
    Row,
    colony_in_words,
    day_in_words,
    join_spans,
    number,
    quote,
    rows,
    seconds,
    with_neighbours,
)
from fieldnotes.estimate import estimate_visit
from fieldnotes.protocol import check_visit
from fieldnotes.records import (
    Event,
    Evidence,
    Fed,
    Note,
    Question,
    Reading,
    Sample,
    Sign,
    StepSaid,
    Supers,
    Todo,
    Treatment,
    Unread,
    Visit,
)

DAY = dt.date(2026, 7, 14)
DECLARED = Evidence(declared="usual.frame", on=dt.date(2026, 4, 2))
TEXT = (
    "hive seven sugar roll half a cup three or four mites no rest\n"
    "queen not seen, chalkbrood. pads go on Sunday \x1b[31m 22 [bold]x[/bold]"
)


def said(*words: str, text: str = TEXT) -> Evidence:
    return Evidence(said=tuple((text.index(w), text.index(w) + len(w)) for w in words))


def result(note: Note, *visits: Visit, questions: tuple[Question, ...] = ()) -> Result:
    """The result for a note that was read so."""
    at = note.text.find("22")
    unread = () if at < 0 else (Unread(text="22", span=(at, at + 2)),)
    reading = Reading(
        id=note.id,
        written=note.written,
        visits=visits,
        questions=questions,
        unread=unread,
    )
    return Result(
        note=note,
        reading=reading,
        checklists=tuple(made for visit in visits for made in check_visit(visit)),
        estimates=tuple(made for visit in visits for made in estimate_visit(visit)),
    )


def orchard() -> Result:
    """A note with a bit of everything."""
    note = Note(text=TEXT, written=DAY, written_from="file name", origin="2026-07-14.txt")
    rest = StepSaid(
        step="rest",
        outcome="skipped",
        evidence={"step": said("no rest"), "outcome": said("no rest")},
    )
    sample = Sample(
        method="sugar",
        volume_ml=118.3,
        mites_low=3,
        mites_high=4,
        source="brood",
        steps=(rest,),
        evidence={
            "method": said("sugar roll"),
            "volume_ml": said("half a cup"),
            "mites_low": said("three"),
            "mites_high": said("four"),
            "source": DECLARED,
        },
    )
    sign = Sign(
        sign="chalkbrood",
        present=True,
        evidence={"sign": said("chalkbrood"), "present": said("chalkbrood")},
    )
    todo = Todo(
        what="pads go on",
        due=dt.date(2026, 7, 19),
        evidence={"what": said("pads go on"), "due": said("Sunday")},
    )
    visit = Visit(
        colony="7",
        queen_seen=False,
        samples=(sample,),
        signs=(sign,),
        todo=(todo,),
        evidence={"colony": said("hive seven"), "queen_seen": said("queen not seen")},
    )
    start = TEXT.index("three or four")
    questions = (
        Question(field="other", kind="ambiguous", need="sharpens", text="Which Sunday is meant?"),
        Question(
            colony="7",
            field="mites",
            kind="ambiguous",
            text="How many mites were there?",
            options=("3", "4"),
            evidence=((start, start + len("three or four")),),
        ),
    )
    return result(note, visit, questions=questions)


def plain(made: Result, *, all_steps: bool = False) -> str:
    """The page as it goes into a pipe."""
    console = Console(file=io.StringIO(), width=80, highlight=False, markup=False, emoji=False)
    show_page(Screen(console), made, all_steps=all_steps)
    return console.file.getvalue()  # type: ignore[attr-defined]


def terminal(made: Result, width: int, *, colour: bool = True, all_steps: bool = False) -> str:
    """The page as a terminal gets it, with its escape sequences."""
    console = Console(
        file=io.StringIO(),
        width=width,
        force_terminal=True,
        color_system="standard",
        no_color=not colour,
        highlight=False,
        markup=False,
        emoji=False,
        _environ={"TERM": "xterm"},
    )
    show_page(Screen(console), made, all_steps=all_steps)
    return console.file.getvalue()  # type: ignore[attr-defined]


def bare(text: str) -> str:
    """Text without escape sequences."""
    return re.sub(r"\x1b\[[0-9;]*m", "", text)


def squeezed(text: str) -> str:
    """Text without escape sequences and line breaks."""
    return " ".join(bare(text).split())


@pytest.fixture(autouse=True)
def _usual_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")


# Plain lines


def test_every_fact_is_a_line_with_its_words() -> None:
    page = plain(orchard())
    for line in (
        "Note of 14 July 2026  (day from the file's name, 2026-07-14.txt)",
        "Colony 7  “hive seven”",
        "    method: sugar roll (“sugar roll”)",
        "    mites: between 3 and 4 (“three” … “four”)",
        "    amount of bees: 118.3 mL (“half a cup”)",
        "    bees from: brood frame (declared on 2 Apr 2026: usual.frame)",
        "    queen seen: no (“queen not seen”)",
        "    sign: chalkbrood, seen (“chalkbrood”)",
        "    to do: pads go on (by 19 Jul 2026) (“pads go on” … “Sunday”)",
        "  - “Sunday ␛[31m 22 [bold]x[/bold]”",
    ):
        assert line in page.splitlines()


def test_needed_questions_come_first_and_name_the_colony() -> None:
    lines = plain(orchard()).splitlines()
    first = next(line for line in lines if line.startswith("  1. "))
    assert first == (
        "  1. Colony 7: How many mites were there? Perhaps 3 or 4. The note says “three or four”."
    )
    assert "  2. Which Sunday is meant?" in lines


def test_plain_lines_hold_no_escape_and_no_drawing() -> None:
    page = plain(orchard(), all_steps=True)
    assert "\x1b" not in page
    assert "␛[31m 22 [bold]x[/bold]" in page
    assert not re.search(r"[\u2500-\u259f]", page)


def test_a_dumb_terminal_gets_plain_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "dumb")
    assert "    method: sugar roll (“sugar roll”)" in bare(terminal(orchard(), 80))


# The terminal


@pytest.mark.parametrize("width", [30, 50, 60, 80, 100, 200])
@pytest.mark.parametrize("all_steps", [False, True])
def test_lines_fit_and_nothing_is_drawn(width: int, all_steps: bool) -> None:
    page = bare(terminal(orchard(), width, all_steps=all_steps))
    assert not re.search(r"[\u2500-\u259f]", page)
    if width >= 50:
        assert max(cell_len(line.rstrip()) for line in page.splitlines()) <= min(width, 100)


def test_used_words_are_underlined_and_doubted_ones_bold() -> None:
    page = terminal(orchard(), 100)
    assert "\x1b[4msugar roll\x1b[0m" in page
    assert re.search(r"\x1b\[1;4;35mthree", page)
    assert "underlined is what the record uses, in bold what is in doubt" in squeezed(page)


def test_without_colour_the_marks_stay() -> None:
    page = terminal(orchard(), 100, colour=False)
    assert re.search(r"\x1b\[1;4mthree", page)
    assert not re.search(r"\x1b\[[0-9;]*3[0-7]m", page)


def test_no_colour_that_is_lost_on_dark_or_light() -> None:
    codes = set()
    for sequence in re.findall(r"\x1b\[([0-9;]*)m", terminal(orchard(), 100, all_steps=True)):
        codes |= set(sequence.split(";"))
    assert codes <= {"0", "1", "4", "35"}


def test_terminal_and_pipe_say_the_same() -> None:
    words = set(re.findall(r"\w+", plain(orchard())))
    shown = set(re.findall(r"\w+", bare(terminal(orchard(), 100))))
    assert words - shown == set()


@given(st.text(st.characters(exclude_categories=("Cs",)), max_size=80))
def test_no_note_steers_the_terminal(text: str) -> None:
    note = Note(text=text, written=DAY, origin=text, yard=text)
    span = (0, len(text))
    visit = Visit(
        colony=text,
        todo=(Todo(what=text, evidence={"what": Evidence(said=(span,))}),),
        evidence={"colony": Evidence(said=(span,))},
    )
    question = Question(
        colony=text, field="mites", kind="unlikely", text=text, options=(text,), evidence=(span,)
    )
    made = result(note, visit, questions=(question,))
    for page in (plain(made), bare(terminal(made, 60))):
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", page)


# Several colonies


def several(*counts: int) -> Result:
    text = "Orchard, alcohol wash, 300 bees each: " + ", ".join(
        f"{number_} had {mites}" for number_, mites in enumerate(counts, start=1)
    )
    note = Note(text=text, written=DAY)
    visits = []
    for number_, mites in enumerate(counts, start=1):
        own = said(f"{number_} had {mites}", text=text)
        sample = Sample(
            method="alcohol",
            bees=300,
            mites=mites,
            evidence={
                "method": said("alcohol wash", text=text),
                "bees": said("300 bees", text=text),
                "mites": own,
            },
        )
        visits.append(
            Visit(
                colony=str(number_),
                yard="Orchard",
                samples=(sample,),
                evidence={"colony": own, "yard": said("Orchard", text=text)},
            )
        )
    asked = tuple(
        Question(
            colony=v.colony, field="frame", kind="missing", need="sharpens", text="Which comb?"
        )
        for v in visits
    )
    return result(note, *visits, questions=asked)


def test_what_all_colonies_share_is_told_once() -> None:
    page = plain(several(3, 5, 0))
    assert "All 3 colonies" in page
    assert page.count("method: alcohol wash") == 1
    assert page.count("yard: Orchard") == 1
    for mites in (3, 5, 0):
        assert f"    mites: {mites} (“" in page


def test_one_question_to_several_colonies_is_asked_once() -> None:
    page = plain(several(3, 5, 0)).splitlines()
    assert "1 question" in page
    assert "  1. Colonies 1, 2, 3: Which comb?" in page


def test_colonies_that_differ_in_nothing_still_stand() -> None:
    made = several(3, 5)
    same = made.reading.visits[0]
    page = plain(result(made.note, same, same))
    assert "Both visits" in page
    assert page.count("nothing else") == 2


# The checklist and the estimate


def test_the_checklist_in_short() -> None:
    page = plain(orchard())
    assert re.search(r"Colony 7, sugar roll: \d+ steps? done, 1 not as asked, \d+ not mentio", page)
    assert "    skipped: Let the jar stand" in page
    assert "not mentioned: " not in page
    assert "--all-steps" in page


def test_checklists_that_say_the_same_are_one() -> None:
    lines = plain(several(3, 5, 0), all_steps=True).splitlines()
    assert len([line for line in lines if "alcohol wash: " in line and "steps done" in line]) == 1
    assert any(line.startswith("  Colonies 1, 2, 3, alcohol wash: ") for line in lines)


def test_the_checklist_in_full_with_cautions() -> None:
    page = plain(orchard(), all_steps=True)
    assert page.count("    not mentioned: ") > 3
    assert "  mind: " in page


def test_the_estimate_says_figure_limits_basis_and_assumption() -> None:
    page = plain(orchard())
    assert "Colony 7, sugar roll: 1.0 to 1.3 mites per 100 adult bees" in page
    assert "assumed: 118 mL" in page
    assert "(Macedo PA, Wu J, Ellis MD 2002)" in page
    assert "Likely reads low" in page
    assert re.search(r"Colony 2, alcohol wash: 1\.7 mites per 100 adult bees", plain(several(3, 5)))


def test_an_estimate_that_is_withheld_says_why() -> None:
    note = Note(text="7 sugar roll", written=DAY)
    sample = Sample(method="sugar", evidence={"method": Evidence(said=((2, 12),))})
    visit = Visit(colony="7", samples=(sample,), evidence={"colony": Evidence(said=((0, 1),))})
    assert "Colony 7, sugar roll: no figure. " in plain(result(note, visit))


def test_an_empty_reading_says_so() -> None:
    page = plain(result(Note(text="lorem ipsum", written=DAY, written_from="today")))
    assert "today, since no day was given" in page
    assert "Nothing about a colony was found in this note." in page
    assert "Checklist" not in page


def test_a_very_long_note_is_cut_on_the_screen() -> None:
    page = plain(result(Note(text="bees " * 100_000, written=DAY)))
    assert len(page) < 6_000
    assert "496,000 more characters" in page


# Words


def test_every_kind_of_fact_has_a_row() -> None:
    text = "x" * 20
    here = Evidence(said=((0, 1),))

    def proved(*names: str) -> dict[str, Evidence]:
        return dict.fromkeys(names, here)

    treatments = (
        Treatment(
            active="unknown",
            action="once",
            product="the white stuff",
            form="pad",
            amount="2",
            evidence=proved("active", "action", "product", "form", "amount"),
        ),
    )
    earlier = Treatment(
        active="thymol", action="end", date=DAY, evidence=proved("active", "action", "date")
    )
    visit = Visit(
        yard="Orchard",
        date=DAY,
        time="10:15",
        queen_status="laying_workers",
        queen_cells=True,
        queen_cups=False,
        weather_c=18.0,
        frames_brood=6.5,
        hive_weight_kg=31.25,
        treatment=treatments,
        earlier=(earlier,),
        fed=(Fed(what="dry_sugar", amount="1 kg", evidence=proved("what", "amount")),),
        supers=Supers(added=1, on=3),
        events=(Event(event="queen_caged", evidence=proved("event")),),
        samples=(
            Sample(
                method="sticky_board",
                mites=20,
                days=5.0,
                fall="natural",
                position=3,
                rest_s=90.0,
                shake_s=60.0,
                returned=True,
                rate_per_100=1.5,
                rate_basis="doubled",
                evidence=proved(
                    "method", "mites", "days", "fall", "position", "rest_s", "shake_s", "returned",
                    "rate_per_100", "rate_basis",
                ),
            ),
            Sample(
                volume_said="a cupful", mites_low=100, evidence=proved("volume_said", "mites_low")
            ),
            Sample(mites_high=5, evidence={"mites_high": Evidence(answered="a1")}),
        ),
        evidence=proved(
            "yard", "date", "time", "queen_status", "queen_cells", "queen_cups", "weather_c",
            "frames_brood", "hive_weight_kg", "supers.added", "supers.on",
        ),
    )  # fmt: skip
    told = [(row.part, row.label, row.value) for row in rows(visit, text)]
    assert told == [
        ("", "yard", "Orchard"),
        ("", "date", "14 July 2026"),
        ("", "time", "10:15"),
        ("Sample 1", "method", "sticky board"),
        ("Sample 1", "mites", "20"),
        ("Sample 1", "position", "frame 3"),
        ("Sample 1", "days", "5"),
        ("Sample 1", "mites per 100", "1.5"),
        ("Sample 1", "rate counts", "doubled for the brood"),
        ("Sample 1", "fall", "natural fall"),
        ("Sample 1", "rested", "1 min 30 s"),
        ("Sample 1", "shaken", "1 min"),
        ("Sample 1", "bees put back", "yes"),
        ("Sample 2", "mites", "100 or more"),
        ("Sample 2", "amount of bees", "a cupful"),
        ("Sample 3", "mites", "up to 5"),
        ("Seen and done", "queen", "laying workers"),
        ("Seen and done", "queen cells", "some"),
        ("Seen and done", "queen cups", "none"),
        ("Seen and done", "frames of brood", "6.5"),
        ("Seen and done", "hive weight", "31.25 kg"),
        ("Seen and done", "weather", "18 °C"),
        ("Seen and done", "treatment", "active not known, given once, the white stuff, pad, 2"),
        ("Seen and done", "treated before", "thymol, ended, 14 Jul 2026"),
        ("Seen and done", "fed", "dry sugar, 1 kg"),
        ("Seen and done", "supers", "1 added, 3 on"),
        ("Seen and done", "event", "queen caged"),
    ]
    assert rows(visit, text)[15].proof == "your answer"


def test_long_words_are_not_told_twice() -> None:
    long = "move the split to the far side of the orchard"
    assert Row("", "to do", long, (long,)).proof == "as said"
    assert Row("", "mites", "4", ("4",)).proof == "“4”"


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("7", "Colony 7"),
        ("Juniper 3", "Colony Juniper 3"),
        ("the nuc", "The nuc"),
        ("hive B", "Hive B"),
        (None, "Colony not named"),
    ],
)
def test_colonies_in_words(name: str | None, shown: str) -> None:
    assert colony_in_words(name) == shown


def test_small_words() -> None:
    assert day_in_words(DAY, short=True) == "14 Jul 2026"
    assert [number(x) for x in (3.0, 118.3, 1.25)] == ["3", "118.3", "1.25"]
    assert [seconds(x) for x in (45, 60, 90, 600)] == ["45 s", "1 min", "1 min 30 s", "10 min"]
    assert join_spans([(5, 9), (0, 2), (2, 4), (6, 7)]) == [(0, 4), (5, 9)]
    assert quote("words " * 50, (0, 300)).startswith("words words words words")
    assert len(quote("words " * 50, (0, 300))) < 65


def test_numbers_left_over_are_shown_among_their_neighbours() -> None:
    text = "off all three two off five\none off six, and then there were no more than ten"
    spans = [(text.index(n), text.index(n) + len(n)) for n in ("three", "five", "ten")]
    assert with_neighbours(text, spans) == ["off all three two off five", "more than ten"]
    endless = "x" * 100_000
    assert len(with_neighbours(endless, [(50_000, 50_001)])[0]) < 65


def test_spans_of_facts_and_questions() -> None:
    reading = orchard().reading
    used = [TEXT[start:end] for start, end in used_spans(reading)]
    assert {"hive seven", "sugar roll", "no rest", "chalkbrood", "Sunday"} <= set(used)
    assert [TEXT[s:e] for s, e in doubted_spans(reading)] == ["three or four"]


# JSON


def test_the_json_object_has_all_its_lists() -> None:
    told = as_object(result(Note(text="lorem", written=DAY)), key="n-1")
    empty: list[object] = []
    assert told == {
        "id": "n-1",
        "written": "2026-07-14",
        "visits": empty,
        "questions": empty,
        "checklists": empty,
        "estimates": empty,
        "unread": empty,
    }


def test_the_json_object_reads_back() -> None:
    made = orchard()
    told = as_object(made)
    assert len(told["checklists"]) == len(told["estimates"]) == 1
    del told["checklists"], told["estimates"]
    assert Reading.model_validate(told) == made.reading
