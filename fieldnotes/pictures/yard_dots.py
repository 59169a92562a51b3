"""What a picture of a yard shows: each colony's figure on one scale, and those not sampled."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from ..errors import NumbersError
from ..estimate.basis import Figure
from .trend import Level, in_order, levels_in_order, one_basis


@dataclass(frozen=True)
class Dot:
    """A colony with its figure and the limits of its likely range."""

    colony: str
    figure: Figure
    stands_out: bool = False

    def __post_init__(self) -> None:
        in_order(self.figure, "a colony")

    @property
    def value(self) -> float:
        """The figure as a plain number."""
        return self.figure.value or 0.0


@dataclass(frozen=True)
class YardDots:
    """The picture of a yard: colonies from the most mites to the fewest, whatever order is given.

    ``mean`` is the figure of all sampled colonies together. Raises TypeError where figures count
    different things, NumbersError where no colony is sampled or one stands twice.
    """

    title: str
    dots: tuple[Dot, ...]
    mean: Figure | None = None
    levels: tuple[Level, ...] = ()
    not_sampled: tuple[str, ...] = ()
    ranked: tuple[Dot, ...] = field(init=False)

    def __post_init__(self) -> None:
        if not self.dots:
            raise NumbersError("a picture of a yard needs at least one colony that was counted")
        names = [dot.colony for dot in self.dots] + list(self.not_sampled)
        if len(set(names)) < len(names):
            raise NumbersError("a colony stands twice in the picture of a yard")
        figures = [each.figure for group in (self.dots, self.levels) for each in group]
        if self.mean is not None:
            in_order(self.mean, "the mean")
            figures.append(self.mean)
        one_basis(figures)
        levels_in_order(self.levels)
        ranked = sorted(self.dots, key=lambda dot: (-dot.value, _as_counted(dot.colony)))
        object.__setattr__(self, "ranked", tuple(ranked))

    @property
    def unit(self) -> str:
        """What all figures count, in words."""
        return self.dots[0].figure.words


def _as_counted(name: str) -> list[tuple[int, str]]:
    """A key that sorts 2 before 10 in names that end in numbers."""
    parts = re.split(r"([0-9]{1,9})", name)
    return [(int(part), "") if turn % 2 else (-1, part) for turn, part in enumerate(parts)]
