"""Where exactly a code lies in a picture: corners to a tenth of a pixel, from all edges between its squares.

A decoder gives corners in whole pixels; across a trunk several times as wide as the code that is too rough.
Here each border between a dark and a light square says where it lies across itself, and the four corners are
moved until all borders fit (Gauss-Newton on a projective map, outliers left out). The twin in
``bench/model/photoCorners.ts`` computes the same.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Bits = NDArray[np.bool_]

#: Squares along an edge of the codes of versions 1 to 5 (ISO/IEC 18004, 5.1).
SIZES = (21, 25, 29, 33, 37)
#: Samples across one border, from the middle of a square to the middle of the next.
SAMPLES = 15
ROUNDS = 4
#: A border so many robust deviations off the others is a shadow, dirt or a stain.
ODD = 3.0
#: What finding corners may be wrong by beyond what the borders show, along each axis [px].
LEAST_SD_PX = 0.05
_STEP_PX = 0.25


@dataclass(frozen=True)
class Corners:
    """``at`` (4, 2) [px]; ``cov`` (8, 8) [px^2] of their coordinates in that order; ``borders`` used."""

    at: Floats
    cov: Floats
    borders: int


def refine(grey: ArrayLike, corners: ArrayLike) -> Corners | None:
    """Corners as exactly as the picture gives them; None where no code lies within them.

    Parameters
    ----------
    grey : shape (height, width); brightness, of any scale. The middle of the first pixel is (0.5, 0.5).
    corners : shape (4, 2), [px]; top left, top right, bottom right, bottom left, within about a square's
        half of where they are.
    """
    picture = np.asarray(grey, dtype=np.float64)
    at = np.asarray(corners, dtype=np.float64).reshape(4, 2)
    found = _bits(picture, at)
    if found is None:
        return None
    spots, across = _borders(found)
    cov = np.eye(8)
    kept = np.ones(len(spots), dtype=bool)
    for _ in range(ROUNDS):
        off, rows, kept = _offsets(picture, at, spots, across / len(found))
        if kept.sum() < 40:
            return None
        slope, miss = rows[kept], off[kept]
        normal = slope.T @ slope
        step = np.linalg.solve(normal, slope.T @ miss)
        at = at + step.reshape(4, 2)
        left = miss - slope @ step
        cov = np.linalg.inv(normal) * float(left @ left) / (len(left) - 8)
    return Corners(at, cov + np.eye(8) * LEAST_SD_PX**2, int(kept.sum()))


def map_unit(corners: Floats, spots: Floats) -> Floats:
    """Points of the unit square, shape (n, 2), in the picture [px] (Heckbert 1989, section 2.2.3)."""
    p0, p1, p2, p3 = corners
    d1, d2, s = p1 - p2, p3 - p2, p0 - p1 + p2 - p3
    det = d1[0] * d2[1] - d2[0] * d1[1]
    g = (s[0] * d2[1] - d2[0] * s[1]) / det
    h = (d1[0] * s[1] - s[0] * d1[1]) / det
    u, v = spots[:, :1], spots[:, 1:]
    mapped: Floats = ((p1 - p0 + g * p1) * u + (p3 - p0 + h * p3) * v + p0) / (g * u + h * v + 1.0)
    return mapped


def brightness(picture: Floats, points: Floats) -> Floats:
    """Between the four nearest pixels; outside, that of the rim."""
    height, width = picture.shape
    x = np.clip(points[..., 0] - 0.5, 0.0, width - 1.001)
    y = np.clip(points[..., 1] - 0.5, 0.0, height - 1.001)
    left, top = x.astype(int), y.astype(int)
    fx, fy = x - left, y - top
    upper = picture[top, left] * (1 - fx) + picture[top, left + 1] * fx
    lower = picture[top + 1, left] * (1 - fx) + picture[top + 1, left + 1] * fx
    found: Floats = upper * (1 - fy) + lower * fy
    return found


def _bits(picture: Floats, at: Floats) -> Bits | None:
    """The code's squares, dark is True, by the first size whose three finder patterns are seen."""
    for size in SIZES:
        middles = (np.arange(size) + 0.5) / size
        u, v = np.meshgrid(middles, middles)
        seen = brightness(picture, map_unit(at, np.column_stack([u.ravel(), v.ravel()])))
        dark: Bits = (seen < (seen.min() + seen.max()) / 2).reshape(size, size)
        finder = np.ones((7, 7), dtype=bool)
        finder[1:6, 1:6] = False
        finder[2:5, 2:5] = True
        wrong = sum(
            int((dark[rows, places] != finder).sum())
            for rows, places in (
                (slice(0, 7), slice(0, 7)),
                (slice(0, 7), slice(size - 7, size)),
                (slice(size - 7, size), slice(0, 7)),
            )
        )
        if wrong <= 12:
            return dark
    return None


def _borders(dark: Bits) -> tuple[Floats, Floats]:
    """Middles of the borders on the unit square, and the way across each, in squares: both (n, 2)."""
    size = len(dark)
    ring = np.zeros((size + 2, size + 2), dtype=bool)
    ring[1:-1, 1:-1] = dark
    rows, places = np.nonzero(ring[1:-1, :-1] != ring[1:-1, 1:])
    upright = np.column_stack([places / size, (rows + 0.5) / size])
    above, beside = np.nonzero(ring[:-1, 1:-1] != ring[1:, 1:-1])
    level = np.column_stack([(beside + 0.5) / size, above / size])
    ways = np.concatenate([np.tile([1.0, 0.0], (len(upright), 1)), np.tile([0.0, 1.0], (len(level), 1))])
    return np.concatenate([upright, level]), ways


def _offsets(picture: Floats, at: Floats, spots: Floats, across: Floats) -> tuple[Floats, Floats, Bits]:
    """How far each border lies from where the corners put it, along its normal [px]; how that changes with
    the eight coordinates; and which of them are fit to be used.
    """
    steps = np.linspace(-0.5, 0.5, SAMPLES)
    lines = spots[:, None, :] + steps[None, :, None] * across[:, None, :]
    seen = brightness(picture, map_unit(at, lines.reshape(-1, 2)).reshape(len(spots), SAMPLES, 2))
    third = SAMPLES // 3
    before, behind = seen[:, :third].mean(axis=1), seen[:, -third:].mean(axis=1)
    jump = before - behind
    clear = np.abs(jump) > 0.35 * np.median(np.abs(jump))
    # The area under a step between two levels tells where it is, with all samples' noise averaged.
    share = np.where(clear, (seen.mean(axis=1) - (before + behind) / 2) / np.where(clear, jump, 1.0), 0.0)
    here = map_unit(at, spots)
    along = map_unit(at, spots + across[:, ::-1] / 2) - map_unit(at, spots - across[:, ::-1] / 2)
    normal = np.column_stack([-along[:, 1], along[:, 0]]) / np.hypot(along[:, 0], along[:, 1])[:, None]
    moved = map_unit(at, spots + share[:, None] * across) - here
    off: Floats = (moved * normal).sum(axis=1)
    rows = np.empty((len(spots), 8))
    for coordinate in range(8):
        shift = np.zeros(8)
        shift[coordinate] = _STEP_PX
        ahead, back = map_unit(at + shift.reshape(4, 2), spots), map_unit(at - shift.reshape(4, 2), spots)
        rows[:, coordinate] = ((ahead - back) * normal).sum(axis=1) / (2 * _STEP_PX)
    middle = np.median(off[clear])
    spread = 1.4826 * np.median(np.abs(off[clear] - middle)) + 0.02
    return off, rows, clear & (np.abs(off - middle) < ODD * spread)
