"""The wires of a tree, each from the day it was put on: looks as shapes, and the window that is coming.

All bars start at the left, so that what earlier wires did stands above and below the one that is on.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext

from frontend.numbers import plain
from nursery.reports.wiring import WireLook, WireTale
from nursery.rollup.wire_window import WireWindow

WIDTH, LEFT, RIGHT, TOP, LANE, BAR, FOOT = 640.0, 10.0, 12.0, 4.0, 66.0, 14.0, 44.0
#: More for a lane whose day to look by is written below its windows.
LOOK = 12.0
#: Wires that are drawn, the newest; the table has them all.
MOST = 5
MONTH = 365.25 / 12
#: A day's place across the drawing.
X = Callable[[date], float]


@dataclass(frozen=True)
class Shape:
    """A look. ``state`` chooses its shape; "" is a tick: the same was seen again."""

    x: float
    y: float
    state: str
    words: str


@dataclass(frozen=True)
class Mark:
    """A day that is written beside its line; ``end``: the words stand to the left of it."""

    x: float
    words: str
    end: bool


@dataclass(frozen=True)
class Lane:
    """One wire. ``bites``, ``sinks``: x and width of the coming windows; ``look``: the day to look by."""

    y: float
    x: float
    width: float
    name: str
    shapes: list[Shape]
    bites: tuple[float, float] | None
    sinks: tuple[float, float] | None
    look: Mark | None


@dataclass(frozen=True)
class Tick:
    x: float
    words: str


@dataclass(frozen=True)
class WireChart:
    """``floor``: y of the foot line; ``more``: wires left to the table."""

    width: float
    height: float
    floor: float
    lanes: list[Lane]
    months: list[Tick]
    more: int

    @property
    def states(self) -> set[str]:
        return {shape.state for lane in self.lanes for shape in lane.shapes}

    @property
    def coming(self) -> bool:
        return any(lane.bites or lane.sinks for lane in self.lanes)


def wire_chart(tales: Sequence[WireTale], windows: Sequence[WireWindow], today: date) -> WireChart | None:
    """The newest wires, the newest on top; None without any."""
    shown = list(tales[:MOST])
    if not shown:
        return None
    ahead = {window.wiring: window for window in windows if window.wiring}
    span = max(_length(tale, ahead.get(tale.id), today) for tale in shown) + 20

    def x_of(start: date) -> X:
        def x(day: date) -> float:
            share = min(max((day - start).days / span, 0.0), 1.0)
            return round(LEFT + (WIDTH - LEFT - RIGHT) * share, 1)

        return x

    lanes: list[Lane] = []
    floor = TOP
    for tale in shown:
        lanes.append(_lane(tale, ahead.get(tale.id), x_of(tale.on), floor, today))
        floor += LANE + (LOOK if lanes[-1].look else 0)
    step = next(step for step in (1, 2, 3, 6, 12, 24, 60, 240) if span / MONTH / step <= 9)
    count = int(span / MONTH / step)
    months = [
        Tick(round(LEFT + (WIDTH - LEFT - RIGHT) * at * step * MONTH / span, 1), str(at * step))
        for at in range(count + 1)
    ]
    return WireChart(WIDTH, floor + FOOT, floor, lanes, months, len(tales) - len(shown))


def _length(tale: WireTale, window: WireWindow | None, today: date) -> int:
    """Days that are drawn of a wire."""
    ends = [tale.off or today, *(look.on for look in tale.looks[-1:])]
    if window is not None:
        coming = () if window.sight else (*window.bites, *window.sinks[:2])
        ends += [day for day in (*coming, window.look_by) if day]
    return max((max(ends) - tale.on).days, 30)


def _lane(tale: WireTale, window: WireWindow | None, x: X, top: float, today: date) -> Lane:
    y = top + 26
    waits = window if window and not window.sight else None
    part = f"{tale.part}, {plain(tale.wire_mm)} mm" if tale.wire_mm else tale.part
    name = gettext("{part}: {start} to {end}") if tale.off else gettext("{part}: {start}, still on")
    return Lane(
        y=y,
        x=LEFT,
        width=round(max(x(tale.off or today) - LEFT, 2.0), 1),
        name=name.format(part=part, start=date_format(tale.on), end=date_format(tale.off or today)),
        shapes=_shapes(tale.looks, x, y + BAR / 2),
        bites=_stretch(waits.bites, x, today) if waits else None,
        sinks=_stretch(waits.sinks, x, today) if waits else None,
        look=_mark(window, x, today) if window else None,
    )


def _shapes(looks: Sequence[WireLook], x: X, y: float) -> list[Shape]:
    """A shape where the state changes and for the last look; a tick for the same seen again between."""
    out, said = [], gettext("{what} on {day}")
    for at, look in enumerate(looks):
        same = at > 0 and looks[at - 1].state == look.state and at < len(looks) - 1
        out.append(
            Shape(
                x(look.on),
                y,
                "" if same else look.state,
                said.format(what=look.word, day=date_format(look.on)),
            )
        )
    return sorted(out, key=lambda shape: bool(shape.state))


def _mark(window: WireWindow, x: X, today: date) -> Mark:
    day = window.look_by
    words = gettext("look now") if day <= today else gettext("look by {day}").format(day=date_format(day))
    if window.sight:
        words = gettext("have it off")
    at = x(max(day, today))
    return Mark(at, words, at > WIDTH * 0.6)


def _stretch(when: tuple[date | None, ...], x: X, today: date) -> tuple[float, float] | None:
    """From the early to the late day, as far as the drawing goes; None where the middle one is past."""
    early, middle, late = when
    if early is None or (middle is not None and middle <= today):
        return None
    start = x(early)
    return start, round(max((x(late) if late else WIDTH - RIGHT) - start, 2.0), 1)
