"""What the checklist says: each step of the sampling protocol with what the note says of it."""

from __future__ import annotations

import datetime as dt

from ..grammar.protocols import Guideline, Miss, Outcome
from ..records import Count, Evidence, Method, Record


class CheckItem(Record):
    """One step. ``outcome`` is what the note says of it; ``amiss`` says what a miss means here.

    ``said`` gives the value that decided, with its field, and ``asked`` what sources ask for where
    that value falls short of it; ``evidence`` points at the words.
    """

    step: str
    text: str
    outcome: Outcome
    miss: Miss
    optional: bool = False
    reason: str
    amiss: str | None = None
    said: str | None = None
    asked: tuple[str, ...] = ()
    evidence: Evidence | None = None


class Checklist(Record):
    """The protocol of one sample, step by step, with warnings that matter for the colony.

    ``sample`` is the sample's place in the visit, from 0.
    """

    colony: str | None = None
    date: dt.date | None = None
    sample: Count
    method: Method
    name: str
    guideline: Guideline | None = None
    items: tuple[CheckItem, ...]
    warnings: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def with_outcome(self, *outcomes: Outcome) -> tuple[CheckItem, ...]:
        """The steps that came out in one of these ways, in order."""
        return tuple(item for item in self.items if item.outcome in outcomes)

    @property
    def done(self) -> tuple[CheckItem, ...]:
        """The steps that the note says were done."""
        return self.with_outcome("done")

    @property
    def amiss(self) -> tuple[CheckItem, ...]:
        """The steps that were skipped, went wrong or were done in another way."""
        return self.with_outcome("skipped", "spoiled", "outside")

    @property
    def not_mentioned(self) -> tuple[CheckItem, ...]:
        """The steps, optional ones apart, that the note does not speak of."""
        return tuple(item for item in self.with_outcome("not_said") if not item.optional)

    @property
    def spoils(self) -> tuple[CheckItem, ...]:
        """The steps amiss that spoil the count itself."""
        return tuple(
            item for item in self.with_outcome("skipped", "spoiled") if item.miss == "spoils"
        )

    @property
    def summary(self) -> str:
        """How much was done and left unsaid, in one line.

        >>> Checklist(sample=0, method="sugar", name="sugar roll", items=()).summary
        'sugar roll: 0 steps done, 0 not mentioned'
        """
        parts = [
            f"{_steps(len(self.done))} done",
            f"{len(self.amiss)} not as asked" if self.amiss else "",
            f"{len(self.not_mentioned)} not mentioned",
        ]
        return f"{self.name}: {', '.join(part for part in parts if part)}"


def _steps(number: int) -> str:
    return "1 step" if number == 1 else f"{number} steps"
