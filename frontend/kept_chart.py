"""Scores against what was decided, laid out for an SVG. It stands beside the table of its numbers."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext

from frontend.templatetags.shed import percent
from nursery.reports.kept_word import Decile

SIDE, LEFT, TOP = 300.0, 52.0, 12.0


@dataclass(frozen=True)
class Mark:
    """One decile: its place, the ends of its interval, the size of its dot, and what it says."""

    x: float
    y: float
    high: float
    low: float
    r: float
    few: bool
    words: str


@dataclass(frozen=True)
class KeptChart:
    """A square of ``SIDE`` units with room for labels; ``ticks`` are places of 0, 25 ... 100%."""

    width: float
    height: float
    left: float
    right: float
    top: float
    floor: float
    marks: list[Mark]
    ticks: list[tuple[float, float, str]]


def kept_chart(deciles: Sequence[Decile]) -> KeptChart | None:
    """None without a decile."""
    if not deciles:
        return None
    most = max(d.trees for d in deciles)
    said = gettext("scored {low} to {high}: {advanced} of {trees} advanced")
    marks = [
        Mark(
            _x((d.low + d.high) / 2),
            _y(d.share),
            _y(d.most),
            _y(d.least),
            round(3.0 + 5.0 * (d.trees / most) ** 0.5, 1),
            d.few,
            said.format(low=f"{100 * d.low:.0f}", high=percent(d.high), advanced=d.advanced, trees=d.trees),
        )
        for d in deciles
    ]
    ticks = [(_x(share), _y(share), percent(share)) for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
    return KeptChart(LEFT + SIDE + 24, TOP + SIDE + 30, LEFT, LEFT + SIDE, TOP, TOP + SIDE, marks, ticks)


def _x(share: float) -> float:
    return round(LEFT + SIDE * share, 1)


def _y(share: float) -> float:
    return round(TOP + SIDE * (1 - share), 1)
