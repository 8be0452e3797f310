"""Reads a grower's list: what bytes, which separator, which heading means what."""

import csv
import io
import re
from dataclasses import dataclass

from nursery.errors import MishoError

#: Told at once; a list with more faults than this has one fault that repeats.
MOST_TOLD = 50
MOST_BYTES = 20 * 1024 * 1024

#: What growers call the columns. Compared in lower case, without unit, signs and spaces.
HEADINGS = {
    "tag": ("tag", "label", "treetag", "tree", "treeno", "treenumber", "number", "no", "id"),
    "species": ("species", "kind", "speciesname", "latin", "latinname", "variety"),
    "sown_year": ("sownyear", "sown", "yearsown", "sowingyear", "sowyear", "seedyear", "year"),
    "bench": ("bench", "benchname", "table", "stand"),
    "row": ("row", "benchrow", "rowno"),
    "place": ("place", "position", "pos", "spot", "slot", "placeno"),
    "phase": ("phase", "stage"),
    "caliper": ("caliper", "calliper", "calipers", "diameter", "trunk", "trunkdiameter", "basediameter"),
    "target_height": ("targetheight", "heighttarget", "goalheight", "finalheight", "target"),
    "target_base": ("targetbase", "targetdiameter", "targetcaliper", "basetarget"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
}
NEEDED = ("tag", "species")
_MEANING = {word: column for column, words in HEADINGS.items() for word in words}
_UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4, "inch": 25.4, "inches": 25.4}
_SEPARATORS = (",", ";", "\t")


@dataclass(frozen=True)
class Fault:
    """One thing to mend in the list."""

    line: int
    column: str  # as the list heads it, with its number; "" for the whole line
    message: str
    mend: str

    def __str__(self) -> str:
        where = f"line {self.line}, column {self.column}" if self.column else f"line {self.line}"
        return f"{where}: {self.message} {self.mend}".strip()


class ListRefused(MishoError):
    """The list has faults, and nothing of it was brought in. ``faults`` holds the first MOST_TOLD."""

    code = "list_refused"

    def __init__(self, faults: list[Fault]) -> None:
        many = len(faults)
        told = f" (the first {MOST_TOLD} are told)" if many > MOST_TOLD else ""
        super().__init__(
            f"{many} thing{'s' if many > 1 else ''} to mend{told}; nothing was brought in.",
            field=faults[0].column,
            mend="Mend the list and bring it in again.",
        )
        self.faults = faults[:MOST_TOLD]
        self.total = many


@dataclass(frozen=True)
class Column:
    index: int
    heading: str
    scale: float = 1.0  # to millimetres, from the unit in the heading

    def __str__(self) -> str:
        return f"{self.index + 1} ({self.heading})"


@dataclass(frozen=True)
class Row:
    line: int
    cells: list[str]


@dataclass(frozen=True)
class Table:
    columns: dict[str, Column]
    rows: list[Row]
    #: Headings that mean nothing to us: told, and left out.
    left_out: list[str]
    #: With semicolons or tabs between the cells, a comma may be the decimal sign.
    decimal_comma: bool


def read(data: bytes) -> Table:
    """Read a list.

    Raises
    ------
    ListRefused : not UTF-8, no headings that are understood, rows that are longer than the headings.
    """
    text = _decode(data)
    first, text = _skip_separator_line(text)
    separator = max(_SEPARATORS, key=lambda sep: _understood(text, sep))
    faults: list[Fault] = []
    columns: dict[str, Column] = {}
    left_out: list[str] = []
    rows: list[Row] = []
    width = 0
    for row in _rows(text, separator, first):
        if not columns:
            columns, left_out, faults = _headings(row)
            width = len(row.cells)
            if faults:
                break
        elif any(cell.strip() for cell in row.cells[width:]):
            faults.append(
                Fault(
                    row.line,
                    "",
                    f"it has {len(row.cells)} cells, but there are {width} headings.",
                    f'Put text that holds "{separator}" between double quotes.',
                )
            )
        else:
            rows.append(Row(row.line, row.cells + [""] * (width - len(row.cells))))
    if not faults and not rows:
        faults.append(
            Fault(1, "", "the list holds no trees.", "Give one line with headings, then one line a tree.")
        )
    if faults:
        raise ListRefused(faults)
    return Table(columns, rows, left_out, decimal_comma=separator != ",")


def _decode(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        raise ListRefused([Fault(1, "", "the file is larger than 20 MB.", "Bring it in in parts.")])
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = data.count(b"\n", 0, wrong.start) + 1
        raise ListRefused([_not_utf8(line)]) from wrong
    if "\0" in text:
        raise ListRefused([_not_utf8(1)])
    return text


def _not_utf8(line: int) -> Fault:
    return Fault(line, "", "the file is not UTF-8 text.", 'Save it again as "CSV UTF-8".')


def _skip_separator_line(text: str) -> tuple[int, str]:
    """Some spreadsheets write ``sep=;`` on a line of its own before the headings."""
    head, _, rest = text.partition("\n")
    return (1, rest) if head.strip().lower().startswith("sep=") else (0, text)


def _understood(text: str, separator: str) -> tuple[int, int]:
    cells = next(iter(_rows(text, separator, 0)), Row(1, [])).cells
    return sum(_meaning(cell)[0] is not None for cell in cells), len(cells)


def _rows(text: str, separator: str, first: int) -> list[Row]:
    """All lines that hold something, each with the number of the line it begins on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    rows = []
    line = first + 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                rows.append(Row(line, cells))
            line = first + reader.line_num + 1
    except csv.Error as wrong:
        raise ListRefused(
            [Fault(line, "", f"it can't be read: {wrong}.", "Look for a stray double quote.")]
        ) from wrong
    return rows


def _meaning(heading: str) -> tuple[str | None, float]:
    """The column that a heading means, and the scale of its unit to millimetres."""
    words = re.findall(r"[^\W_]+", heading.casefold())
    scale = 1.0
    if len(words) > 1 and words[-1] in _UNITS:
        scale = _UNITS[words.pop()]
    return _MEANING.get("".join(words)), scale


def _headings(row: Row) -> tuple[dict[str, Column], list[str], list[Fault]]:
    columns: dict[str, Column] = {}
    left_out, faults = [], []
    for index, cell in enumerate(row.cells):
        meaning, scale = _meaning(cell)
        column = Column(index, cell.strip(), scale)
        if meaning is None:
            left_out += [column.heading] if column.heading else []
        elif meaning in columns:
            twin = columns[meaning]
            faults.append(
                Fault(row.line, str(column), f"it means the same as column {twin}.", "Keep one of the two.")
            )
        else:
            columns[meaning] = column
    for name in NEEDED:
        if name not in columns:
            mend = f"Head a column with: {', '.join(HEADINGS[name][:3])}."
            faults.append(Fault(row.line, "", f"no column is headed {name}.", mend))
    return columns, left_out, faults
