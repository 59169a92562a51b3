"""The data that verdicts rest on, together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...grammar.advice import AdviceRules, known_advice
from ...grammar.thresholds import Thresholds, known_thresholds
from ...grammar.treatments import TreatmentRow, known_treatments
from ...records import Active


@dataclass(frozen=True)
class Known:
    """The data that verdicts rest on; by default those that come with the program."""

    thresholds: Thresholds
    advice: AdviceRules
    treatments: Mapping[Active, TreatmentRow]


def known() -> Known:
    """The data that come with the program, read once."""
    return Known(known_thresholds(), known_advice(), known_treatments())
