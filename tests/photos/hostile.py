"""Files that come as pictures and are none, or carry more than a picture. Each is made here, byte by byte."""

import io
import struct
import zipfile
import zlib
from typing import Any

from PIL import Image, PngImagePlugin

#: A place that must not be found again: it stands in the notes as text, and in the GPS numbers.
PLACE = b"SECRET-GARDEN-48.137N"


def scene(width: int = 64, height: int = 48, mode: str = "RGB") -> Image.Image:
    """A picture whose left third is dark and whose top right corner is light: turned, it looks otherwise."""
    image = Image.new("RGB", (width, height), (120, 130, 90))
    image.paste((20, 30, 20), (0, 0, width // 3, height))
    image.paste((240, 240, 230), (2 * width // 3, 0, width, height // 3))
    return image.convert(mode)


def saved(image: Image.Image, form: str = "JPEG", **more: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, form, **more)
    return out.getvalue()


def notes(orientation: int | None = None) -> Image.Exif:
    """EXIF with a place in it: GPS numbers, a description, and a maker's name."""
    exif = Image.Exif()
    exif[0x010E] = PLACE.decode()
    exif[0x010F] = "NoSuchMaker"
    exif[0x8825] = {1: "N", 2: (48.0, 8.0, 13.2), 3: "E", 4: (11.0, 34.0, 31.0)}
    if orientation is not None:
        exif[0x0112] = orientation
    return exif


def with_gps() -> bytes:
    return saved(scene(), exif=notes())


def with_segment(marker: int, payload: bytes) -> bytes:
    """A JPEG with one more segment right after its start."""
    plain = saved(scene())
    return plain[:2] + bytes([0xFF, marker]) + struct.pack(">H", len(payload) + 2) + payload + plain[2:]


def png(chunks: list[tuple[bytes, bytes]]) -> bytes:
    out = b"\x89PNG\r\n\x1a\n"
    for name, data in chunks:
        out += struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
    return out


def png_head(width: int, height: int, depth: int = 8, colour: int = 2) -> tuple[bytes, bytes]:
    return b"IHDR", struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)


def pixel_bomb() -> bytes:
    """30,000 by 30,000 white points in a few kilobytes of a 1-bit PNG."""
    packed = zlib.compressobj(9)
    row = b"\0" + b"\xff" * 3750
    data = b"".join(packed.compress(row) for _ in range(2000)) + packed.flush()
    return png([png_head(30_000, 30_000, 1, 0), (b"IDAT", data), (b"IEND", b"")])


def text_bomb() -> bytes:
    """A small PNG whose compressed note inflates to 80 MB."""
    note = b"note\0\0" + zlib.compress(b"\0" * 80_000_000, 9)
    body = zlib.compress((b"\0" + b"\x80" * 96) * 32)
    return png([png_head(32, 32), (b"zTXt", note), (b"IDAT", body), (b"IEND", b"")])


def png_text() -> bytes:
    info = PngImagePlugin.PngInfo()
    info.add_text("GPS", PLACE.decode())
    info.add_itxt("XML:com.adobe.xmp", f"<x:xmpmeta>{PLACE.decode()}</x:xmpmeta>")
    return saved(scene(), "PNG", pnginfo=info, exif=notes())


def zip_behind() -> bytes:
    """A JPEG that is a zip file too, if it is read from its end."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        file.writestr("run.sh", PLACE.decode())
    return saved(scene()) + out.getvalue()


def page_inside() -> bytes:
    """A JPEG whose comment is a page with a script."""
    return with_segment(0xFE, b"<html><script>alert('" + PLACE + b"')</script></html>")


def moving(form: str) -> bytes:
    frames = [scene(), scene().transpose(Image.Transpose.FLIP_LEFT_RIGHT)]
    return saved(frames[0], form, save_all=True, append_images=frames[1:], duration=90, loop=0)


def grey16() -> bytes:
    """16-bit grey from black to white, left to right."""
    row = b"\0" + b"".join(struct.pack(">H", round(x * 65535 / 63)) for x in range(64))
    return png([png_head(64, 48, 16, 0), (b"IDAT", zlib.compress(row * 48)), (b"IEND", b"")])


def lying_length() -> bytes:
    """A JPEG segment that claims to be longer than the file."""
    return with_gps()[:20] + b"\xff\xe1\xff\xff" + b"Exif\0\0"


def lying_size() -> bytes:
    """A PNG that says 4000 by 4000 and brings four rows."""
    rows = zlib.compress((b"\0" + b"\x80" * 12_000) * 4)
    return png([png_head(4000, 4000), (b"IDAT", rows), (b"IEND", b"")])


def no_size() -> bytes:
    return png([png_head(0, 0), (b"IDAT", zlib.compress(b"")), (b"IEND", b"")])


def many_sizes() -> bytes:
    """The JPEG's frame header changed to 65,500 by 65,500."""
    plain = bytearray(saved(scene()))
    at = plain.index(b"\xff\xc0")
    plain[at + 5 : at + 9] = struct.pack(">HH", 65_500, 65_500)
    return bytes(plain)


def heic() -> bytes:
    return b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 200


def riff_no_webp() -> bytes:
    return b"RIFF" + struct.pack("<I", 100) + b"WAVEfmt " + b"\0" * 92


def webp_cut() -> bytes:
    return saved(scene(200, 200), "WEBP", exif=notes())[:120]


def broken_colours() -> bytes:
    return saved(scene(), icc_profile=b"\xde\xad" * 300 + PLACE)


def tiff() -> bytes:
    return saved(scene(), "TIFF")


def two_pictures() -> bytes:
    """A JPEG of two pictures (MPO), as some phones write beside a depth map."""
    return saved(scene(), "MPO", save_all=True, append_images=[scene(32, 32)], exif=notes())


SVG = (
    b"""<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><text>x</text></svg>"""
)
