"""Draws Misho's mark: a pair of pine needles on a stake tag. Run: ``python -m frontend.icons``.

The icons are committed; this is kept so that they can be drawn anew in another size or tone.
"""

from pathlib import Path

from PIL import Image, ImageDraw

PINE, PAPER = "#27463a", "#f7f2e6"
#: The drawing board; everything that matters lies within 0.8 of it, which a phone may cut to a circle.
SIZE = 512
#: Drawn so much larger and scaled down, for smooth edges.
FINER = 4
STEPS = 40
TAG = [(150.0, 96.0), (362.0, 96.0), (362.0, 366.0), (256.0, 438.0), (150.0, 366.0)]
#: Each needle: the sheath, the bend and the tip of its middle line.
NEEDLES = [((250.0, 356.0), (232.0, 238.0), (190.0, 130.0)), ((262.0, 356.0), (280.0, 238.0), (322.0, 130.0))]
NEEDLE_WIDTH = 15.0
SHEATH = [(243.0, 318.0), (269.0, 318.0), (265.0, 392.0), (247.0, 392.0)]

Point = tuple[float, float]


def needle(sheath: Point, bend: Point, tip: Point) -> list[Point]:
    """Outline of one needle: a quadratic curve, widest at the sheath, drawn out to its tip."""
    left: list[Point] = []
    right: list[Point] = []
    for step in range(STEPS + 1):
        t = step / STEPS
        x, y = (
            a * (1 - t) ** 2 + 2 * b * t * (1 - t) + c * t**2
            for a, b, c in zip(sheath, bend, tip, strict=True)
        )
        dx, dy = (2 * (b - a) * (1 - t) + 2 * (c - b) * t for a, b, c in zip(sheath, bend, tip, strict=True))
        half = NEEDLE_WIDTH / 2 * (1 - t**3) / (dx**2 + dy**2) ** 0.5
        left.append((x - dy * half, y + dx * half))
        right.append((x + dy * half, y - dx * half))
    return left + right[::-1]


def shapes() -> list[tuple[str, list[Point]]]:
    """Tone and outline of each part, from the ground up."""
    ground = [(0.0, 0.0), (float(SIZE), 0.0), (float(SIZE), float(SIZE)), (0.0, float(SIZE))]
    return [(PINE, ground), (PAPER, TAG), *((PINE, needle(*one)) for one in NEEDLES), (PINE, SHEATH)]


def picture(size: int) -> Image.Image:
    """The mark as a square picture [px]."""
    image = Image.new("RGB", (SIZE * FINER, SIZE * FINER))
    draw = ImageDraw.Draw(image)
    for tone, outline in shapes():
        draw.polygon([(x * FINER, y * FINER) for x, y in outline], fill=tone)
    return image.resize((size, size), Image.Resampling.LANCZOS)


def drawing() -> str:
    """The mark as SVG."""
    parts = "".join(
        f'<polygon fill="{tone}" points="{" ".join(f"{x:.1f},{y:.1f}" for x, y in outline)}"/>'
        for tone, outline in shapes()
    )
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {SIZE} {SIZE}">{parts}</svg>\n'


def main() -> None:
    """Write the icons where Django finds them."""
    folder = Path(__file__).parent / "static" / "icons"
    folder.mkdir(parents=True, exist_ok=True)
    for size in (192, 512):
        picture(size).save(folder / f"misho-{size}.png", optimize=True)
    (folder / "favicon.svg").write_text(drawing())


if __name__ == "__main__":
    main()
