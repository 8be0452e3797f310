"""Benches: what is to do on each, and one bench as it stands."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime
from uuid import UUID

from django.db.models import Count, Max, Q, QuerySet, TextField
from django.db.models.functions import Cast

from nursery import practice
from nursery.models import Bench, ChecklistRun, Standing, Tree, WireState
from nursery.sentences import said

from . import words

#: Places shown at once. A larger bench is shown some rows at a time.
CELLS = 2000


def due_text() -> Cast:
    """``Standing.due`` as text: one way to count by what is due that SQLite and PostgreSQL both know."""
    return Cast("due", TextField())


def due_is(what: str) -> Q:
    """A filter on the ``due_text`` annotation. Both databases write one space after the colon."""
    return Q(due_text__contains=f'"what": "{what}"')


@dataclass(frozen=True)
class BenchRow:
    """One bench: what stands on it and what is to do there. ``any_due`` counts trees, not things."""

    id: UUID
    name: str
    site: str
    rows: int
    places: int
    trees: int
    any_due: int
    wires: int
    dry: int
    ready: int
    walked: datetime | None

    @property
    def free(self) -> int:
        return max(0, self.rows * self.places - self.trees)


def benches(today: date) -> list[BenchRow]:
    """All benches in walking order. Four queries."""
    mark = practice.ready()
    counts = {
        c["tree__bench"]: c
        for c in Standing.objects.filter(tree__left_how="", tree__bench__isnull=False)
        .order_by()
        .annotate(due_text=due_text())
        .values("tree__bench")
        .annotate(
            n=Count("tree"),
            any_due=Count("tree", filter=~Q(due_text="[]") | Q(wire_look_by__lte=today)),
            wires=Count("tree", filter=Q(wire_look_by__lte=today)),
            dry=Count("tree", filter=due_is("soil")),
            ready=Count("tree", filter=Q(readiness__gte=mark)),
        )
    }
    walked = dict(
        ChecklistRun.objects.order_by()
        .values("bench")
        .annotate(at=Max("started_at"))
        .values_list("bench", "at")
    )
    none = {"n": 0, "any_due": 0, "wires": 0, "dry": 0, "ready": 0}
    return [
        BenchRow(
            b.id, b.name, b.site.name, b.rows, b.places,
            c["n"], c["any_due"], c["wires"], c["dry"], c["ready"], walked.get(b.id),
        )
        for b in Bench.objects.select_related("site").order_by("walk_order", "name", "id")
        for c in [counts.get(b.id, none)]
    ]  # fmt: skip


@dataclass(frozen=True)
class Stander:
    """A tree at its place: its tag, and in a word or two what it asks for."""

    id: UUID
    tag: str
    species: str
    phase: str
    state: str
    words: str


@dataclass(frozen=True)
class BenchLine:
    """One row of the bench. Odd rows are walked from place 1 up, even rows back."""

    row: int
    onward: bool
    cells: list[list[Stander]]


@dataclass(frozen=True)
class BenchAsItStands:
    """Rows ``first`` to ``last`` of a bench, place 1 on the left, and the trees that fall off the grid."""

    id: UUID
    name: str
    site: str
    rows: int
    places: int
    first: int
    last: int
    before: int
    after: int
    trees: int
    due: int
    lines: list[BenchLine]
    off_grid: list[Stander] = field(default_factory=list)
    walked: datetime | None = None

    @property
    def numbers(self) -> list[int]:
        return list(range(1, self.places + 1))


def stander(tree: Tree, today: date, mark: float) -> Stander:
    """A tree whose standing and species were fetched with it. State is "stop", "due" or "plain"."""
    standing: Standing | None = getattr(tree, "standing", None)
    state, told = "plain", ""
    if standing is not None:
        due = [d["what"] for d in standing.due]
        if standing.wire_look_by and standing.wire_look_by <= today and "wire" not in due:
            due.insert(0, "wire")
        if standing.wire_state in ("biting", "sunk_in"):
            state, told = "stop", str(WireState(standing.wire_state).label)
        elif due:
            first = str(words.DUE.get(due[0], due[0]))
            state, told = "due", first if len(due) == 1 else f"{first} +{len(due) - 1}"
        elif standing.readiness is not None and standing.readiness >= mark:
            state, told = "ready", said("ready")
    return Stander(tree.id, tree.tag, tree.species.called, tree.get_phase_display(), state, told)


def bench(id: UUID, today: date, first: int = 1) -> BenchAsItStands:
    """One bench from row ``first``. Four queries (bench, walk, trees, practice).

    Raises ``Bench.DoesNotExist`` for an unknown id.
    """
    b = Bench.objects.select_related("site").get(pk=id)
    walked = ChecklistRun.objects.filter(bench=b).order_by().aggregate(at=Max("started_at"))["at"]
    step = max(1, CELLS // b.places)
    first = (min(max(1, first), b.rows) - 1) // step * step + 1
    last = min(b.rows, first + step - 1)
    at: dict[tuple[int, int], list[Stander]] = defaultdict(list)
    off: list[Stander] = []
    trees = list(_on(b))
    due, mark = 0, practice.ready()
    for tree in trees:
        s = stander(tree, today, mark)
        due += s.state in ("due", "stop")
        if tree.row is None or tree.place is None or tree.row > b.rows or tree.place > b.places:
            off.append(s)
        else:
            at[tree.row, tree.place].append(s)
    lines = [
        BenchLine(r, r % 2 == 1, [at[r, p] for p in range(1, b.places + 1)]) for r in range(first, last + 1)
    ]
    return BenchAsItStands(
        b.id, b.name, b.site.name, b.rows, b.places, first, last,
        max(1, first - step) if first > 1 else 0, last + 1 if last < b.rows else 0,
        len(trees), due, lines, off, walked,
    )  # fmt: skip


def _on(b: Bench) -> "QuerySet[Tree]":
    return (
        Tree.objects.filter(bench=b, left_how="")
        .select_related("species", "standing")
        .order_by("row", "place", "tag")
    )


def free_places(id: UUID) -> list[tuple[int, int]]:
    """The empty (row, place) of a bench in walking order. Two queries; raises ``Bench.DoesNotExist``."""
    b = Bench.objects.get(pk=id)
    taken = set(Tree.objects.filter(bench=b, left_how="").values_list("row", "place"))
    return [
        (r, p)
        for r in range(1, b.rows + 1)
        for p in (range(1, b.places + 1) if r % 2 else range(b.places, 0, -1))
        if (r, p) not in taken
    ]
