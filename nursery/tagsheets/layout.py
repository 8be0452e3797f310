"""Where everything stands on a sheet. All lengths in millimetres, from the paper's upper left corner down."""

from collections.abc import Iterator
from dataclasses import dataclass

#: Tags in one file: some seconds of work for the shed, which answers nobody else meanwhile.
MOST = 1000
#: Kept free at the sides and the foot: no office printer prints there.
MARGIN = 8.0
#: The head of the page: check bar and words.
HEAD = 20.0
BAR = 50.0
BAR_Y = 9.0


@dataclass(frozen=True)
class Paper:
    """A sheet of paper."""

    name: str
    width: float
    height: float


@dataclass(frozen=True)
class Size:
    """One size of tag.

    ``edge`` is that of the code without its quiet margin; it stands ``code_y`` below the tag's upper edge,
    in the middle of its width. ``tag_y`` and ``lines_y`` are base lines; type sizes in points. What is left
    below the last line goes into the soil, or behind a clip.
    """

    name: str
    width: float
    height: float
    edge: float
    code_y: float
    tag_y: float
    tag_points: float
    lines_y: tuple[float, float]
    line_points: float

    @property
    def code_x(self) -> float:
        return (self.width - self.edge) / 2


PAPERS = {
    "a4": Paper("A4", 210.0, 297.0),
    "letter": Paper("Letter", 215.9, 279.4),
}
SIZES = {
    "20x50": Size("20 × 50 mm", 20.0, 50.0, 14.0, 3.0, 24.0, 12.0, (28.0, 31.0), 6.5),
    "30x60": Size("30 × 60 mm", 30.0, 60.0, 22.0, 4.0, 36.0, 18.0, (41.0, 45.0), 8.0),
    "40x80": Size("40 × 80 mm", 40.0, 80.0, 30.0, 5.0, 48.0, 24.0, (54.0, 59.0), 10.0),
}


@dataclass(frozen=True)
class Grid:
    """The tags of one page: side by side with no gap, so that one cut parts two of them."""

    columns: int
    rows: int
    left: float
    top: float
    size: Size

    @property
    def places(self) -> int:
        return self.columns * self.rows

    def corner(self, at: int) -> tuple[float, float]:
        """The upper left corner of the ``at``-th tag of a page, along the rows."""
        row, column = divmod(at, self.columns)
        return self.left + column * self.size.width, self.top + row * self.size.height

    def crossings(self, count: int) -> Iterator[tuple[float, float]]:
        """Where the cuts around the first ``count`` tags cross, each once."""
        seen: set[tuple[int, int]] = set()
        for at in range(count):
            row, column = divmod(at, self.columns)
            seen |= {(column + across, row + down) for across in (0, 1) for down in (0, 1)}
        for column, row in sorted(seen):
            yield self.left + column * self.size.width, self.top + row * self.size.height


def grid(paper: Paper, size: Size) -> Grid:
    """As many tags as the paper holds, in the middle of its width."""
    columns = int((paper.width - 2 * MARGIN) // size.width)
    rows = int((paper.height - HEAD - MARGIN) // size.height)
    return Grid(columns, rows, (paper.width - columns * size.width) / 2, HEAD, size)
