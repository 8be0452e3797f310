"""Sheets of tags, printed to pixels and read back.

References: ZXing-C++ as decoder and PDFium as printer, neither of which the shed uses; ISO/IEC 18004 for the
quiet margin of four squares.
"""

from uuid import UUID

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from django.utils import translation

from nursery.science.tags import make
from nursery.tagsheets import MOST, PAPERS, SIZES, Label, sheet

DPI = 200
MM = DPI / 25.4
#: How far from its place anything may stand [mm].
NEAR = 0.5


def tree(n: int) -> UUID:
    return UUID(int=(0x0199D2F07C1A7B3E8A55 << 48) | (n * 2654435761 % 2**32))


def labels(count: int) -> list[Label]:
    return [Label(tree(n), make("K", n), ("Japanese black pine", "lot JBP-21")) for n in range(1, count + 1)]


def printed(pdf: bytes) -> "list[np.ndarray]":
    """The pages as grey pixels at 200 dpi."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [p.render(scale=DPI / 72, grayscale=True).to_numpy().squeeze() for p in document]


def corners(code: zxingcpp.Barcode) -> "np.ndarray":
    """Upper left, upper right, lower right, lower left [mm]."""
    p = code.position
    return np.array([(c.x / MM, c.y / MM) for c in (p.top_left, p.top_right, p.bottom_right, p.bottom_left)])


#: Tags a page, and where the codes of the first and of the last tag of a full page begin [mm].
LAYOUT = {
    ("20x50", "a4"): (45, (18.0, 23.0), (178.0, 223.0)),
    ("20x50", "letter"): (45, (20.95, 23.0), (180.95, 223.0)),
    ("30x60", "a4"): (24, (19.0, 24.0), (169.0, 204.0)),
    ("30x60", "letter"): (24, (21.95, 24.0), (171.95, 204.0)),
    ("40x80", "a4"): (12, (30.0, 25.0), (150.0, 185.0)),
    ("40x80", "letter"): (12, (32.95, 25.0), (152.95, 185.0)),
}
EDGE = {"20x50": 14.0, "30x60": 22.0, "40x80": 30.0}


@pytest.mark.parametrize(("size", "paper"), LAYOUT)
def test_each_code_is_read_back_at_its_place(size: str, paper: str) -> None:
    count, first, last = LAYOUT[size, paper]
    given = labels(count + 1)
    pages = printed(sheet(given, SIZES[size], PAPERS[paper], "South bench"))
    read = [zxingcpp.read_barcodes(page) for page in pages]
    assert [len(codes) for codes in read] == [count, 1]
    at = {code.text: corners(code) for codes in read for code in codes}
    edge = EDGE[size]
    assert set(at) == {f"MISHO.{edge * 10:.0f}.{g.tree.hex[-8:].upper()}.{g.tag}" for g in given}
    for text, where in (("K001N", first), (given[count - 1].tag, last), (given[count].tag, first)):
        square = np.array(where) + edge * np.array([(0, 0), (1, 0), (1, 1), (0, 1)])
        found = next(points for name, points in at.items() if name.endswith(f".{text}"))
        assert np.abs(found - square).max() < NEAR


@pytest.mark.parametrize(("paper", "left"), [("a4", 15.0), ("letter", 17.95)])
def test_the_check_bar_measures_50_mm_and_says_so(paper: str, left: float) -> None:
    pdf = sheet(labels(1), SIZES["30x60"], PAPERS[paper], "South bench")
    page = printed(pdf)[0]
    dark = np.flatnonzero(page[round(9.0 * MM)] < 128)
    # The bar is the first dark run of its line; the words beside it stand off by more than 2 mm.
    bar = np.split(dark, np.flatnonzero(np.diff(dark) > 2 * MM) + 1)[0] / MM
    assert abs(bar[0] - left) < NEAR
    assert abs(bar[-1] - bar[0] - 50) < NEAR
    with pypdfium2.PdfDocument(pdf) as document:
        said = document[0].get_textpage().get_text_range()
    assert "This bar must measure 50 mm. If it does not, print again at 100%" in said
    assert "Cut on a mat, away from your fingers." in said


def test_a_tag_reads_as_itself_beside_its_code() -> None:
    given = Label(tree(7), "K041D", ("Japanese black pine", "lot JBP-21, sown 2021"))
    with pypdfium2.PdfDocument(sheet([given], SIZES["40x80"], PAPERS["a4"], "K041D")) as document:
        lines = document[0].get_textpage().get_text_range().splitlines()
    assert lines[-3:] == ["K041D", "Japanese black pine", "lot JBP-21, sown 2021"]


OWN_TAGS = ["7", "Old pine 7", "\u677e-1", "\u4e94\u8449\u677e" * 5, "Bl\u00e4tter 3", "ZZZ99997"]


@pytest.mark.parametrize("size", EDGE)
def test_a_growers_own_tags_are_read_too_and_leave_the_quiet_margin(size: str) -> None:
    given = [Label(tree(n), tag) for n, tag in enumerate(OWN_TAGS)]
    [page] = printed(sheet(given, SIZES[size], PAPERS["a4"], "own"))
    read = sorted(
        zxingcpp.read_barcodes(page), key=lambda code: (code.position.top_left.y, code.position.top_left.x)
    )
    edge = EDGE[size]
    assert {code.text for code in read} == {
        f"MISHO.{edge * 10:.0f}.{g.tree.hex[-8:].upper()}.{g.tag}" for g in given
    }
    for code in read:
        square = edge / (17 + 4 * int(code.extra["Version"]))
        assert (SIZES[size].width - edge) / 2 >= 4 * square


def test_the_cuts_cross_at_the_corners_of_the_tags_only() -> None:
    page = printed(sheet(labels(2), SIZES["30x60"], PAPERS["a4"], "two"))[0]
    for x, y in ((15.0, 20.0), (45.0, 20.0), (75.0, 20.0), (15.0, 80.0), (75.0, 80.0)):
        arm = page[round(y * MM) - 1 : round(y * MM) + 2, round((x + 0.7) * MM)]
        assert arm.min() < 200, (x, y)
    assert page[round(20 * MM) - 1 : round(20 * MM) + 2, round(105.7 * MM)].min() == 255


def test_the_same_tags_give_the_same_file() -> None:
    files = {sheet(labels(3), SIZES["30x60"], PAPERS["a4"], "same") for _ in range(2)}
    assert len(files) == 1


@pytest.mark.parametrize("count", [0, MOST + 1])
def test_no_tags_and_too_many_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"a file holds 1 to 1000 tags, not {count}"):
        sheet(labels(count) if count < 9999 else [], SIZES["30x60"], PAPERS["a4"], "none")


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ["This bar must measure 50 mm.", "Cut on a mat", "Südtisch: 30 × 60 mm, page 1 of 1"]),
        (
            "de",
            ["Dieser Balken muss 50 mm lang sein.", "Auf einer Matte", "Südtisch: 30 × 60 mm, Seite 1 von 1"],
        ),
    ],
)
def test_the_sheets_own_words_are_in_the_readers_language(language: str, said: list[str]) -> None:
    with translation.override(language):
        pdf = sheet(labels(1), SIZES["30x60"], PAPERS["a4"], "Südtisch")
    with pypdfium2.PdfDocument(pdf) as document:
        words = document[0].get_textpage().get_text_range()
    assert [one for one in said if one not in words] == []
