"""The root rose: one survey drawn from above, the front towards you. Beside it stands its table."""

from dataclasses import dataclass
from math import cos, radians, sin

from django.utils.translation import gettext, ngettext

from nursery.reports.rose import SIDES, Rose
from nursery.science.roots import SECTORS

SIZE, MIDDLE = 400, 200.0
#: Radii: the trunk, where roots end, the gap's arc, the ring of sides, their names.
TRUNK, ROOT, GAP, RING, NAME = 30.0, 118.0, 138.0, 156.0, 174.0


@dataclass(frozen=True)
class Ray:
    """A root: from the trunk to (``x``, ``y``), so wide; a round end is level, a square one is not."""

    x0: float
    y0: float
    x: float
    y: float
    width: float
    level: bool
    words: str


@dataclass(frozen=True)
class Label:
    x: float
    y: float
    words: str


@dataclass(frozen=True)
class Arc:
    """A piece of a ring. ``on``: a root is there."""

    path: str
    on: bool


@dataclass(frozen=True)
class RoseDrawing:
    """``gap``: the arc of the largest gap, "" where there is none; ``wedge``: the same as a slice."""

    rays: list[Ray]
    gap: str
    wedge: str
    gap_label: Label | None
    sides: list[Label]
    sectors: list[Arc]
    words: str


def spot(degrees: float, radius: float) -> tuple[float, float]:
    """Where an angle is drawn: 0 at the bottom, clockwise, as the phone draws it."""
    angle = radians(degrees)
    return round(MIDDLE - radius * sin(angle), 1), round(MIDDLE + radius * cos(angle), 1)


def _arc(start: float, width: float, radius: float) -> str:
    (x0, y0), (x1, y1) = spot(start, radius), spot(start + width, radius)
    return f"M{x0} {y0}A{radius:g} {radius:g} 0 {int(width > 180)} 1 {x1} {y1}"


def draw(rose: Rose) -> RoseDrawing:
    """Lay a survey out."""
    gap = rose.gap
    arc = _arc(gap.start, min(gap.width, 359.9), GAP) if gap else ""
    step = 360.0 / SECTORS
    served = {min(int(root.deg % 360.0 / step), SECTORS - 1) for root in rose.roots}
    return RoseDrawing(
        rays=[
            Ray(
                *spot(root.deg, TRUNK),
                *spot(root.deg, ROOT),
                1.5 + 2.5 * root.grade,
                root.level,
                _ray_words(root.level).format(side=root.side, deg=f"{root.deg:.0f}", grade=root.grade),
            )
            for root in rose.roots
        ],
        gap=arc,
        wedge=f"{arc}L{MIDDLE:g} {MIDDLE:g}Z" if arc else "",
        gap_label=Label(*spot(gap.start + gap.width / 2, 84.0), f"{round(gap.width + 1e-6)}°")
        if gap
        else None,
        sides=[Label(*spot(at * 30.0, NAME), SIDES[at]) for at in (0, 3, 6, 9)],
        sectors=[Arc(_arc(at * step + 2, step - 4, RING), at in served) for at in range(SECTORS)],
        words=summary(rose),
    )


def _ray_words(level: bool) -> str:
    if level:
        return gettext("{side}, {deg} degrees: grade {grade}, level")
    return gettext("{side}, {deg} degrees: grade {grade}, off level")


def summary(rose: Rose) -> str:
    """The drawing in words, for those who do not see it."""
    n = len(rose.roots)
    start = ngettext(
        "%(n)s root round the trunk, seen from above with the front below",
        "%(n)s roots round the trunk, seen from above with the front below",
        n,
    ) % {"n": n}
    if rose.gap is None:
        return start
    more = gettext("{start}; the largest gap is {width} degrees at the {side}")
    return more.format(start=start, width=f"{rose.gap.width:.0f}", side=rose.gap.side)
