"""From a list to records: check every row, then write all in one go."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID, uuid4

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from nursery.journal import compose, take_in
from nursery.models import Bench, Site, Species, Tree
from nursery.sentences import english

from . import cells, table
from .cells import WrongCell
from .table import Column, Fault, ListRefused, Row, Table


@dataclass
class Line:
    """One tree of the list, understood."""

    line: int
    tag: str = ""
    species: str = ""
    sown_year: int | None = None
    bench: str = ""
    row: int | None = None
    place: int | None = None
    phase: str | None = None
    caliper: float | None = None
    target_height: float | None = None
    target_base: float | None = None
    note: str = ""
    #: Columns whose cells were wrong, told already.
    wrong: set[str] = field(default_factory=set)


@dataclass
class Brought:
    """What came in."""

    trees: int
    benches: list[str]
    left_out: list[str]


@dataclass
class _Known:
    """What the nursery holds already."""

    species: cells.SpeciesBook
    tags: set[str]
    benches: dict[str, Bench]
    taken: dict[tuple[str, int, int], str] = field(default_factory=dict)

    @classmethod
    def look(cls) -> "_Known":
        benches: dict[str, Bench] = {}
        for bench in Bench.objects.order_by("walk_order", "name", "id"):
            benches.setdefault(bench.name.casefold(), bench)
        known = cls(cells.SpeciesBook(Species.objects.all()), set(), benches)
        rows = Tree.objects.filter(left_how="").values_list("tag", "bench__name", "row", "place")
        for tag, bench_name, row, place in rows:
            known.tags.add(tag.casefold())
            if bench_name is not None and row and place:
                known.taken[bench_name.casefold(), row, place] = tag
        return known


def bring_in(data: bytes, *, now: datetime | None = None) -> Brought:
    """Bring a list of trees in.

    Parameters
    ----------
    data : the file as it is: CSV in UTF-8, separated by comma, semicolon or tab, headings first.
    now : when the caliper was read and the trees were put down; the moment of the import unless given.

    Raises
    ------
    ListRefused : with each fault's line, column and mend; then nothing was written.
    """
    now = now or timezone.now()
    read = table.read(data)
    # One transaction, so that no phone's push can take a tag between the check and the writing.
    with transaction.atomic():
        known = _Known.look()
        lines, faults = _understand(read, known, now.year)
        if faults:
            raise ListRefused(faults)
        made = _benches_needed(lines, known)
        records = list(_records(lines, made, known, now))
        for result in take_in(records, now=now):
            if result.outcome != "stored":
                why = f"{english(result.message) or result.reason}."
                raise ListRefused([Fault(0, result.field, why, english(result.mend))])
    return Brought(len(lines), [bench.name for bench in made.values()], read.left_out)


def _understand(read: Table, known: _Known, this_year: int) -> tuple[list[Line], list[Fault]]:
    faults: list[Fault] = []
    lines = []
    tags: dict[str, int] = {}
    places: dict[tuple[str, int, int], int] = {}
    for row in read.rows:
        line = _line(read, row, known, this_year, faults)
        lines.append(line)
        faults += _twins(read, line, tags, places, known)
    return lines, sorted(faults, key=lambda fault: fault.line)


def _line(read: Table, row: Row, known: _Known, this_year: int, faults: list[Fault]) -> Line:
    line = Line(row.line)
    for name, column in read.columns.items():
        try:
            value = _cell(name, row.cells[column.index].strip(), column, read, known, this_year)
        except WrongCell as wrong:
            faults.append(Fault(row.line, str(column), wrong.message, wrong.mend))
            line.wrong.add(name)
        else:
            setattr(line, name, value)
    return line


def _cell(name: str, cell: str, column: Column, read: Table, known: _Known, this_year: int) -> object:
    comma = read.decimal_comma
    match name:
        case "tag":
            return cells.tag(cell)
        case "species":
            return known.species.find(cell)
        case "sown_year":
            return cells.whole(cell, 1800, this_year)
        case "row" | "place":
            return cells.whole(cell, 1, 200)
        case "phase":
            return cells.phase(cell)
        case "caliper":
            return cells.millimetres(cell, 0.1, 1000, scale=column.scale, decimal_comma=comma)
        case "target_height":
            return cells.millimetres(cell, 10, 10_000, scale=column.scale, decimal_comma=comma)
        case "target_base":
            return cells.millimetres(cell, 1, 2000, scale=column.scale, decimal_comma=comma)
        case _:
            return cells.text(cell, 60 if name == "bench" else 2000)


def _twins(
    read: Table,
    line: Line,
    tags: dict[str, int],
    places: dict[tuple[str, int, int], int],
    known: _Known,
) -> Iterator[Fault]:
    """Faults of a row beside others: a tag or a place used twice, a place that is not whole or not there."""
    tag = line.tag.casefold()
    if tag in known.tags:
        said = f'tag "{line.tag}" is there already.'
        yield Fault(line.line, str(read.columns["tag"]), said, "Take this line out, or give another tag.")
        return  # its place is most likely taken by itself
    if tag in tags:
        said = f'tag "{line.tag}" is also on line {tags[tag]}.'
        yield Fault(line.line, str(read.columns["tag"]), said, "Give each tree a tag of its own.")
    if tag:
        tags.setdefault(tag, line.line)
    yield from _place_faults(read, line, places, known)


def _place_faults(
    read: Table, line: Line, places: dict[tuple[str, int, int], int], known: _Known
) -> Iterator[Fault]:
    given = [name for name in ("bench", "row", "place") if getattr(line, name)]
    if not given or line.wrong & {"bench", "row", "place"}:
        return
    if len(given) < 3:
        missing = next(name for name in ("bench", "row", "place") if name not in given)
        at = str(read.columns.get(missing) or read.columns[given[0]])
        mend = "Give bench, row and place, or leave all three empty."
        yield Fault(line.line, at, f"the {missing} is missing.", mend)
        return
    row, place = line.row or 0, line.place or 0
    spot = (line.bench.casefold(), row, place)
    at = str(read.columns["place"])
    bench = known.benches.get(spot[0])
    if bench and (row > bench.rows or place > bench.places):
        said = f"bench {bench.name} ends at row {bench.rows}, place {bench.places}."
        yield Fault(line.line, at, said, "Correct the place, or make the bench larger first.")
    elif spot in known.taken:
        yield Fault(line.line, at, f'tree "{known.taken[spot]}" stands there.', "Give another place.")
    elif spot in places:
        yield Fault(line.line, at, f"line {places[spot]} has the same place.", "Give another place.")
    places.setdefault(spot, line.line)


def _benches_needed(lines: list[Line], known: _Known) -> dict[str, Bench]:
    """New benches, as large as the rows and places used."""
    made: dict[str, Bench] = {}
    first = max((bench.walk_order for bench in known.benches.values()), default=0) + 1
    for line in lines:
        key = line.bench.casefold()
        if not key or key in known.benches:
            continue
        bench = made.setdefault(
            key, Bench(id=uuid4(), name=line.bench, rows=1, places=1, walk_order=first + len(made))
        )
        bench.rows = max(bench.rows, line.row or 1)
        bench.places = max(bench.places, line.place or 1)
    return made


def _records(
    lines: list[Line], made: dict[str, Bench], known: _Known, now: datetime
) -> Iterator[dict[str, object]]:
    site = Site.objects.order_by("name", "id").first()
    site_id = site.id if site else uuid4()
    if made and site is None:
        body: dict[str, object] = {"site": str(site_id), "name": "Nursery", "time_zone": settings.TIME_ZONE}
        yield compose("site_set", body, at=now)
    for bench in made.values():
        size: dict[str, object] = {"rows": bench.rows, "places": bench.places, "walk_order": bench.walk_order}
        body = {"bench": str(bench.id), "site": str(site_id), "name": bench.name, **size}
        yield compose("bench_set", body, at=now)
    stands = known.benches | made
    for line in lines:
        yield from _records_of(line, stands.get(line.bench.casefold()), now)


def _records_of(line: Line, bench: Bench | None, now: datetime) -> Iterator[dict[str, object]]:
    tree: UUID = uuid4()
    new = {"tag": line.tag, "species": line.species, "sown_year": line.sown_year, "phase": line.phase}
    yield compose("tree_new", {k: v for k, v in new.items() if v is not None}, tree=tree, at=now)
    if bench is not None:
        where = {"bench": str(bench.id), "row": line.row, "place": line.place}
        yield compose("tree_move", where, tree=tree, at=now)
    if line.target_height is not None or line.target_base is not None:
        target = {"height_mm": line.target_height, "base_mm": line.target_base}
        yield compose("target_set", {k: v for k, v in target.items() if v is not None}, tree=tree, at=now)
    if line.caliper is not None:
        yield compose("caliper", {"mm": line.caliper}, tree=tree, at=now)
    if line.note:
        yield compose("note", {"text": line.note}, tree=tree, at=now)
