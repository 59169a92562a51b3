"""Stages of the bees' year: by month and hemisphere, or by brood, as ``stages.toml`` has them."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from typing import Annotated, Literal, get_args

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, model_validator

from .protocols import Cited

Hemisphere = Literal["north", "south"]
Brood = Literal["worker brood", "none"]
"""Whether there is worker brood that mites can be under."""


def _month_day(text: str) -> str:
    if not re.fullmatch(r"\d\d-\d\d", text):
        raise ValueError(f"{text!r} is no day of the year; write it as 07-31")
    dt.date.fromisoformat(f"2000-{text}")  # a leap year, so that 02-29 is a day
    return text


MonthDay = Annotated[str, AfterValidator(_month_day)]
"""A day of the year as "07-31"."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Window(_Strict):
    """Days of the year, both ends within; over New Year where ``first`` comes after ``last``."""

    first: MonthDay
    last: MonthDay

    def holds(self, day: dt.date) -> bool:
        """Whether ``day`` lies in the window, in any year."""
        this = f"{day:%m-%d}"
        if self.first <= self.last:
            return self.first <= this <= self.last
        return this >= self.first or this <= self.last


class Stage(_Strict):
    """A stage of the year. Without windows it is found by brood alone, or holds all year.

    ``season`` stages do not overlap and cover the year; they tell how many days ahead the next
    count may lie (``look_again_days``). The others are windows that guidelines name.
    """

    id: str = Field(pattern=r"^[a-z][a-z0-9_]*$")
    words: str = Field(min_length=1)
    season: bool = False
    north: Window | None = None
    south: Window | None = None
    brood: Brood | None = None
    look_again_days: int | None = Field(default=None, gt=0)
    cited: Cited

    @model_validator(mode="after")
    def _seasons_look_ahead(self) -> Stage:
        if self.season != (self.look_again_days is not None):
            raise ValueError("a stage has look_again_days if, and only if, it is a season")
        if self.season and (self.north is None or self.south is None):
            raise ValueError("a season has a window in both hemispheres")
        return self

    def known_in(self, hemisphere: Hemisphere) -> bool:
        """Whether the stage can be found in ``hemisphere``."""
        return (self.north is None and self.south is None) or self._window(hemisphere) is not None

    def holds(self, day: dt.date, hemisphere: Hemisphere, brood: Brood) -> bool:
        """Whether a colony with ``brood`` is in this stage on ``day``."""
        window = self._window(hemisphere)
        in_time = self.known_in(hemisphere) if window is None else window.holds(day)
        return in_time and self.brood in (None, brood)

    def _window(self, hemisphere: Hemisphere) -> Window | None:
        return self.north if hemisphere == "north" else self.south


class Stages(_Strict):
    """All of ``stages.toml``; ``southern`` lists the countries whose seasons are the south's."""

    southern: tuple[str, ...]
    stage: tuple[Stage, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _whole(self) -> Stages:
        ids = [stage.id for stage in self.stage]
        if len(set(ids)) != len(ids):
            raise ValueError("a stage stands twice")
        seasons = [stage for stage in self.stage if stage.season]
        year = [dt.date(2000, 1, 1) + dt.timedelta(days=n) for n in range(366)]
        for hemisphere in get_args(Hemisphere):
            for brood in get_args(Brood):
                for day in year:
                    found = [s for s in seasons if s.holds(day, hemisphere, brood)]
                    if len(found) != 1:
                        raise ValueError(
                            f"{len(found)} seasons hold on {day:%d %B} in the {hemisphere} "
                            f"with brood {brood!r}; it must be one"
                        )
        return self

    def named(self, name: str) -> Stage | None:
        """The stage with an id, or None."""
        return next((stage for stage in self.stage if stage.id == name), None)

    def hemisphere_of(self, place: str) -> Hemisphere:
        """The hemisphere of a place such as "DE" or "AU-NSW"."""
        return "south" if place.partition("-")[0] in self.southern else "north"


def stages_of(
    day: dt.date, hemisphere: Hemisphere, brood: Brood, stages: Sequence[Stage]
) -> tuple[Stage, ...]:
    """All stages that hold for a colony with ``brood`` on ``day``, in the order of the file."""
    return tuple(stage for stage in stages if stage.holds(day, hemisphere, brood))


def season_of(day: dt.date, hemisphere: Hemisphere, brood: Brood, stages: Sequence[Stage]) -> Stage:
    """The one season of ``day``: dormant with or without brood, increase, peak or decrease."""
    return next(s for s in stages if s.season and s.holds(day, hemisphere, brood))
