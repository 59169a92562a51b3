"""Stage 10: the air temperature and the hour of each visit."""

from __future__ import annotations

from ..binding import Bound, Candidate
from ..drafts import Given, VisitDraft
from ..items import item_span
from ..numbers import WARMEST, celsius
from ..scopes import TWIN, Place, Scopes
from ..standing import BLOCKING
from .days import NoteDays

_COLDEST_C, _HOTTEST_C = -40, 55
"""Bounds in degrees Celsius outside which a temperature is not of the air."""


class Conditions:
    """What a note tells of the conditions under which its visits were made."""

    def __init__(self, bound: Bound, scopes: Scopes, days: NoteDays) -> None:
        self.row = bound.row
        self.scopes = scopes
        self.section_of: list[int] = []
        section = 0
        for k in range(len(self.row.items)):
            section = days.breaks.get(k, section)
            self.section_of.append(section)
        told = [c for c in bound.chosen if c.k >= 0 and not c.standing & BLOCKING]
        self.temperatures = [(c, t) for c in told if (t := self._air_celsius(c)) is not None]
        self.hours = [c for c in told if c.slot == "time" and not self._stamps_message(c)]

    def give(self, draft: VisitDraft, p: int, place: Place) -> None:
        """Add to the draft of place ``p`` the temperature and hour told of it, or of its day."""
        section = (place.day or 0) % TWIN
        of_day = [(c, t) for c, t in self.temperatures if self.section_of[c.k] == section]
        # the air of one yard is the air of the next hive too
        own = [(c, t) for c, t in of_day if p in self.scopes.of[c.k]]
        for c, degrees in (own or of_day)[:1]:
            draft.facts["weather_c"] = Given(degrees, [item_span(self.row.items[c.k])])
        for c in self.hours:
            owners = self.scopes.of[c.k]
            if p in owners or (owners[0] < 0 and self.section_of[c.k] == section):
                item = self.row.items[c.k]
                draft.facts["time"] = Given(item.form, [item_span(item)])
                break

    def _air_celsius(self, c: Candidate) -> float | None:
        """Degrees Celsius that a candidate tells of the air; None for bounds and forecasts."""
        item = self.row.items[c.k]
        if c.slot != "weather" or item.low is not None or item.form in ("over", "under"):
            return None
        hedges = self.row.grammar.numbers.hedges
        before = self.row.words[item.i - 1] if item.i else ""
        after = self.row.words[item.j : item.j + 3]
        if before in hedges.over or before in hedges.under:
            return None
        if any(w in self.row.grammar.units.air.forecast for w in after):
            return None
        value = item.value
        if item.kind == "n" and value > WARMEST:
            value = celsius(value)
        return round(value, 1) if _COLDEST_C <= value <= _HOTTEST_C else None

    def _stamps_message(self, c: Candidate) -> bool:
        """ "[18:02] Tam: both done": the time at which a message was sent."""
        return c.k > 0 and self.row.items[c.k - 1].word == "["
