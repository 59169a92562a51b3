"""Measure the reader on marked notes.

    python -m tests.accuracy.measure [learn|report|all] [-v] [--only ID ...]

Prints the table per writer and over all, with bootstrap intervals, and the silent wrongs with the
note's text. Rules are written on ``learn``; figures are quoted from ``report``.
"""

from __future__ import annotations

import argparse
import collections
import datetime as dt
import json
import sys
import traceback
from pathlib import Path
from typing import Any

from fieldnotes.grammar import Vocabulary, load_grammar
from fieldnotes.reading import Context, Reader
from fieldnotes.records import Note

from . import score

FOLDER = Path(__file__).parent


def load(part: str) -> dict[str, list[dict[str, Any]]]:
    """Marked notes by file name."""
    parts = ("learn", "report") if part == "all" else (part,)
    files = [path for p in parts for path in sorted((FOLDER / p).glob("notes-*.jsonl"))]
    if not files:
        raise SystemExit(f"no marked notes in {FOLDER / part}")
    return {f"{path.parent.name}/{path.stem}": score.load(path) for path in files}


def read_row(reader: Reader, row: dict[str, Any]) -> dict[str, Any]:
    """One marked row through the reader, as a prediction."""
    context = Context(vocabulary=Vocabulary.model_validate(row.get("context", {})))
    note = Note(text=row["text"], written=dt.date.fromisoformat(row["written"]))
    reading = reader.read(note, context).model_dump(mode="json")
    return {
        "id": row["id"],
        "visits": reading.get("visits", []),
        "questions": reading.get("questions", []),
        "unread": reading.get("unread", []),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("part", nargs="?", default="report", choices=["learn", "report", "all"])
    parser.add_argument("-v", "--verbose", action="store_true", help="silent wrongs, misses, asks")
    parser.add_argument("--only", nargs="*", help="ids of notes to show whole")
    parser.add_argument("--brief", action="store_true", help="no table by field")
    args = parser.parse_args()
    reader = Reader(load_grammar())
    everything: list[Any] = []
    styles: dict[str, list[Any]] = collections.defaultdict(list)
    numbers = leftover = 0
    for name, rows in load(args.part).items():
        pairs = []
        for row in rows:
            if args.only and row["id"] not in args.only:
                continue
            try:
                prediction = read_row(reader, row)
            except Exception:  # noqa: BLE001 - a crash is what this tool must show
                traceback.print_exc()
                prediction = {"id": row["id"], "visits": [], "questions": []}
            pairs.append((row, prediction))
            leftover += len(prediction.get("unread", []))
            numbers += len(_numbers(row["text"]))
            if args.only:
                show_row(row, prediction)
        said: list[str] = []
        counts = []
        for gold, prediction in pairs:
            lines: list[str] = []
            counted = score.score_note(gold, prediction, lines.append)
            counts.append(counted)
            styles[gold.get("style", "?")].append(counted)
            if args.verbose and any("silent" in line or "asks" in line for line in lines):
                said.extend([f"\n{gold['id']} {gold['text']!r}", *lines])
        everything += counts
        if counts:
            score.show(f"{name:16}", counts)
        if said:
            print("\n".join(said))
    for style, counts in sorted(styles.items()):
        score.show(f"  {style:14}", counts)
    if args.brief:
        score.show("ALL", everything)
    else:
        score.table(everything)
    print(f"numbers left over {leftover} of about {numbers}")


def _numbers(text: str) -> list[str]:
    import re

    return re.findall(
        r"\d+(?:[.,/]\d+)*|\b(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|half|quarter|dozen|hundred)\b",
        text.lower(),
    )


def show_row(row: dict[str, Any], prediction: dict[str, Any]) -> None:
    """A row's text, its marks and the reading, for looking into one note."""
    print(f"\n== {row['id']} {row['written']}\n{row['text']}")
    for visit in row["visits"]:
        print("  gold", json.dumps(visit, ensure_ascii=False))
    for visit in prediction["visits"]:
        print("  read", json.dumps(strip(visit), ensure_ascii=False))
    print("  gold asks", [(a["colony"], a["field"], a["kind"]) for a in row["ask"]])
    print(
        "  read asks", [(q.get("colony"), q["field"], q["kind"]) for q in prediction["questions"]]
    )
    print("  unread", [u["text"] for u in prediction["unread"]])


def strip(value: Any) -> Any:
    """A record without its evidence."""
    if isinstance(value, dict):
        return {
            k: strip(v) for k, v in value.items() if k not in ("evidence", "volume_said", "steps")
        }
    if isinstance(value, list):
        return [strip(v) for v in value]
    return value


if __name__ == "__main__":
    sys.exit(main())
