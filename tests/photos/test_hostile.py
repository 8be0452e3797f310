"""Hostile files: each is refused with its reason, or comes out as a plain picture. None carries its place."""

import io
from collections.abc import Callable

import pytest
from PIL import Image

from nursery.photos import BadPhoto, clean

from . import hostile as h

PAGE = b"<!DOCTYPE html><html><img src=x onerror=alert(1)></html>"


@pytest.mark.parametrize(
    ("make", "code"),
    [
        pytest.param(lambda: b"", "empty", id="empty"),
        pytest.param(lambda: b"\0" * 5000, "not_a_photo", id="noughts"),
        pytest.param(lambda: b"\xff\xd8", "not_a_photo", id="jpeg of two bytes"),
        pytest.param(lambda: h.with_gps()[:400], "photo_damaged", id="cut in the notes"),
        pytest.param(lambda: h.saved(h.scene(400, 400))[:-900], "photo_damaged", id="jpeg cut short"),
        pytest.param(lambda: h.saved(h.scene(), "PNG")[:60], "photo_damaged", id="png cut short"),
        pytest.param(h.webp_cut, "photo_damaged", id="webp cut short"),
        pytest.param(h.pixel_bomb, "photo_too_large", id="pixel bomb"),
        pytest.param(h.many_sizes, "photo_too_large", id="jpeg of 65,500 by 65,500"),
        pytest.param(h.text_bomb, "photo_damaged", id="note that inflates to 80 MB"),
        pytest.param(h.no_size, "photo_damaged", id="no size"),
        pytest.param(lambda: h.saved(h.scene(15, 15), "PNG"), "photo_too_small", id="15 by 15"),
        pytest.param(h.lying_length, "photo_damaged", id="segment longer than the file"),
        pytest.param(h.heic, "heic", id="heic"),
        pytest.param(lambda: h.SVG, "not_a_photo", id="svg"),
        pytest.param(lambda: PAGE, "not_a_photo", id="page"),
        pytest.param(lambda: h.moving("GIF"), "not_a_photo", id="gif"),
        pytest.param(h.tiff, "not_a_photo", id="tiff"),
        pytest.param(lambda: h.saved(h.scene(), "BMP"), "not_a_photo", id="bmp"),
        pytest.param(lambda: h.saved(h.scene(), "PDF"), "not_a_photo", id="pdf"),
        pytest.param(h.riff_no_webp, "not_a_photo", id="sound in a webp's coat"),
        pytest.param(lambda: b"MZ" + b"\x90" * 300, "not_a_photo", id="program"),
    ],
)
def test_what_is_no_picture_is_refused_with_its_reason(make: Callable[[], bytes], code: str) -> None:
    with pytest.raises(BadPhoto) as fault:
        clean(make())
    assert fault.value.code == code
    assert fault.value.message
    assert fault.value.mend


@pytest.mark.parametrize(
    ("make", "size"),
    [
        pytest.param(h.with_gps, (64, 48), id="gps in exif"),
        pytest.param(lambda: h.saved(h.scene(), exif=h.notes(6)), (48, 64), id="gps, lying on its side"),
        pytest.param(lambda: h.saved(h.scene(), exif=h.notes(99)), (64, 48), id="turned in no known way"),
        pytest.param(lambda: h.with_segment(0xE1, b"Exif\0\0" + h.PLACE), (64, 48), id="broken exif"),
        pytest.param(
            lambda: h.with_segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + h.PLACE), (64, 48), id="xmp"
        ),
        pytest.param(lambda: h.with_segment(0xED, b"Photoshop 3.0\0" + h.PLACE), (64, 48), id="iptc"),
        pytest.param(h.page_inside, (64, 48), id="page in the comment"),
        pytest.param(h.zip_behind, (64, 48), id="zip behind"),
        pytest.param(h.png_text, (64, 48), id="png with notes"),
        pytest.param(lambda: h.saved(h.scene(), "WEBP", exif=h.notes()), (64, 48), id="webp with gps"),
        pytest.param(lambda: h.moving("WEBP"), (64, 48), id="moving webp"),
        pytest.param(lambda: h.moving("PNG"), (64, 48), id="moving png"),
        pytest.param(h.two_pictures, (64, 48), id="two pictures in one"),
        pytest.param(lambda: h.saved(h.scene(mode="CMYK"), exif=h.notes()), (64, 48), id="cmyk"),
        pytest.param(h.grey16, (64, 48), id="sixteen bits of grey"),
        pytest.param(h.broken_colours, (64, 48), id="broken colour profile"),
        pytest.param(lambda: h.saved(h.scene(mode="RGBA"), "PNG"), (64, 48), id="see-through"),
        pytest.param(lambda: h.saved(h.scene(mode="P"), "PNG", transparency=0), (64, 48), id="palette"),
        pytest.param(lambda: h.saved(h.scene(4000, 3000)), (2048, 1536), id="twelve million points"),
        pytest.param(h.lying_size, (2048, 2048), id="fewer rows than it says"),
    ],
)
def test_what_is_a_picture_comes_out_as_a_plain_one(make: Callable[[], bytes], size: tuple[int, int]) -> None:
    done = clean(make())
    assert (done.width, done.height) == size
    for data, longest in ((done.data, 2048), (done.small, 480)):
        assert h.PLACE not in data
        with Image.open(io.BytesIO(data)) as image:
            image.load()
            assert (image.format, image.mode) == ("JPEG", "RGB")
            assert max(image.size) == min(longest, max(size))
            # Nothing beside the pixels: no EXIF, so no GPS; no comment, profile or second picture.
            assert set(image.info) <= {
                "jfif",
                "jfif_version",
                "jfif_unit",
                "jfif_density",
                "progressive",
                "progression",
            }
            assert dict(image.getexif()) == {}


def _looks(data: bytes) -> tuple[str, str]:
    """Whether the left edge's middle is dark, and which corner is light."""
    with Image.open(io.BytesIO(data)) as image:
        grey = image.convert("L")
        w, h_ = grey.size
        spots = {
            "top left": (3, 3),
            "top right": (w - 4, 3),
            "bottom right": (w - 4, h_ - 4),
            "bottom left": (3, h_ - 4),
        }
        light = max(spots, key=lambda name: grey.getpixel(spots[name]))  # type: ignore[arg-type, return-value]
        edges = {
            "left": (3, h_ // 2),
            "top": (w // 2, 3),
            "right": (w - 4, h_ // 2),
            "bottom": (w // 2, h_ - 4),
        }
        dark = min(edges, key=lambda name: grey.getpixel(edges[name]))  # type: ignore[arg-type, return-value]
        return dark, light


# EXIF 2.32, tag 274: what the first row and the first column of the stored picture are in the scene.
@pytest.mark.parametrize(
    ("orientation", "dark", "light"),
    [
        (1, "left", "top right"),
        (2, "right", "top left"),
        (3, "right", "bottom left"),
        (4, "left", "bottom right"),
        (5, "top", "bottom left"),
        (6, "top", "bottom right"),
        (7, "bottom", "top right"),
        (8, "bottom", "top left"),
    ],
)
def test_a_picture_is_turned_upright(orientation: int, dark: str, light: str) -> None:
    done = clean(h.saved(h.scene(96, 96), quality=95, exif=h.notes(orientation)))
    assert _looks(done.data) == (dark, light)
    assert _looks(done.small) == (dark, light)


def test_sixteen_bits_of_grey_keep_their_middle() -> None:
    with Image.open(io.BytesIO(clean(h.grey16()).data)) as image:
        grey = image.convert("L")
        assert [abs(grey.getpixel((x, 20)) - want) <= 6 for x, want in ((4, 16), (32, 130), (60, 243))] == [  # type: ignore[operator]
            True, True, True,
        ]  # fmt: skip
