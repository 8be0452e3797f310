"""Pictures of a printed tag as a phone's camera sees it: tilted, turned, blurred, in a shadow, with noise.

The tag comes from the shed's own PDF, printed to pixels by PDFium; the camera is a pinhole one.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from uuid import UUID

import numpy as np
import pypdfium2
from PIL import Image, ImageFilter

from nursery.tagsheets import PAPERS, SIZES, Label, sheet

#: Pixels a millimetre of the printed tag: far finer than any camera here sees it.
FINE = 16
VIEW = (640, 480)
#: Focal length of the camera [px]: a field of view of 53 degrees, as a phone's.
FOCAL = 640.0


@dataclass(frozen=True)
class Look:
    """How the camera sees the tag. Angles [degrees], distance [mm], blur: sigma [px], noise: sigma of 255."""

    tilt: float = 0.0
    turn: float = 0.0
    slant: float = 0.0
    distance: float = 130.0
    blur: float = 0.0
    shadow: float = 0.0
    noise: float = 2.0


def tag(label: Label, size: str = "30x60") -> Image.Image:
    """One tag, cut out of its sheet [grey]."""
    with pypdfium2.PdfDocument(sheet([label], SIZES[size], PAPERS["a4"], "one")) as document:
        page = document[0].render(scale=FINE * 25.4 / 72, grayscale=True).to_pil()
    left = {"20x50": 15, "30x60": 15, "40x80": 25}[size]
    box = (left, 20, left + SIZES[size].width, 20 + SIZES[size].height)
    return page.crop(tuple(round(side * FINE) for side in box))


def _turned(look: Look) -> np.ndarray:
    """The rotation of the tag's plane before the camera, (3, 3)."""
    a, b, c = np.radians([look.tilt, look.slant, look.turn])
    x = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    y = np.array([[np.cos(b), 0, np.sin(b)], [0, 1, 0], [-np.sin(b), 0, np.cos(b)]])
    z = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
    return x @ y @ z


def seen(printed: Image.Image, look: Look, seed: int = 1) -> Image.Image:
    """The camera's picture of a tag (640 by 480), on soil-brown ground."""
    width, height = printed.width / FINE, printed.height / FINE
    turn = _turned(look)
    # Image pixel to a ray to a point of the tag's plane: the inverse of [r1 r2 t] as a homography.
    plane = np.column_stack([turn[:, 0], turn[:, 1], [0, 0, look.distance]])
    camera = np.array([[FOCAL, 0, VIEW[0] / 2], [0, FOCAL, VIEW[1] / 2], [0, 0, 1]])
    fine = np.array([[FINE, 0, FINE * width / 2], [0, FINE, FINE * height / 2], [0, 0, 1]])
    home = fine @ np.linalg.inv(camera @ plane)
    home /= home[2, 2]
    # Twice as large and halved: a camera's pixel takes in an area, not a point.
    double = home @ np.diag([0.5, 0.5, 1.0])
    large = printed.convert("LA").transform(
        (VIEW[0] * 2, VIEW[1] * 2), Image.Transform.PERSPECTIVE, tuple((double / double[2, 2]).ravel()[:8]),
        Image.Resampling.BICUBIC,
    )  # fmt: skip
    ground = Image.new("L", large.size, 88)
    ground.paste(large.getchannel("L"), mask=large.getchannel("A"))
    picture = ground.resize(VIEW, Image.Resampling.BOX).filter(ImageFilter.GaussianBlur(look.blur))
    return _lit(picture, look, seed)


def _lit(picture: Image.Image, look: Look, seed: int) -> Image.Image:
    """A shadow with a soft edge slantwise over the middle, and the noise of the sensor."""
    light = np.asarray(picture, dtype=float)
    y, x = np.mgrid[: VIEW[1], : VIEW[0]]
    edge = (x - VIEW[0] / 2) * 0.8 + (y - VIEW[1] / 2) * 0.6
    light = light * (1 - look.shadow / (1 + np.exp(-edge / 8)))
    light = light + np.random.default_rng(seed).normal(0, look.noise, light.shape)
    return Image.fromarray(np.clip(light, 0, 255).astype(np.uint8))


def film(path: Path, pictures: list[Image.Image], frames_a_second: int = 5) -> Path:
    """A YUV4MPEG2 film, which Chromium plays round and round as its camera."""
    with path.open("wb") as out:
        out.write(f"YUV4MPEG2 W{VIEW[0]} H{VIEW[1]} F{frames_a_second}:1 Ip A1:1 C420\n".encode())
        grey = bytes([128]) * (VIEW[0] * VIEW[1] // 2)
        for picture in pictures:
            # Video range: black is 16, white 235.
            luma = (np.asarray(picture, dtype=float) * 219 / 255 + 16).round().astype(np.uint8)
            out.write(b"FRAME\n" + luma.tobytes() + grey)
    return path


def label(tag_text: str, tree: str) -> Label:
    return Label(UUID(tree), tag_text, ("Japanese black pine", "sown 2021"))
