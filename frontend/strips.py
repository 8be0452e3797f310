"""Strips: how a lot's or a bench's trees are spread, small enough for a row of a table."""

from dataclasses import dataclass

from nursery.reports.side_by_side import BARS, SideBySide, Strip

WIDTH, HEIGHT, FLOOR = 300.0, 48.0, 34.0


@dataclass(frozen=True)
class Bar:
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class StripDrawing:
    """``bars`` stand on ``floor``; below, a line from ``low`` to ``high`` with a dot at ``middle``."""

    strip: Strip
    bars: list[Bar]
    low: float
    middle: float
    high: float
    mark: float


def draw(strip: Strip, end: float, mark: float) -> StripDrawing:
    """The tallest bar fills the height; a bar with any tree is never too small to be seen."""
    top, step = max([1, *strip.bars]), WIDTH / BARS
    bars = []
    for at, count in enumerate(strip.bars):
        if count:
            tall = max(round((FLOOR - 2) * count / top, 1), 2.0)
            bars.append(Bar(round(at * step + 0.5, 1), FLOOR - tall, step - 1, tall))

    def x(value: float | None) -> float:
        return round(WIDTH * min((value or 0.0) / end, 1.0), 1)

    return StripDrawing(strip, bars, x(strip.low), x(strip.middle), x(strip.high), x(mark))


def drawings(facts: SideBySide) -> list[StripDrawing]:
    return [draw(strip, facts.end, facts.mark) for strip in facts.page.rows]
