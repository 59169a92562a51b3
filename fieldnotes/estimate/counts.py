"""From a count and what it is out of to a figure with its exact limits, and figures in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import NamedTuple, TypeVar

from ..grammar.protocols import Reads
from ..records import Sample
from .basis import Figure
from .binomial import clopper_pearson, poisson_exact
from .wilson import wilson

F = TypeVar("F", bound=Figure)


class Count(NamedTuple):
    """A count, or its bounds where the keeper gave a range; an open end is None."""

    low: int | None
    high: int | None

    @property
    def exact(self) -> int | None:
        """The count itself, where it is one number."""
        return self.low if self.low == self.high else None

    @property
    def most(self) -> int:
        """The largest count named."""
        return max(self.low or 0, self.high or 0)

    def of(self, one: str, many: str) -> str:
        """The count with its noun: "1 mite", "4 mites"."""
        return f"{self} {one if self.exact == 1 else many}"

    def __str__(self) -> str:
        return _span(*(None if end is None else str(end) for end in self))


def count_in(sample: Sample) -> Count | None:
    """The count that ``sample`` states, exact before a range; None if it states neither.

    >>> count_in(Sample()) is None
    True
    """
    if sample.mites is not None:
        return Count(sample.mites, sample.mites)
    if sample.mites_low is None and sample.mites_high is None:
        return None
    return Count(sample.mites_low, sample.mites_high)


def share_of(kind: type[F], count: Count, total: int) -> F:
    """``count`` per 100 of ``total`` with Clopper-Pearson limits; raises ValueError above 100.

    A range of counts gives a range of figures, with the lower limit of its low end and the upper
    limit of its high end.
    """
    shares = _ends(count, lambda end: clopper_pearson(end, total))
    limits = [None if share is None else 100 * share for share in shares]
    return _figure(kind, count, lambda end: 100 * end / total, limits)


def score_limits_of(count: Count, total: int, reads: Reads | None) -> dict[str, float | None]:
    """Wilson's limits per 100 beside the exact ones, without those that cannot be given."""
    low, high = _ends(count, lambda end: wilson(end, total))
    return {
        "wilson_low": None if low is None or reads in ("high", "either") else 100 * low,
        "wilson_high": None if high is None or reads in ("low", "either") else 100 * high,
    }


def rate_of(kind: type[F], count: Count, days: float) -> F:
    """``count`` a day over ``days`` with Garwood's limits; ranges as in :func:`share_of`."""
    limits = _ends(count, lambda end: poisson_exact(end, days))
    return _figure(kind, count, lambda end: end / days, limits)


def _ends(count: Count, limits: Callable[[int], tuple[float, float]]) -> list[float | None]:
    """The lower limit of the low end of ``count`` and the upper limit of its high end."""
    return [
        None if count.low is None else limits(count.low)[0],
        None if count.high is None else limits(count.high)[1],
    ]


def _figure(
    kind: type[F], count: Count, figure_of: Callable[[int], float], limits: list[float | None]
) -> F:
    low, high = limits
    if count.exact is not None:
        return kind(value=figure_of(count.exact), low=low, high=high)
    at_least, at_most = (None if end is None else figure_of(end) for end in count)
    return kind(at_least=at_least, at_most=at_most, low=low, high=high)


def only_sound_limits(figure: F, reads: Reads | None) -> F:
    """``figure`` without the limits that a sample gone wrong cannot give.

    Where mites were missed the truth may lie above any upper limit, and the other way round.
    """
    if reads in ("low", "either"):
        figure = replace(figure, high=None)
    if reads in ("high", "either"):
        figure = replace(figure, low=None)
    return figure


def plain(number: float) -> str:
    """A number as on paper: two decimals below one, else one, and a half goes up.

    >>> plain(4.2904), plain(1.25), plain(0.286), plain(0)
    ('4.3', '1.3', '0.29', '0')
    """
    if number == 0:
        return "0"
    places = 2 if number < 1 else 1
    return f"{number + 1e-9:.{places}f}"  # Python alone would round 1.25 to the even 1.2


def in_words(figure: Figure) -> str:
    """The figure, or its range, and what it counts."""
    if figure.value is not None:
        return f"{plain(figure.value)} {figure.words}"
    ends = (figure.at_least, figure.at_most)
    return f"{_span(*(None if end is None else plain(end) for end in ends))} {figure.words}"


def limits_in_words(figure: Figure) -> str | None:
    """The limits of the figure in a line, or None if it has none."""
    if figure.low is None and figure.high is None:
        return None
    ends = (None if end is None else plain(end) for end in (figure.low, figure.high))
    return f"limits for chance, 95 %: {_span(*ends)}"


def _span(low: str | None, high: str | None) -> str:
    if low == high:
        return str(low)
    if high is None:
        return f"at least {low}"
    return f"at most {high}" if low is None else f"{low} to {high}"
