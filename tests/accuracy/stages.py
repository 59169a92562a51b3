"""Say at which stage of reading the silent faults of marked notes arise.

    python -m tests.accuracy.stages [learn|report|all]

Each critical fact that is silently wrong or missing is put down to the first stage that explains it:

  names     it stands under a colony that the note does not have, or the colony was not found
  dates     the day of the visit
  scopes    the right fact, given to another colony or another sample than its own
  standing  the treatment is right, what was done with it is not
  values    all else: a value not read, read from the wrong words, or invented
"""

from __future__ import annotations

import argparse
import collections
from typing import Any

from fieldnotes.grammar import load_grammar
from fieldnotes.reading import Reader

from . import score
from .measure import load, read_row

STAGES = ("names", "dates", "scopes", "standing", "values")


Visit = dict[str, Any]


def faults(row: dict[str, Any], read: dict[str, Any]) -> list[tuple[str, str, str]]:
    """(stage, field, "silent wrong" or "silent miss") of each silent fault of one note."""
    found: list[tuple[str, str, str]] = []

    def put_down(kind: str, marked: Visit, told: Visit, key: Any, value: Any) -> None:
        wrong = kind == "silent wrong"
        here, others = (told, row["visits"]) if wrong else (marked, read["visits"])
        found.append((_stage(here, others, key, value), key[1], kind))

    score.score_note(row, read, fault=put_down)
    return found


def _stage(visit: Visit, others: list[Visit], key: Any, value: Any) -> str:
    """The first stage that explains a fact of ``visit`` that the visits of the other side lack."""
    path, field = key
    named = score.name(visit["colony"]) if visit.get("colony") else None
    colonies = {score.name(v["colony"]) for v in others if v.get("colony")}
    if field == "colony" or (named is not None and named not in colonies):
        return "names"
    if field == "date":
        return "dates"
    facts = [fact for n, other in enumerate(others) for fact in score.facts(other, n)]
    if field == "treatment":
        alike = [p for p, f, _ in facts if f == field and p[2] == path[2]]
        if any(p[3] != path[3] for p in alike):
            return "standing"
        return "scopes" if alike else "values"
    alike = [p for p, f, v in facts if f == field and score.same(f, v, value)]
    return "scopes" if alike else "values"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("part", nargs="?", default="report", choices=["learn", "report", "all"])
    args = parser.parse_args()
    reader = Reader(load_grammar())
    counts: collections.Counter[tuple[str, str]] = collections.Counter()
    fields: dict[str, collections.Counter[str]] = collections.defaultdict(collections.Counter)
    for rows in load(args.part).values():
        for row in rows:
            for stage, field, kind in faults(row, read_row(reader, row)):
                counts[stage, kind] += 1
                fields[stage][field] += 1
    print(f"{'stage':10}{'silent wrong':>14}{'silent miss':>14}  fields")
    for stage in STAGES:
        wrong, missed = counts[stage, "silent wrong"], counts[stage, "silent miss"]
        most = ", ".join(f"{field} {n}" for field, n in fields[stage].most_common(5))
        print(f"{stage:10}{wrong:14}{missed:14}  {most}")


if __name__ == "__main__":
    main()
