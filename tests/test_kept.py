"""The compiled grammar that is kept between runs: the same as a new one, and never in the way."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from fieldnotes.grammar import load_grammar
from fieldnotes.grammar.kept import kept
from fieldnotes.reading import Reader
from fieldnotes.records import Note
from tests.conftest import TUESDAY

DEMO = sorted((Path(__file__).parents[1] / "demo_notes").glob("*.txt"))


def made(folder: Path, sources: str = "one", value: str = "new") -> str:
    return kept(folder, sources, str, lambda: value)


def only(folder: Path) -> Path:
    (path,) = folder.iterdir()
    return path


def test_a_kept_object_is_taken_while_its_sources_are_the_same(tmp_path: Path) -> None:
    assert made(tmp_path) == "new"
    assert made(tmp_path, value="newer") == "new"
    assert made(tmp_path, "two", "newer") == "newer"
    assert made(tmp_path, "one", "newest") == "newest", "what older sources left is dropped"
    only(tmp_path)


@pytest.mark.parametrize("content", [b"", b"\x80\x05cut", b"not a pickle at all"])
def test_a_broken_file_is_made_again(tmp_path: Path, content: bytes) -> None:
    made(tmp_path)
    only(tmp_path).write_bytes(content)
    assert made(tmp_path, value="newer") == "newer"
    assert made(tmp_path) == "newer"


def test_a_file_of_another_kind_is_made_again(tmp_path: Path) -> None:
    kept(tmp_path, "one", str, lambda: "new")
    name = only(tmp_path).name
    kept(tmp_path / "other", "one", int, lambda: 7)
    only(tmp_path / "other").replace(tmp_path / name)
    assert made(tmp_path, value="newer") == "newer"


def test_a_folder_that_cannot_be_made_keeps_nothing(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert made(tmp_path / "file" / "folder") == "new"
    assert made(tmp_path / "file" / "folder", value="newer") == "newer"


@pytest.mark.skipif(sys.platform == "win32", reason="no permission bits")
@pytest.mark.parametrize("where", ["folder", "file"])
def test_what_others_may_write_is_not_trusted(tmp_path: Path, where: str) -> None:
    made(tmp_path)
    os.chmod(tmp_path if where == "folder" else only(tmp_path), 0o777)
    assert made(tmp_path, value="newer") == "newer"


def test_a_kept_grammar_reads_as_a_new_one(tmp_path: Path) -> None:
    load_grammar(keep_in=tmp_path)
    load_grammar.cache_clear()

    again = load_grammar(keep_in=tmp_path)
    assert again is not load_grammar()
    assert only(tmp_path).name.startswith("grammar-")
    for path in DEMO:
        note = Note(text=path.read_text(encoding="utf-8"), written=TUESDAY)
        assert Reader(again).read(note) == Reader(load_grammar()).read(note)
