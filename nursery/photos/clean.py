"""Make a picture anew from its pixels: whatever else the file carried stays behind.

A phone's camera writes place, time and its owner's name into a file, and a file can pretend to be a picture.
Both end here: the bytes are decoded within bounds, turned upright, and written as a plain JPEG.
"""

import io
from dataclasses import dataclass

from PIL import Image

from nursery.sentences import N_

from .errors import BadPhoto

#: Formats by what the bytes are, never by a name or a header that came with them.
FORMATS = ("JPEG", "PNG", "WEBP")
#: Largest picture that is decoded [px]; four bytes each in memory while it is.
# A refusal below says so.
MOST_PIXELS = 40_000_000
#: No side shorter than this is a picture of anything [px].
LEAST_SIDE = 16
#: Long sides of what is kept [px].
SIDE, SMALL_SIDE = 2048, 480
QUALITY, SMALL_QUALITY = 85, 78
_ORIENTATION = 0x0112
_UPRIGHT = {
    2: (Image.Transpose.FLIP_LEFT_RIGHT,),
    3: (Image.Transpose.ROTATE_180,),
    4: (Image.Transpose.FLIP_TOP_BOTTOM,),
    5: (Image.Transpose.TRANSPOSE,),
    6: (Image.Transpose.ROTATE_270,),
    7: (Image.Transpose.TRANSVERSE,),
    8: (Image.Transpose.ROTATE_90,),
}
_HEIC = {b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1", b"avif", b"avis"}
# Texts of refusals are kept with the picture, in English, and said where they are read.
_AGAIN = N_("Take the picture again, or delete it on the phone.")


@dataclass(frozen=True)
class Cleaned:
    """A plain picture and a small one of it, both JPEG; width and height [px] of the first."""

    data: bytes
    small: bytes
    width: int
    height: int


def clean(data: bytes) -> Cleaned:
    """Decode a file that claims to be a picture, and write it anew.

    Raises
    ------
    BadPhoto : its code says why: empty, heic, not_a_photo, photo_too_large, photo_too_small, photo_damaged.
    """
    _look_at_the_first_bytes(data)
    try:
        # Pillow's own plugins only: none that an installed package brought may see hostile bytes.
        image = Image.open(io.BytesIO(data), formats=FORMATS)
    except Image.DecompressionBombError:
        raise _too_large() from None
    except Exception as fault:
        if _begins_as_one(data):
            raise _damaged() from fault
        raise BadPhoto(N_("This file is no JPEG, PNG or WebP picture."), mend=_AGAIN) from fault
    with image:
        _check_size(image.width, image.height)
        upright = _decoded(image)
    upright.thumbnail((SIDE, SIDE), Image.Resampling.LANCZOS)
    width, height = upright.size
    big = _jpeg(upright, QUALITY)
    upright.thumbnail((SMALL_SIDE, SMALL_SIDE), Image.Resampling.LANCZOS)
    return Cleaned(big, _jpeg(upright, SMALL_QUALITY), width, height)


def _look_at_the_first_bytes(data: bytes) -> None:
    if not data:
        raise BadPhoto(N_("This file is empty."), code="empty", mend=_AGAIN)
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC:
        raise BadPhoto(
            N_("This is an HEIC picture, which the shed does not read."),
            code="heic",
            mend=N_(
                "On an iPhone choose Settings, Camera, Formats, Most Compatible; or take it inside Misho."
            ),
        )


def _begins_as_one(data: bytes) -> bool:
    webp = data[:4] == b"RIFF" and data[8:12] == b"WEBP"
    return webp or data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"))


def _damaged() -> BadPhoto:
    return BadPhoto(
        N_("This picture is damaged or cut short: it cannot be read to its end."),
        code="photo_damaged",
        mend=_AGAIN,
    )


def _too_large() -> BadPhoto:
    return BadPhoto(
        N_("This picture has more than 40 million points."),
        code="photo_too_large",
        mend=N_("Take it inside Misho, which makes it smaller, or choose a smaller one."),
    )


def _check_size(width: int, height: int) -> None:
    if width * height > MOST_PIXELS:
        raise _too_large()
    if min(width, height) < LEAST_SIDE:
        raise BadPhoto(
            N_("This picture is so small that nothing can be seen in it."),
            code="photo_too_small",
            mend=_AGAIN,
        )


def _decoded(image: Image.Image) -> Image.Image:
    """The first picture of the file, upright, in plain red, green and blue, and nothing beside the pixels."""
    try:
        # A JPEG that is far too large is shrunk while it is decoded, which saves most of the memory.
        image.draft("RGB", (SIDE, SIDE))
        image.load()
        turned = image
        for step in _UPRIGHT.get(_orientation(image), ()):
            turned = turned.transpose(step)
        flat = _flat(turned)
    except Exception as fault:
        # On hostile bytes a decoder may raise anything; whatever it is, there is no picture.
        raise _damaged() from fault
    # Pillow writes a comment that it read.
    flat.info.clear()
    return flat


def _orientation(image: Image.Image) -> int:
    try:
        return int(image.getexif().get(_ORIENTATION, 1))
    except Exception:
        # The notes are broken; the picture need not be.
        return 1


def _flat(image: Image.Image) -> Image.Image:
    if image.mode.startswith("I;16") or image.mode == "I":
        # Sixteen bits of grey: convert() alone would cut all but the darkest to white.
        return image.convert("I").point(lambda grey: grey * (1 / 256)).convert("L").convert("RGB")
    if "A" in image.getbands() or "a" in image.getbands() or "transparency" in image.info:
        clear = image.convert("RGBA")
        paper = Image.new("RGB", clear.size, "white")
        paper.paste(clear, mask=clear.getchannel("A"))
        return paper
    return image.convert("RGB")


def _jpeg(image: Image.Image, quality: int) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=True, progressive=True)
    return out.getvalue()
