"""The commands from outside: what they print, where, and with which exit code."""

from __future__ import annotations

import datetime as dt
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from fieldnotes import __version__
from fieldnotes.cli import convert, shield
from fieldnotes.cli.app import app
from fieldnotes.cli.keeper import vocabulary_path
from fieldnotes.errors import VocabularyError
from fieldnotes.reading import Context, Reader
from fieldnotes.records import Evidence, Note, Question, Reading, Visit

ROOT = Path(__file__).resolve().parents[1]
COMMANDS = [[], ["read"], ["convert"], ["notes"], ["notes", "list"], ["notes", "show"], ["plan"]]


@pytest.fixture(autouse=True)
def home(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> Path:
    """A keeper's home with nothing in it; the compiled grammar is kept apart, for all tests."""
    monkeypatch.setenv("FIELDNOTES_DB", str(tmp_path / "season.db"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.getbasetemp() / "cache"))
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("FIELDNOTES_VOCABULARY", "FIELDNOTES_DEBUG", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*arguments: str, stdin: str | bytes | None = None) -> Result:
    """Run a command in this process."""
    done = CliRunner().invoke(app, list(arguments), input=stdin)
    assert done.exception is None or isinstance(done.exception, SystemExit)
    return done


def shell(*arguments: str, stdin: bytes = b"", **more: Any) -> subprocess.CompletedProcess[bytes]:
    """Run a command as a keeper would, in a process of its own."""
    env = os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"} | more.pop("env", {})
    command = [sys.executable, "-m", "fieldnotes", *arguments]
    return subprocess.run(command, input=stdin, capture_output=True, env=env, timeout=120, **more)


@pytest.fixture
def reader(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Note, Context]]:
    """A reader that takes the whole note for a colony's name and asks for its mites.

    Returns what it was given. A note of "trip" trips it.
    """
    seen: list[tuple[Note, Context]] = []

    def read(self: Reader, note: Note, context: Context | None = None) -> Reading:
        seen.append((note, context or Context()))
        if note.text == "trip\n":
            raise KeyError("tripped\x1b")
        if note.text == "stop\n":
            raise KeyboardInterrupt
        span = (0, len(note.text))
        visit = Visit(colony=note.text, evidence={"colony": Evidence(said=(span,))})
        asked = Question(field="mites", kind="missing", text="How many mites were there?")
        return Reading(id=note.id, written=note.written, visits=(visit,), questions=(asked,))

    monkeypatch.setattr(Reader, "read", read)
    return seen


# Help and version


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.parametrize("option", ["-h", "--help"])
def test_every_command_has_help_with_an_example(command: list[str], option: str) -> None:
    done = run(*command, option)
    assert done.exit_code == 0
    assert "Example:\n" in done.stdout
    assert " ".join(["fieldnotes", *command]) in done.stdout.split("Example:")[1]
    assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_version() -> None:
    assert run("--version").stdout == f"fieldnotes {__version__}\n"


@pytest.mark.parametrize(
    "arguments", [["fly"], ["read", "--fly"], ["notes", "show"], ["notes"], []]
)
def test_usage_errors_end_with_2(arguments: list[str]) -> None:
    assert run(*arguments).exit_code == 2


def loaded(*arguments: str) -> set[str]:
    """The modules that a command loads."""
    code = (
        "import sys; sys.argv = ['fieldnotes', *sys.argv[1:]]\n"
        "from fieldnotes.cli import main\n"
        "try: main()\n"
        "except SystemExit: pass\n"
        "print('\\n', *sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    return set(done.stderr.split())


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_help_loads_nothing_heavy(command: list[str]) -> None:
    heavy = {"spacy", "pydantic", "sqlite_utils", "dateparser", "rich", "jellyfish", "numpy"}
    assert loaded(*command, "--help") & heavy == set()


def test_reading_a_note_loads_only_what_it_needs() -> None:
    modules = loaded("read", "hive 7 sugar roll four mites")
    assert modules & {"sqlite_utils", "dateparser", "scipy", "fieldnotes.season"} == set()


def test_bad_input_is_told_before_anything_heavy_is_loaded() -> None:
    assert loaded("read", "gone.txt") & {"spacy", "rich", "sqlite_utils"} == set()


# Reading


def test_a_note_as_words(reader: list[tuple[Note, Context]]) -> None:
    done = run("read", "hive 7 four mites", "--written", "2026-07-14")
    assert done.exit_code == 0
    assert "Note of 14 July 2026  (the day you gave)" in done.stdout
    assert "Hive 7 four mites" in done.stdout
    assert "1. How many mites were there?" in done.stdout
    assert done.stderr == ""


def test_a_day_that_is_taken_for_granted_is_shown() -> None:
    assert "today, since no day was given" in run("read", "hive 7 four mites").stdout


def test_one_note_is_one_pretty_object() -> None:
    done = run("read", "--json", "hive 7 four mites", "--written", "2026-07-14")
    told = json.loads(done.stdout)
    assert list(told) == [
        "id", "written", "visits", "questions", "checklists", "estimates", "unread"
    ]  # fmt: skip
    assert told["id"] == Note(text="hive 7 four mites", written=dt.date(2026, 7, 14)).id
    assert done.stdout.count("\n") > 5


def test_several_notes_are_an_object_a_line(home: Path) -> None:
    for name in ("2026-07-14.txt", "2026-07-15.txt"):
        (home / name).write_text("hive 7 four mites ½\n")
    done = run("read", "--json", "2026-07-14.txt", "2026-07-15.txt")
    told = [json.loads(line) for line in done.stdout.splitlines()]
    assert [one["written"] for one in told] == ["2026-07-14", "2026-07-15"]


@pytest.mark.parametrize("arguments", [["read", "-"], ["read"], ["read", "--text", "-"]])
def test_standard_input(arguments: list[str], reader: list[tuple[Note, Context]]) -> None:
    assert run(*arguments, stdin="hive 7\n").exit_code == 0
    assert [note.text for note, _ in reader] == ["hive 7\n"]


def test_yard_and_colony_given_from_outside(reader: list[tuple[Note, Context]]) -> None:
    run("read", "four mites", "--yard", "Orchard", "--colony", "7")
    [(note, context)] = reader
    assert (note.yard, note.colony) == (context.yard, context.colony) == ("Orchard", "7")


def test_words_without_quotes() -> None:
    done = run("read", "half", "cup", "four", "mites")
    assert done.exit_code == 2
    assert 'fieldnotes read "half cup four mites"' in done.stderr
    assert done.stderr.count("\n") == 1


def test_text_says_that_words_are_a_note(reader: list[tuple[Note, Context]]) -> None:
    assert run("read", "--text", "half", "cup").exit_code == 0
    assert reader[0][0].text == "half cup"


def test_one_missing_file_of_three(home: Path) -> None:
    for name in ("a.txt", "b.txt"):
        (home / name).write_text("hive 7\n")
    done = run("read", "a.txt", "gone.txt", "b.txt")
    assert done.exit_code == 1
    assert done.stderr == "fieldnotes: gone.txt: no such file; check its name and folder\n"
    assert done.stdout.count("Note of") == 2


@pytest.mark.parametrize(
    ("arguments", "raw", "said"),
    [
        (["n.txt"], b"", "nothing in it"),
        (["n.txt"], b"a\x00b", "no text"),
        (["n.txt"], b"x" * 1_000_001, "1,000,000"),
        (["."], b"", "is a folder"),
        (["gone.txt"], b"", "no such file"),
        (["n.txt", "--written", "2026-02-30"], b"hive 7", "2026-02-30"),
        (["2026-02-30.txt"], b"hive 7", "2026-02-30"),
        (["n.txt", "--vocabulary", "gone.toml"], b"hive 7", "gone.toml"),
        (["n.txt", "--save", "--db", "n.txt/season.db"], b"hive 7", "season.db"),
        ([""], b"", "empty"),
    ],
)
def test_bad_input_is_one_line_and_nothing_is_written(
    home: Path, arguments: list[str], raw: bytes, said: str
) -> None:
    for name in ("n.txt", "2026-02-30.txt"):
        (home / name).write_bytes(raw)
    before = sorted(home.rglob("*"))
    done = run("read", "--save", *arguments)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert said in done.stderr
    assert done.stderr.count("\n") == 1
    assert sorted(home.rglob("*")) == before


def test_windows_1252_is_read_with_a_word(home: Path, reader: list[tuple[Note, Context]]) -> None:
    (home / "n.txt").write_bytes("18 °C".encode("cp1252"))
    done = run("read", "n.txt")
    assert done.exit_code == 0
    assert "Windows-1252" in done.stderr
    assert reader[0][0].text == "18 °C"


def test_strict_ends_with_3_only_where_a_question_is_open(
    home: Path, reader: list[tuple[Note, Context]], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("read", "hive 7", "--strict").exit_code == 3
    assert run("read", "hive 7").exit_code == 0
    assert run("read", "hive 7", "gone.txt", "--strict").exit_code == 1
    monkeypatch.setattr(
        Reader, "read", lambda self, note, _: Reading(id=note.id, written=note.written)
    )
    assert run("read", "hive 7", "--strict").exit_code == 0


@pytest.mark.parametrize("text", ["\x1b[2Jhive 7", "[bold]hive[/bold] 7 [/]", "hive 7 :bee:"])
def test_notes_are_shown_as_they_are(text: str, reader: list[tuple[Note, Context]]) -> None:
    done = run("read", text)
    assert "\x1b" not in done.stdout
    assert text.replace("\x1b", "␛") in done.stdout


# The vocabulary


def test_where_the_vocabulary_is_looked_for(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert vocabulary_path(None) is None
    usual = home / "config" / "fieldnotes" / "keeper.toml"
    usual.parent.mkdir(parents=True)
    usual.write_text("")
    if sys.platform == "linux":
        assert vocabulary_path(None) == usual
    monkeypatch.setenv("FIELDNOTES_VOCABULARY", "~/mine.toml")
    assert vocabulary_path(None) == home / "mine.toml"
    assert vocabulary_path(Path("other.toml")) == Path("other.toml")


def test_the_vocabulary_reaches_the_reader(home: Path, reader: list[tuple[Note, Context]]) -> None:
    (home / "keeper.toml").write_text("day_first = true")
    assert run("read", "hive 7", "--vocabulary", "keeper.toml").exit_code == 0
    assert reader[0][1].vocabulary.day_first is True


def test_a_bad_vocabulary_names_its_key(home: Path) -> None:
    (home / "keeper.toml").write_text("day_frist = true")
    done = run("read", "hive 7", "--vocabulary", "keeper.toml")
    assert done.exit_code == VocabularyError.exit_code == 2
    assert "keeper.toml: day_frist" in done.stderr


# Keeping notes


def test_keep_list_and_show(reader: list[tuple[Note, Context]]) -> None:
    first = run("read", "--save", "the nuc [x]", "--written", "2026-07-14")
    note_id = Note(text="the nuc [x]", written=dt.date(2026, 7, 14)).id
    assert f"Kept as {note_id}." in first.stdout
    again = run("read", "--save", "the nuc [x]", "--written", "2026-07-14")
    assert f"Was kept already as {note_id}." in again.stdout

    listed = run("notes", "list")
    assert listed.exit_code == 0
    assert (
        f"{note_id}  14 Jul 2026: colony the nuc [x]; no samples; 1 open question" in listed.stdout
    )
    told = json.loads(run("notes", "list", "--json").stdout)
    assert (told["id"], told["colonies"], told["open_questions"]) == (note_id, ["the nuc [x]"], 1)

    shown = run("notes", "show", note_id[:6])
    assert shown.exit_code == 0
    assert "The nuc [x]" in shown.stdout
    assert "How many mites were there?" in shown.stdout
    whole = json.loads(run("notes", "show", note_id, "--json").stdout)
    assert (whole["id"], whole["text"], whole["unread"]) == (note_id, "the nuc [x]", [])
    assert whole["visits"][0]["colony"] == "the nuc [x]"


def test_the_newest_note_comes_first_and_db_names_the_file(
    home: Path, reader: list[tuple[Note, Context]]
) -> None:
    for day in ("2026-07-14", "2026-07-20", "2026-07-16"):
        run("read", "--save", "--db", "other.db", "hive 7", "--written", day)
    done = run("notes", "list", "--db", "other.db", "--json", "--limit", "2")
    days = [json.loads(line)["written"] for line in done.stdout.splitlines()]
    assert days == ["2026-07-20", "2026-07-16"]
    assert not (home / "season.db").exists()


@pytest.mark.parametrize("arguments", [["list"], ["show", "abc"]])
def test_no_database_is_made_by_looking(home: Path, arguments: list[str]) -> None:
    done = run("notes", *arguments)
    assert done.exit_code == 2
    assert done.stderr.count("\n") == 1
    assert list(home.glob("*.db*")) == []


def test_a_note_that_is_not_there(reader: list[tuple[Note, Context]]) -> None:
    run("read", "--save", "hive 7")
    done = run("notes", "show", "0123456789abcdef")
    assert (done.exit_code, done.stdout) == (2, "")


# Converting


def line(key: str | int, text: str, written: str = "2026-07-14", **more: Any) -> str:
    return json.dumps({"id": key, "text": text, "written": written, **more}) + "\n"


def test_convert_keeps_order_and_ids(reader: list[tuple[Note, Context]]) -> None:
    given = line("b", "hive 1") + "\n" + line(7, "hive 2 ½") + line("b", "", style="edge")
    done = run("convert", stdin=given)
    assert (done.exit_code, done.stderr) == (0, "")
    told = [json.loads(one) for one in done.stdout.splitlines()]
    assert [one["id"] for one in told] == ["b", 7, "b"]
    assert [note.text for note, _ in reader] == ["hive 1", "hive 2 ½", ""]


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        ("{", "not JSON"),
        ("[1, 2]", "not a JSON object"),
        ('"x"', "not a JSON object"),
        ("[" * 100_000, "JSON"),
        ('{"id": 1' + "0" * 5000 + "}", "JSON"),
        ('{"text": "x", "written": "2026-07-14"}', '"id"'),
        ('{"id": true, "text": "x", "written": "2026-07-14"}', '"id"'),
        ('{"id": 1, "written": "2026-07-14"}', '"text"'),
        ('{"id": 1, "text": 5, "written": "2026-07-14"}', '"text"'),
        ('{"id": 1, "text": "x"}', '"written"'),
        ('{"id": 1, "text": "x", "written": "2026-02-30"}', "2026-02-30"),
        ('{"id": 1, "text": "\\ud800", "written": "2026-07-14"}', "half a character"),
        (line(1, "x" * 1_000_001).strip(), "1,000,000"),
        (line(1, "x", context=["y"]).strip(), '"context"'),
        (line(1, "x", context={"yrad": "y"}).strip(), '"yrad"'),
        (line(1, "x", context={"yard": 3}).strip(), '"yard"'),
        (line(1, "x", context={"vocabulary": {"cup": {}}}).strip(), "vocabulary.cup.ml"),
        ("\x1b[31m", "not JSON"),
    ],
)
def test_a_bad_line_is_told_by_number_and_the_rest_converted(bad: str, said: str) -> None:
    done = run("convert", "-", stdin=line("a", "hive 1") + bad + "\n" + line("b", "hive 2"))
    assert done.exit_code == 1
    assert [json.loads(one)["id"] for one in done.stdout.splitlines()] == ["a", "b"]
    first, last = done.stderr.splitlines()
    assert first.startswith("fieldnotes: line 2: ")
    assert said in first
    assert last == "fieldnotes: 2 converted, 1 not"


def test_a_line_brings_its_context(reader: list[tuple[Note, Context]]) -> None:
    words = {"declared": "2026-04-02", "only": {"colony": "Willow 3"}}
    context = {"yard": "Orchard", "colony": "7", "vocabulary": words}
    assert run("convert", stdin=line("a", "hive", context=context)).exit_code == 0
    [(note, seen)] = reader
    assert (note.yard, note.colony, seen.yard, seen.colony) == ("Orchard", "7") * 2
    assert seen.vocabulary.only.colony == "Willow 3"
    assert seen.vocabulary.declared == dt.date(2026, 4, 2)


def test_the_vocabulary_of_lines_that_bring_none(
    home: Path, reader: list[tuple[Note, Context]]
) -> None:
    (home / "k.toml").write_text("day_first = true")
    given = line("a", "x") + line("b", "x", context={"vocabulary": {"day_first": False}})
    run("convert", "--vocabulary", "k.toml", stdin=given)
    assert [context.vocabulary.day_first for _, context in reader] == [True, False]


def test_convert_writes_a_whole_file_or_none(home: Path) -> None:
    (home / "in.jsonl").write_text(line("a", "hive 1"))
    (home / "bad.jsonl").write_text("{\n")
    assert run("convert", "in.jsonl", "-o", "out.jsonl").exit_code == 0
    whole = (home / "out.jsonl").read_text()
    assert json.loads(whole)["id"] == "a"
    done = run("convert", "bad.jsonl", "-o", "out.jsonl")
    assert done.exit_code == 2
    assert "nothing was written" in done.stderr
    assert (home / "out.jsonl").read_text() == whole
    # In place: what is read is replaced only when all of it has been read.
    assert run("convert", "in.jsonl", "-o", "in.jsonl").exit_code == 0
    assert (home / "in.jsonl").read_text() == whole
    assert sorted(p.name for p in home.iterdir()) == ["bad.jsonl", "in.jsonl", "out.jsonl"]


def test_an_interrupted_conversion_leaves_no_file(
    home: Path, reader: list[tuple[Note, Context]]
) -> None:
    done = run("convert", "-o", "out.jsonl", stdin=line("a", "hive 1") + line("b", "stop\n"))
    assert done.exit_code == 130
    assert (done.stdout, done.stderr) == ("", "")
    assert list(home.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="devices and permissions are those of POSIX")
def test_output_to_a_device_and_through_a_link(home: Path) -> None:
    assert run("convert", "-o", os.devnull, stdin=line("a", "x")).exit_code == 0
    assert not Path(os.devnull).is_file()
    target = home / "real.jsonl"
    target.write_text("old")
    target.chmod(0o640)
    (home / "link.jsonl").symlink_to(target)
    assert run("convert", "-o", "link.jsonl", stdin=line("a", "x")).exit_code == 0
    assert (home / "link.jsonl").is_symlink()
    assert json.loads(target.read_text())["id"] == "a"
    assert target.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    "arguments", [["gone.jsonl"], ["."], ["-", "-o", "."], ["-", "-o", "gone/out.jsonl"]]
)
def test_convert_without_input_or_place_for_output(home: Path, arguments: list[str]) -> None:
    done = run("convert", *arguments, stdin=line("a", "x"))
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1
    assert list(home.iterdir()) == []


def test_convert_of_nothing() -> None:
    assert run("convert", stdin="\n\n").exit_code == 2


def test_a_line_too_long_to_hold_is_passed_over(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(convert, "_LONGEST_LINE", 10)
    stream = io.BytesIO(b"a\n" + b"x" * 35 + b"\nb\n\n" + b"y" * 9 + b"\n" + b"z" * 10)
    assert list(convert.lines(stream)) == [
        (1, b"a\n"), (2, None), (3, b"b\n"), (5, b"y" * 9 + b"\n"), (6, None)
    ]  # fmt: skip


def test_read_and_convert_agree() -> None:
    text = "hive 7 sugar roll half a cup off a brood frame four mites"
    read = json.loads(run("read", "--json", text, "--written", "2026-07-14").stdout)
    converted = json.loads(run("convert", stdin=line(read["id"], text)).stdout)
    assert read == converted


# When things go wrong


def test_a_fault_in_one_note_spares_the_others(
    home: Path, reader: list[tuple[Note, Context]]
) -> None:
    (home / "trip.txt").write_text("trip\n")
    (home / "good.txt").write_text("hive 7\n")
    done = run("read", "--save", "trip.txt", "good.txt")
    assert done.exit_code == 1
    assert "Kept as" in done.stdout
    assert done.stderr.startswith("fieldnotes: trip.txt: something went wrong inside fieldnotes (")
    assert "nothing of it was saved" in done.stderr
    assert "FIELDNOTES_DEBUG=1" in done.stderr
    assert "\x1b" not in done.stderr
    assert done.stderr.count("\n") == 1
    assert run("read", "trip.txt").exit_code == 2
    both = run("convert", stdin=line("a", "trip\n") + line("b", "hive 7"))
    assert both.exit_code == 1
    assert both.stderr.startswith("fieldnotes: line 1: something went wrong inside fieldnotes (")


def test_the_traceback_is_there_for_who_asks(
    home: Path, reader: list[tuple[Note, Context]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FIELDNOTES_DEBUG", "1")
    (home / "trip.txt").write_text("trip\n")
    assert "Traceback (most recent call last)" in run("read", "trip.txt").stderr


def test_the_shield(capsys: pytest.CaptureFixture[str]) -> None:
    import typer

    def ends(error: BaseException) -> int:
        @shield.shielded
        def command() -> int:
            raise error

        with pytest.raises(typer.Exit) as caught:
            command()
        return caught.value.exit_code

    assert ends(RuntimeError("two\nlines")) == 2
    assert ends(RecursionError()) == 2
    assert ends(OSError(28, "No space left on device")) == 2
    said = capsys.readouterr().err.splitlines()
    assert len(said) == 3
    assert "(RuntimeError: two lines); nothing was saved" in said[0]
    assert said[2] == "fieldnotes: input or output: No space left on device"
    assert ends(KeyboardInterrupt()) == 130
    assert ends(BrokenPipeError()) == 1
    assert capsys.readouterr().err == ""


def test_ctrl_c_is_quiet(home: Path, reader: list[tuple[Note, Context]]) -> None:
    (home / "stop.txt").write_text("stop\n")
    done = run("read", "stop.txt")
    assert (done.exit_code, done.stdout, done.stderr) == (130, "", "")


@pytest.mark.skipif(os.name != "posix", reason="pipes close in another way elsewhere")
def test_a_reader_of_the_output_that_goes_away() -> None:
    many = b"".join(line(n, "hive 7 four mites").encode() for n in range(2000))
    process = subprocess.Popen(
        [sys.executable, "-m", "fieldnotes", "convert"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert process.stdout is not None
    process.stdout.close()
    process.stdout = None
    _, said = process.communicate(many, timeout=120)
    assert said == b""
    assert process.returncode == 1


@pytest.mark.skipif(os.name != "posix", reason="shells close streams in another way elsewhere")
@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-", ">/dev/null"])
def test_closed_streams_are_no_fault(closed: str) -> None:
    command = f'exec "$0" -m fieldnotes read "hive 7 four mites" {closed}'
    done = subprocess.run(
        ["/bin/sh", "-c", command, sys.executable],
        capture_output=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert (done.returncode, done.stderr) == (0, b"")


# Whole path, in a process of its own


@pytest.mark.parametrize("name", sorted(p.name for p in (ROOT / "demo_notes").glob("*.txt")))
def test_demo_notes_are_read(name: str) -> None:
    done = run("read", str(ROOT / "demo_notes" / name))
    assert done.exit_code == 0
    assert "Note of" in done.stdout
    assert done.stderr == ""


@pytest.mark.parametrize("encoding", ["utf-8", "ascii", "cp1252"])
def test_any_terminal_can_be_written_to(encoding: str) -> None:
    note = "hive 7 ½ cup “calm” 🐝 \x1b[31m".encode()
    done = shell("read", "-", stdin=note, env={"PYTHONIOENCODING": encoding})
    assert (done.returncode, done.stderr) == (0, b"")
    told = shell("read", "-", "--json", stdin=note, env={"PYTHONIOENCODING": encoding})
    assert json.loads(told.stdout)["id"]


def test_a_full_season_through_the_shell(home: Path) -> None:
    (home / "2026-07-14.txt").write_text("hive 7 sugar roll half a cup off a brood frame 4 mites\n")
    kept = shell("read", "--save", "2026-07-14.txt", cwd=home)
    assert (kept.returncode, kept.stderr) == (0, b"")
    listed = shell("notes", "list", "--json", cwd=home)
    told = json.loads(listed.stdout)
    assert told["written"] == "2026-07-14"
    assert shell("notes", "show", told["id"], cwd=home).returncode == 0
