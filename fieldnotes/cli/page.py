"""One reading as a page of words: note, record, questions, checklist, estimate."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ..records import Note, Question, Reading, Visit
from .figures import show_checklists, show_estimates
from .marks import doubted_spans, marked, used_spans
from .results import Result
from .safe import one_line
from .screen import Screen
from .words import Row, colony_in_words, day_in_words, quote, rows, with_neighbours

_DAY_FROM = {
    "option": "the day you gave",
    "file name": "day from the file's name",
    "first line": "day from its first line",
    "today": "today, since no day was given",
}
_MOST_UNREAD = 20
_NEEDS = {
    "needed": "Needed",
    "sharpens": "Would make the figure more exact",
    "advice": "Would help the advice",
}


def show_note(screen: Screen, note: Note, reading: Reading) -> None:
    """Show the note with the words marked that were used, and when and where it was made."""
    from_file = f", {one_line(note.origin)}" if note.origin else ""
    screen.heading(
        f"Note of {day_in_words(note.written)}", f"({_DAY_FROM[note.written_from]}{from_file})"
    )
    screen.paragraph(marked(note, reading))
    if not screen.plain and used_spans(reading):
        doubted = ", in bold what is in doubt" if doubted_spans(reading) else ""
        screen.paragraph(f"(underlined is what the record uses{doubted})")


def show_record(screen: Screen, note: Note, reading: Reading) -> None:
    """Show the facts of each visit; what is the same for every colony is shown once."""
    if not reading.visits:
        screen.heading("Record")
        screen.paragraph("Nothing about a colony was found in this note.")
    of_each = [rows(visit, note.text) for visit in reading.visits]
    shared = _shared(of_each)
    if shared:
        names = {visit.colony for visit in reading.visits}
        alike = "colonies" if len(names) == len(of_each) else "visits"
        screen.heading(f"Both {alike}" if len(of_each) == 2 else f"All {len(of_each)} {alike}")
        _show_rows(screen, shared)
    for visit, found in zip(reading.visits, of_each, strict=True):
        own = [row for row in found if row not in shared]
        screen.heading(colony_in_words(visit.colony), _colony_proof(visit, note.text))
        if own:
            _show_rows(screen, own)
        else:
            screen.paragraph("nothing but its name" if not shared else "nothing else")
    if reading.unread:
        around = with_neighbours(note.text, [left.span for left in reading.unread])
        screen.heading("Not used")
        screen.paragraph("Numbers that no fact uses, with the words around them:")
        for words in around[:_MOST_UNREAD]:
            screen.item("-", f"“{words}”")
        if len(around) > _MOST_UNREAD:
            screen.paragraph(f"and {len(around) - _MOST_UNREAD} more; --json lists them all")


def _shared(of_each: Sequence[Sequence[Row]]) -> list[Row]:
    """Return the facts that are the same, by the same words, for each of several visits."""
    if len(of_each) < 2:
        return []
    return [row for row in of_each[0] if all(row in others for others in of_each[1:])]


def _show_rows(screen: Screen, found: Sequence[Row]) -> None:
    parts = dict.fromkeys(row.part for row in found)
    screen.facts(
        {
            part: [(row.label, row.value, row.proof) for row in found if row.part == part]
            for part in parts
        }
    )


def _colony_proof(visit: Visit, text: str) -> str:
    proof = visit.evidence.get("colony")
    if proof is None:
        return ""
    if proof.declared:
        on = f" on {day_in_words(proof.on, short=True)}" if proof.on else ""
        return f"(declared{on}: {one_line(proof.declared)})"
    if proof.answered:
        return "(your answer)"
    return ", ".join(f"“{quote(text, span)}”" for span in proof.said[:3])


def show_questions(screen: Screen, note: Note, questions: Sequence[Question]) -> None:
    """Show the open questions, numbered, those first without which a sample is no sample."""
    if not questions:
        return
    groups = {need: list(_merged([q for q in questions if q.need == need])) for need in _NEEDS}
    count = sum(map(len, groups.values()))
    screen.heading("1 question" if count == 1 else f"{count} questions")
    number = 0
    for need, group in groups.items():
        if group:
            screen.paragraph(_NEEDS[need])
        for colonies, question in group:
            number += 1
            screen.item(f"{number}.", _asked(question, colonies, note.text))


def _merged(questions: Iterable[Question]) -> Iterable[tuple[list[str], Question]]:
    """Yield each question once with the colonies that it is asked of."""
    same: dict[Question, list[str]] = {}
    for question in questions:
        alone = question.model_copy(update={"colony": None, "visit": None, "sample": None})
        colonies = same.setdefault(alone, [])
        if question.colony is not None:
            colonies.append(one_line(question.colony))
    for question, colonies in same.items():
        yield list(dict.fromkeys(colonies)), question


def _asked(question: Question, colonies: Sequence[str], text: str) -> str:
    asked = one_line(question.text)
    if len(colonies) > 1:
        asked = f"Colonies {', '.join(colonies)}: {asked}"
    elif colonies and colonies[0].casefold() not in asked.casefold():
        asked = f"{colony_in_words(colonies[0])}: {asked}"
    if question.options:
        asked += f" Perhaps {_either(question.options)}."
    quoted = [quote(text, span) for span in question.evidence]
    quoted = [f"“{words}”" for words in quoted if words.casefold() not in asked.casefold()]
    if quoted:
        asked += f" The note says {', '.join(quoted)}."
    return asked


def _either(options: Sequence[str]) -> str:
    first = [one_line(option) for option in options]
    return " or ".join([", ".join(first[:-1]), first[-1]]) if len(first) > 1 else first[0]


def show_page(screen: Screen, result: Result, *, all_steps: bool = False) -> None:
    """Show all that follows from one note."""
    note, reading = result.note, result.reading
    show_note(screen, note, reading)
    show_record(screen, note, reading)
    show_questions(screen, note, reading.questions)
    show_checklists(screen, result.checklists, all_steps=all_steps)
    show_estimates(screen, result.estimates)
