"""Which module may import which, read from the source and from running programs."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

import pytest

import fieldnotes

PACKAGE = Path(fieldnotes.__file__).parent
_FUNCTIONS = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda

MAY_IMPORT: dict[str, set[str]] = {
    "errors": set(),
    "records": {"errors"},
    "grammar": {"errors", "records"},
    "reading": {"errors", "records", "grammar"},
    "estimate": {"errors", "records", "grammar"},
    "protocol": {"errors", "records", "grammar"},
    "season": {"errors", "records", "grammar"},
    "pictures": {"errors", "records", "grammar", "estimate"},
    "cli": {
        "errors",
        "records",
        "grammar",
        "reading",
        "estimate",
        "protocol",
        "season",
        "pictures",
    },
    "__main__": {"cli"},
}
"""Each part and what it may import; all may import the package itself, for its version."""

ONLY_IN = {
    "spacy": "reading",
    "dateparser": "cli",
    "sqlite_utils": "season",
    "typer": "cli",
    "rich": "cli",
    "matplotlib": "pictures",
}
"""Libraries that one part alone may import."""

NEVER_AT_TOP = {"dateparser", "sqlite_utils", "platformdirs", "scipy", "matplotlib"}
"""Libraries that are slow to import and seldom needed, so that they are imported where used."""

When = Literal["on loading", "when called", "never"]


@dataclass(frozen=True)
class Import:
    """One import: the module that holds it, what it names, and when it runs."""

    by: str
    of: str
    line: int
    when: When

    @property
    def part(self) -> str:
        return _part(self.by)

    def __str__(self) -> str:
        return f"{self.by}:{self.line} imports {self.of}"


def _part(module: str) -> str:
    """The part of fieldnotes that a module belongs to: "reading" for fieldnotes.reading.dates."""
    return f"{module}.".split(".")[1]


@cache
def _modules() -> dict[str, Path]:
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        names = path.relative_to(PACKAGE.parent).with_suffix("").parts
        found[".".join(names[:-1] if names[-1] == "__init__" else names)] = path
    return found


@cache
def _imports() -> tuple[Import, ...]:
    return tuple(i for module, path in _modules().items() for i in _imports_of(module, path))


def _imports_of(module: str, path: Path) -> Iterator[Import]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    called = _inside(n for n in ast.walk(tree) if isinstance(n, _FUNCTIONS))
    never = _inside(n for n in ast.walk(tree) if _for_types_only(n))
    package = module if path.name == "__init__.py" else module.rpartition(".")[0]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = list(_targets(node, package))
        else:
            continue
        for name in names:
            when: When = (
                "never" if node in never else "when called" if node in called else "on loading"
            )
            yield Import(module, name, node.lineno, when)


def _inside(nodes: Iterable[ast.AST]) -> set[ast.AST]:
    return {inner for outer in nodes for inner in ast.walk(outer)}


def _for_types_only(node: ast.AST) -> bool:
    """Whether this is an ``if TYPE_CHECKING`` block, which never runs."""
    return isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test)


def _targets(node: ast.ImportFrom, package: str) -> Iterator[str]:
    """The modules that a ``from ... import`` names, with the dots resolved."""
    base = node.module or ""
    if node.level:
        parents = package.split(".")
        base = ".".join([*parents[: len(parents) - node.level + 1], *filter(None, [base])])
    for alias in node.names:
        inner = f"{base}.{alias.name}"
        yield inner if inner in _modules() else base


def _own(name: str) -> bool:
    return name == "fieldnotes" or name.startswith("fieldnotes.")


def test_every_part_has_its_place() -> None:
    parts = {_part(module) for module in _modules()} - {""}
    assert parts == MAY_IMPORT.keys(), "a new part needs its line in MAY_IMPORT"
    assert len(_imports()) > 100, "the imports were not found"


def test_parts_import_one_way() -> None:
    wrong = [
        str(found)
        for found in _imports()
        if _own(found.of)
        and (part := _part(found.of))
        and part != found.part
        and part not in MAY_IMPORT.get(found.part, set())
    ]
    assert wrong == []


def test_the_package_itself_imports_nothing() -> None:
    assert [str(i) for i in _imports() if i.by == "fieldnotes" and i.of != "__future__"] == []


def test_libraries_stay_in_their_part() -> None:
    wrong = [
        str(found)
        for found in _imports()
        if found.part != ONLY_IN.get(library := found.of.split(".")[0], found.part)
        or library == "scipy"  # a yardstick of the tests; the package does without
    ]
    assert wrong == []


def test_slow_libraries_are_imported_where_used() -> None:
    wrong = [
        str(found)
        for found in _imports()
        if found.when == "on loading" and found.of.split(".")[0] in NEVER_AT_TOP
    ]
    assert wrong == []


def test_no_circles() -> None:
    # An import for annotations alone needs no module to be there first, so it closes no circle.
    below: dict[str, set[str]] = {module: set() for module in _modules()}
    for found in _imports():
        if _own(found.of) and found.when != "never":
            below[found.by].add(found.of)
    done: set[str] = set()

    def follow(module: str, path: tuple[str, ...]) -> None:
        assert module not in path, " -> ".join([*path[path.index(module) :], module])
        if module not in done:
            for other in sorted(below[module]):
                follow(other, (*path, module))
            done.add(module)

    for module in below:
        follow(module, ())


def _loaded_by(program: str, folder: Path) -> set[str]:
    """The top-level modules that a program of its own has loaded when it ends."""
    ending = (
        "import atexit, sys\n"
        "atexit.register(lambda: print(*{m.split('.')[0] for m in sys.modules}, file=sys.stderr))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", ending + program],
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        cwd=folder,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return set(done.stderr.splitlines()[-1].split())


def _command(*arguments: str) -> str:
    return f"sys.argv = ['fieldnotes', *{arguments!r}]\nfrom fieldnotes.cli import main\nmain()\n"


@pytest.mark.parametrize(
    ("program", "loads", "never"),
    [
        ("import fieldnotes", {"fieldnotes"}, {"pydantic", "spacy", "typer", "rich"}),
        ("import fieldnotes.records", {"pydantic"}, {"spacy", "typer", "rich", "sqlite_utils"}),
        (
            "import fieldnotes.estimate",
            {"pydantic"},
            {"scipy", "spacy", "numpy", "typer", "rich", "sqlite_utils", "dateparser"},
        ),
        ("import fieldnotes.protocol", {"pydantic"}, {"spacy", "numpy", "sqlite_utils"}),
        ("import fieldnotes.season", {"sqlite3"}, {"sqlite_utils", "spacy", "numpy"}),
        ("import fieldnotes.reading", {"spacy"}, {"sqlite_utils", "dateparser", "scipy"}),
        (
            "import fieldnotes.pictures.terminal, fieldnotes.pictures.drawn",
            {"pydantic"},
            {"matplotlib", "numpy", "scipy", "spacy", "rich"},
        ),
        (
            _command("plan", "--colonies", "24"),
            {"rich", "pydantic"},
            {"spacy", "numpy", "scipy", "matplotlib", "sqlite_utils", "dateparser"},
        ),
        (
            _command("--help"),
            {"typer"},
            {"spacy", "numpy", "pydantic", "sqlite_utils", "dateparser", "scipy"},
        ),
        (_command("--version"), {"typer"}, {"spacy", "numpy", "pydantic", "sqlite_utils"}),
        (
            _command("read", "half cup from center brood frame, 4 mites"),
            {"spacy", "rich"},
            {"sqlite_utils", "sqlite3", "dateparser", "scipy"},
        ),
    ],
)
def test_what_a_program_loads(
    program: str, loads: set[str], never: set[str], tmp_path: Path
) -> None:
    loaded = _loaded_by(program, tmp_path)
    assert loads <= loaded
    assert never & loaded == set()
