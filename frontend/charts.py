"""Small drawings: numbers laid out for an SVG. Each stands beside the table of its numbers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from django.utils.formats import date_format
from django.utils.translation import gettext

from frontend.numbers import plain
from nursery.reports.thick import Band, Measure, Thickness

WIDTH, HEIGHT = 640.0, 220.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 12.0, 14.0, 26.0
#: What the target's words take, in a phone's large letters.
WORDS_WIDE, WORDS_HIGH = 200.0, 30.0


@dataclass(frozen=True)
class Dot:
    """One measurement: where it is drawn, what it says, and whether it is odd."""

    x: float
    y: float
    words: str
    odd: bool


@dataclass(frozen=True)
class Line:
    """A level across the drawing with its label."""

    y: float
    words: str


@dataclass(frozen=True)
class Goal(Line):
    """The target. ``end``: its words stand at the right end of its line; ``below``: under it."""

    end: bool
    below: bool


@dataclass(frozen=True)
class Chart:
    """A drawing of ``width`` by ``height`` units.

    ``path`` joins the readings; ``band`` goes round the 80% interval and ``middle`` through its middle, as
    points of a polygon and of a polyline. ``today``: x of today. ``arrival``: x of the early and the late end
    of the target's day, and of its middle, where they are to come and within the drawing.
    """

    width: float
    height: float
    left: float
    right: float
    floor: float
    dots: list[Dot]
    path: str
    band: str
    middle: str
    today: float
    arrival: tuple[float, float, float] | None
    levels: list[Line]
    target: Goal | None
    first: date
    last: date


@dataclass(frozen=True)
class _Scale:
    first: date
    last: date
    top: float

    def x(self, at: date) -> float:
        days = max(1, (self.last - self.first).days)
        share = min(max((at - self.first).days / days, 0.0), 1.0)
        return round(LEFT + (WIDTH - LEFT - RIGHT) * share, 1)

    def y(self, mm: float) -> float:
        """What is above the top, such as a slip of the decimal point, is drawn at it."""
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * min(mm / self.top, 1.0), 1)


def step_for(span: float) -> float:
    """A round step (1, 2 or 5 times a power of ten) that cuts a span into two to five."""
    step = 0.1
    while True:
        for times in (1, 2, 5):
            if span / (step * times) <= 5:
                return step * times
        step *= 10


def caliper_chart(measures: Sequence[Measure], ahead: Thickness | None) -> Chart | None:
    """The base diameters in time with their forecast, and the target across.

    None for a tree without a forecast that has fewer than two days to join.
    """
    base = [m for m in measures if m.base]
    line = ahead.line if ahead else []
    if not line and len({m.at for m in base}) < 2:
        return None
    days = [m.at for m in base] + [b.at for b in line]
    target = ahead.target if ahead else None
    sizes = [m.mm for m in base if not m.check] + [b.high for b in line] + ([target] if target else [])
    scale = _Scale(min(days), max(days), max(sizes or [m.mm for m in base]) * 1.08)
    said = gettext("{mm} mm on {day}")
    dots = [
        Dot(scale.x(m.at), scale.y(m.mm), said.format(mm=plain(m.mm), day=date_format(m.at)), bool(m.check))
        for m in base
    ]
    joined = [d for d in dots if not d.odd]
    step = step_for(scale.top)
    arrival = _arrival(ahead, scale)
    middle = [(scale.x(b.at), scale.y(b.middle)) for b in line]
    return Chart(
        WIDTH,
        HEIGHT,
        LEFT,
        WIDTH - RIGHT,
        HEIGHT - BOTTOM,
        dots,
        "M" + " L".join(f"{d.x} {d.y}" for d in joined) if len(joined) > 1 else "",
        _points([(scale.x(b.at), scale.y(b.high)) for b in line] + _back(line, scale)),
        _points(middle),
        scale.x(ahead.years[0].at) if ahead else scale.x(scale.last),
        arrival,
        [Line(scale.y(n * step), plain(n * step)) for n in range(int(scale.top / step) + 1)],
        _goal(target, scale, [[(d.x, d.y) for d in joined], middle], arrival or ()) if target else None,
        scale.first,
        scale.last,
    )


def _goal(
    mm: float, scale: _Scale, lines: Sequence[list[tuple[float, float]]], arrival: Sequence[float]
) -> Goal:
    """The target, its words where nothing is drawn through them; with no such place, above at the left."""
    y = scale.y(mm)
    curves = [*lines, [(x + aside, y) for x in arrival for aside in (-8, 8)]]
    steps = np.arange(LEFT, WIDTH - RIGHT, 8.0)
    drawn = [
        np.interp(steps, [x for x, _ in curve], [at for _, at in curve], np.nan, np.nan)
        for curve in map(sorted, curves)
        if curve
    ]

    def free(end: bool, below: bool) -> bool:
        here = steps >= WIDTH - RIGHT - WORDS_WIDE if end else steps <= LEFT + WORDS_WIDE
        high = y if below else y - WORDS_HIGH
        low = high + WORDS_HIGH
        return low < HEIGHT - BOTTOM and not any(((at >= high) & (at <= low))[here].any() for at in drawn)

    places = [(end, below) for below in (False, True) for end in (False, True)]
    end, below = next((place for place in places if free(*place)), (False, False))
    return Goal(y, gettext("target {mm} mm").format(mm=plain(mm)), end, below)


def _back(line: Sequence[Band], scale: _Scale) -> list[tuple[float, float]]:
    return [(scale.x(b.at), scale.y(b.low)) for b in reversed(line)]


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x},{y}" for x, y in points)


def _arrival(ahead: Thickness | None, scale: _Scale) -> tuple[float, float, float] | None:
    if ahead is None or ahead.arrival is None:
        return None
    early, middle, late = ahead.arrival
    if middle is None or not ahead.years[0].at < middle <= scale.last:
        return None
    return scale.x(early or middle), scale.x(late or scale.last), scale.x(middle)
