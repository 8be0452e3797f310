"""Small drawings: numbers laid out for an SVG. Each stands beside the table of its numbers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from nursery.reports.tree import Measure

WIDTH, HEIGHT = 640.0, 200.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 12.0, 14.0, 26.0


@dataclass(frozen=True)
class Dot:
    """One measurement: where it is drawn, and what it says."""

    x: float
    y: float
    words: str


@dataclass(frozen=True)
class Line:
    """A level across the drawing with its label."""

    y: float
    words: str


@dataclass(frozen=True)
class Chart:
    """A drawing of ``width`` by ``height`` units."""

    width: float
    height: float
    left: float
    right: float
    floor: float
    dots: list[Dot]
    path: str
    levels: list[Line]
    target: Line | None
    first: date
    last: date


def step_for(span: float) -> float:
    """A round step (1, 2 or 5 times a power of ten) that cuts a span into two to five."""
    step = 0.1
    while True:
        for times in (1, 2, 5):
            if span / (step * times) <= 5:
                return step * times
        step *= 10


def caliper_chart(measures: Sequence[Measure], target: float | None) -> Chart | None:
    """The base diameters in time, with the target across; None with fewer than two days to join."""
    base = [m for m in measures if m.height_mm is None]
    if len({m.at for m in base}) < 2:
        return None
    first, last = base[0].at, base[-1].at
    top = max([m.mm for m in base] + ([target] if target else [])) * 1.08
    days = max(1, (last - first).days)

    def x(at: date) -> float:
        return round(LEFT + (WIDTH - LEFT - RIGHT) * (at - first).days / days, 1)

    def y(mm: float) -> float:
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * mm / top, 1)

    dots = [Dot(x(m.at), y(m.mm), f"{m.mm:g} mm on {m.at.isoformat()}") for m in base]
    step = step_for(top)
    levels = [Line(y(n * step), f"{n * step:g}") for n in range(int(top / step) + 1)]
    return Chart(
        WIDTH,
        HEIGHT,
        LEFT,
        WIDTH - RIGHT,
        HEIGHT - BOTTOM,
        dots,
        "M" + " L".join(f"{d.x} {d.y}" for d in dots),
        levels,
        Line(y(target), f"target {target:g} mm") if target else None,
        first,
        last,
    )
