"""The PDF itself, by ReportLab: codes as filled squares, not as pictures, so that they print sharp.

ReportLab has been kept since 2000, is BSD, needs only Pillow (which Misho has), and can write Japanese by a
font that every reader brings; the other fonts are of the 14 that each PDF reader knows, so none is embedded.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from uuid import UUID

import segno
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.cidfonts import UnicodeCIDFont
from reportlab.pdfgen.canvas import Canvas

from nursery.science.tag_codes import make_code
from nursery.sentences import later, said

from .layout import BAR, BAR_Y, MOST, Grid, Paper, Size, grid

PLAIN, BOLD, WIDE = "Helvetica", "Helvetica-Bold", "HeiseiKakuGo-W5"
BAR_WORDS = later(
    "This bar must measure 50 mm. If it does not, print again at 100%, without fitting to the page."
)
CARE = later("Cut on a mat, away from your fingers. Plain paper wants a sleeve or laminate outdoors.")
#: A tag's text never touches its edges [mm].
SIDE = 1.6
CROSS = 1.5
HEAD_POINTS = 7.5


@dataclass(frozen=True)
class Label:
    """What one tag says: the tag, and at most two lines below it."""

    tree: UUID
    tag: str
    lines: tuple[str, str] = ("", "")


def code(label: Label, size: Size) -> segno.QRCode:
    """The QR code of a tag, at the strongest correction that its version has room for.

    Never the smallest version, whose few large squares would ask for more quiet margin than the tag has.
    """
    text = make_code(label.tag, label.tree, size.edge)
    found = segno.make_qr(text, error="m")
    return found if found.version != 1 else segno.make_qr(text, error="m", version=2)


def _fonts() -> None:
    if WIDE not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(UnicodeCIDFont(WIDE))


def _font(text: str, wanted: str) -> str:
    """A font that has the letters; Latin ones for whatever Windows-1252 can write."""
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return WIDE
    return wanted


class Sheet:
    """One file being drawn; lengths in millimetres from the upper left corner."""

    def __init__(self, paper: Paper, title: str) -> None:
        _fonts()
        self.paper = paper
        self.title = title
        self.file = BytesIO()
        # Invariant: the same tags give the same bytes.
        page = (paper.width * mm, paper.height * mm)
        self.canvas = Canvas(self.file, pagesize=page, pageCompression=1, invariant=1)
        self.canvas.setTitle(said("Tags: {title}", title=title))
        self.canvas.setCreator("Misho")

    def line(self, x: float, y: float, to_x: float, to_y: float) -> None:
        top = self.paper.height
        self.canvas.line(x * mm, (top - y) * mm, to_x * mm, (top - to_y) * mm)

    def text(self, x: float, y: float, text: str, font: str, points: float, *, width: float = 0.0) -> None:
        """Text on a base line from ``x``; with ``width``, in the middle of it, smaller or cut to fit."""
        font = _font(text, font)
        if width:
            points, text = _fit(text, font, points, width)
            x += (width - pdfmetrics.stringWidth(text, font, points) / mm) / 2
        self.canvas.setFont(font, points)
        self.canvas.drawString(x * mm, (self.paper.height - y) * mm, text)

    def squares(self, x: float, y: float, qr: segno.QRCode, edge: float) -> None:
        """The dark squares of a code, each row in runs, as one shape: no reader leaves seams between."""
        rows = [bytes(row) for row in qr.matrix]
        side = edge / len(rows)
        path = self.canvas.beginPath()
        for down, row in enumerate(rows):
            bottom = (self.paper.height - y - (down + 1) * side) * mm
            for start, count in _runs(row):
                path.rect((x + start * side) * mm, bottom, count * side * mm, side * mm)
        self.canvas.drawPath(path, stroke=0, fill=1)

    def head(self, left: float, words: str) -> None:
        """The check bar and what it is for."""
        self.canvas.setLineWidth(0.8)
        self.line(left, BAR_Y, left + BAR, BAR_Y)
        for x in (left, left + BAR):
            self.line(x, BAR_Y - 2, x, BAR_Y + 2)
        for down, text in enumerate((str(BAR_WORDS), str(CARE), words)):
            self.text(left + BAR + 4, BAR_Y - 1.5 + 3.6 * down, text, PLAIN, HEAD_POINTS)

    def label(self, x: float, y: float, label: Label, size: Size) -> None:
        self.squares(x + size.code_x, y + size.code_y, code(label, size), size.edge)
        room = size.width - 2 * SIDE
        self.text(x + SIDE, y + size.tag_y, label.tag, BOLD, size.tag_points, width=room)
        for down, text in zip(size.lines_y, label.lines, strict=True):
            if text:
                self.text(x + SIDE, y + down, text, PLAIN, size.line_points, width=room)

    def cuts(self, cells: Grid, count: int) -> None:
        self.canvas.setLineWidth(0.25)
        for x, y in cells.crossings(count):
            self.line(x - CROSS, y, x + CROSS, y)
            self.line(x, y - CROSS, x, y + CROSS)


def _runs(row: bytes) -> list[tuple[int, int]]:
    """Start and length of each run of dark squares."""
    runs: list[tuple[int, int]] = []
    for at, dark in enumerate(row):
        if dark and runs and runs[-1][0] + runs[-1][1] == at:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        elif dark:
            runs.append((at, 1))
    return runs


def _fit(text: str, font: str, points: float, width: float) -> tuple[float, str]:
    """Down to two thirds of the type size, then cut short: a line that nobody can read says nothing."""
    needed = pdfmetrics.stringWidth(text, font, points) / mm
    if needed <= width:
        return points, text
    smaller = max(points * 2 / 3, points * width / needed)
    while pdfmetrics.stringWidth(text, font, smaller) / mm > width + 1e-6 and len(text) > 1:
        text = text.rstrip("…")[:-1].rstrip() + "…"
    return smaller, text


def sheet(labels: Sequence[Label], size: Size, paper: Paper, title: str) -> bytes:
    """The PDF of these tags, in their order; the sheet's own words in the language that is active.

    Raises
    ------
    ValueError
        For no tags, or more than ``MOST``.
    """
    if not 1 <= len(labels) <= MOST:
        raise ValueError(f"a file holds 1 to {MOST} tags, not {len(labels)}")
    cells = grid(paper, size)
    pages = -(-len(labels) // cells.places)
    facts = {"title": title, "size": size.name, "pages": pages}
    out = Sheet(paper, title)
    for page in range(pages):
        part = labels[page * cells.places : (page + 1) * cells.places]
        out.head(cells.left, said("{title}: {size}, page {page} of {pages}", **facts, page=page + 1))
        out.cuts(cells, len(part))
        for at, label in enumerate(part):
            out.label(*cells.corner(at), label, size)
        out.canvas.showPage()
    out.canvas.save()
    return out.file.getvalue()
