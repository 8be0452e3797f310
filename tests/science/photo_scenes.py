"""Rendered pictures of a tag beside a trunk, of known geometry: what a phone's camera would see.

A pinhole camera looks at the plane of the tag, tilted up to 30 degrees about any axis; the trunk is a band in
that plane. Blur, noise, uneven light, and taps that miss by about a pixel.
"""

import math
from dataclasses import dataclass

import numpy as np
import segno
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

Floats = NDArray[np.float64]

WIDTH, HEIGHT = 1280, 960
FOCAL_PX = WIDTH * 26.0 / 36.0
PAPER, INK, BARK, GROUND = 235, 25, 90, 175


@dataclass(frozen=True)
class Scene:
    """One picture and its truth. ``taps`` (2, 2) [px] as a person makes them, ``corners`` (4, 2) true."""

    image: Image.Image
    edge_mm: float
    mm: float
    taps: Floats
    corners: Floats


def scene(rng: np.random.Generator, *, tilt_deg: float, mm: float, edge_mm: float) -> Scene:
    """One scene; the diameter is rounded to what the drawing can show."""
    gap = float(rng.uniform(3.0, 8.0))
    across = 2.0 + edge_mm + gap + mm
    code = segno.make("MISHO.220.9F3A61C2.K041D", micro=False, error="m")
    rows = [list(row) for row in code.matrix]
    # The drawing is finer than the picture, so that its own steps do not show.
    distance = FOCAL_PX * across * float(rng.uniform(1.15, 1.5)) / WIDTH
    per_module = max(2, round(1.5 * FOCAL_PX / distance * edge_mm / len(rows)))
    scale = per_module * len(rows) / edge_mm
    mm = max(1, round(mm * scale)) / scale
    left = edge_mm + round(gap * scale) / scale
    middle = np.array([(left + mm) / 2, edge_mm / 2])
    to_picture = _camera(rng, middle, distance, tilt_deg)
    image = _rendered(rng, rows, per_module, scale, left, mm, to_picture)
    height = edge_mm / 2 + float(rng.uniform(-0.3, 0.3)) * edge_mm
    edges = np.array([[left, height], [left + mm, height]])
    square = np.array([[0.0, 0.0], [edge_mm, 0.0], [edge_mm, edge_mm], [0.0, edge_mm]])
    taps = project(to_picture, edges) + rng.normal(0.0, 1.0, (2, 2))
    return Scene(image, edge_mm, mm, taps, project(to_picture, square))


def project(to_picture: Floats, points: Floats) -> Floats:
    """Points of the plane [mm], shape (n, 2), in the picture [px]."""
    seen = np.column_stack([points, np.ones(len(points))]) @ to_picture.T
    found: Floats = seen[:, :2] / seen[:, 2:]
    return found


def _camera(rng: np.random.Generator, middle: Floats, distance: float, tilt_deg: float) -> Floats:
    """The homography from the plane [mm] to the picture [px] (Hartley and Zisserman 2004, section 8.1.1)."""
    axis, tilt = rng.uniform(0.0, 2 * math.pi), math.radians(tilt_deg)
    x, y, c, s = math.cos(axis), math.sin(axis), math.cos(tilt), math.sin(tilt)
    lean = np.array(
        [
            [c + x * x * (1 - c), x * y * (1 - c), y * s],
            [x * y * (1 - c), c + y * y * (1 - c), -x * s],
            [-y * s, x * s, c],
        ]
    )
    roll = math.radians(float(rng.uniform(-12.0, 12.0)))
    turn = np.array(
        [[math.cos(roll), -math.sin(roll), 0.0], [math.sin(roll), math.cos(roll), 0.0], [0, 0, 1.0]]
    )
    pose = turn @ lean
    lens = np.array([[FOCAL_PX, 0.0, WIDTH / 2], [0.0, FOCAL_PX, HEIGHT / 2], [0.0, 0.0, 1.0]])
    shift = np.array([0.0, 0.0, distance]) - pose[:, :2] @ middle
    return lens @ np.column_stack([pose[:, :2], shift])


def _rendered(
    rng: np.random.Generator,
    rows: list[list[int]],
    per_module: int,
    scale: float,
    left: float,
    mm: float,
    to_picture: Floats,
) -> Image.Image:
    """Draw the plane, look at it through the camera, and spoil it as a phone would."""
    edge = len(rows) * per_module
    quiet = 4 * per_module
    top, tall = 3 * edge, 7 * edge
    sheet = Image.new("L", (round((left + mm) * scale) + 6 * edge, tall), GROUND)
    from_left = 3 * edge
    pen = ImageDraw.Draw(sheet)
    pen.rectangle((from_left - quiet, top - quiet, from_left + edge + quiet - 1, top + 2 * edge), fill=PAPER)
    for at, row in enumerate(rows):
        for place, dark in enumerate(row):
            if dark:
                x, y = from_left + place * per_module, top + at * per_module
                pen.rectangle((x, y, x + per_module - 1, y + per_module - 1), fill=INK)
    x = from_left + round(left * scale)
    pen.rectangle((x, 0, x + round(mm * scale) - 1, tall), fill=BARK)
    to_sheet = np.array([[scale, 0.0, from_left], [0.0, scale, top], [0.0, 0.0, 1.0]])
    back = to_sheet @ np.linalg.inv(to_picture)
    back /= back[2, 2]
    seen = sheet.transform(
        (WIDTH, HEIGHT),
        Image.Transform.PERSPECTIVE,
        tuple(back.ravel()[:8]),
        Image.Resampling.BICUBIC,
        fillcolor=GROUND,
    )
    seen = seen.filter(ImageFilter.GaussianBlur(float(rng.uniform(0.4, 1.4))))
    light = np.linspace(rng.uniform(0.7, 1.0), 1.0, WIDTH, dtype=np.float32)
    spoiled = np.asarray(seen, dtype=np.float32) * light
    spoiled += rng.standard_normal(spoiled.shape, dtype=np.float32) * np.float32(rng.uniform(2.0, 9.0))
    return Image.fromarray(np.clip(spoiled, 0, 255).astype(np.uint8))
