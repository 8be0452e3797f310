"""The boards: ready by gate, held back by what, wires to look at."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.db.models import Count, F, Min, Q, QuerySet

from nursery import practice
from nursery.models import Standing, WireState
from nursery.sentences import said, say

from . import words
from .pages import Page, cut


@dataclass(frozen=True)
class BoardRow:
    """One tree on a board. ``readiness`` is P(all criteria of the gate met), null where no gate is left."""

    id: UUID
    tag: str
    species: str
    phase: str
    bench_id: UUID | None
    bench: str
    row: int | None
    place: int | None
    as_of: date
    gate: str
    readiness: float | None
    ready: bool
    held: str
    why: str
    do: str


@dataclass(frozen=True)
class GateCount:
    """How one gate stands: trees before it, ready ones, and those held back by what nobody looked at."""

    gate: words.GateWords
    trees: int
    ready: int
    not_looked: int


@dataclass(frozen=True)
class HeldCount:
    """One criterion, and how many trees it holds back."""

    criterion: words.CriterionWords
    trees: int
    not_looked: int

    @property
    def seen(self) -> int:
        """Held back by what somebody saw."""
        return self.trees - self.not_looked


def here() -> "QuerySet[Standing]":
    """Standings of the trees that are still in the nursery."""
    return Standing.objects.filter(tree__left_how="")


def why_held(standing: Standing) -> str:
    """The reason that the roll-up gave for the criterion that holds the tree back."""
    for criterion in standing.criteria:
        if criterion.get("name") == standing.held_by:
            return say(criterion.get("why", ""))
    return ""


def board_row(standing: Standing, mark: float) -> BoardRow:
    """A standing whose tree, species and bench were fetched with it, as a row; ready from ``mark`` on."""
    tree = standing.tree
    p = standing.readiness
    ready = p is not None and p >= mark
    held_by, blind = standing.held_by, standing.held_not_looked
    return BoardRow(
        id=tree.id,
        tag=tree.tag,
        species=tree.species.called,
        phase=tree.get_phase_display(),
        bench_id=tree.bench_id,
        bench=tree.bench.name if tree.bench else "",
        row=tree.row,
        place=tree.place,
        as_of=standing.as_of,
        gate=standing.gate,
        readiness=standing.readiness,
        ready=ready,
        held="" if ready else words.held_words(held_by, blind, p),
        why=why_held(standing),
        do=words.next_step(
            *(standing.gate, ready, held_by, blind, p),
            wire_on=standing.wire_on_since is not None,
            target=tree.has_target,
        ),
    )


def _rows(mark: float) -> Callable[[Iterable[Standing]], list[BoardRow]]:
    return lambda standings: [board_row(s, mark) for s in standings]


def gates() -> list[GateCount]:
    """Every gate in order, those with no tree too. Two queries."""
    mark = practice.ready()
    counted = {
        row["gate"]: row
        for row in here()
        .order_by()
        .values("gate")
        .annotate(
            n=Count("tree"),
            ready=Count("tree", filter=Q(readiness__gte=mark)),
            blind=Count("tree", filter=Q(held_not_looked=True) & ~Q(readiness__gte=mark)),
        )
    }
    none = {"n": 0, "ready": 0, "blind": 0}
    return [
        GateCount(gate, c["n"], c["ready"], c["blind"])
        for name, gate in words.GATES.items()
        for c in [counted.get(name, none)]
    ]


def ready(gate: str, number: int = 1) -> Page[BoardRow]:
    """The trees before a gate, the readiest first. Three queries."""
    mark = practice.ready()
    query = (
        here()
        .filter(gate=gate)
        .select_related("tree__species", "tree__bench")
        .order_by(F("readiness").desc(nulls_last=True), "tree__tag", "tree_id")
    )
    return cut(query, number, _rows(mark))


def held_counts() -> list[HeldCount]:
    """What holds trees back, by gate in order, the commonest first within a gate. Two queries."""
    mark = practice.ready()
    counted = (
        here()
        .filter(held_by__in=words.CRITERIA)
        .exclude(readiness__gte=mark)
        .order_by()
        .values("held_by")
        .annotate(n=Count("tree"), blind=Count("tree", filter=Q(held_not_looked=True)))
    )
    order = list(words.GATES)
    rows = [HeldCount(words.CRITERIA[c["held_by"]], c["n"], c["blind"]) for c in counted]
    return sorted(rows, key=lambda r: (order.index(r.criterion.gate), -r.trees, r.criterion.name))


def held(criterion: str, number: int = 1) -> Page[BoardRow]:
    """The trees that one criterion holds back, the nearest to ready first. Three queries."""
    mark = practice.ready()
    query = (
        here()
        .filter(held_by=criterion)
        .exclude(readiness__gte=mark)
        .select_related("tree__species", "tree__bench")
        .order_by("held_not_looked", F("readiness").desc(nulls_last=True), "tree__tag", "tree_id")
    )
    return cut(query, number, _rows(mark))


@dataclass(frozen=True)
class WireRow:
    """A tree with wire on: the worst state seen, and the day to look by."""

    id: UUID
    tag: str
    species: str
    bench_id: UUID | None
    bench: str
    row: int | None
    place: int | None
    on_since: date | None
    state: str
    state_word: str
    look_by: date | None
    days: int | None
    why: str

    @property
    def late(self) -> bool:
        return self.days is not None and self.days <= 0

    @property
    def harm(self) -> bool:
        """Seen doing harm: it is to come off, not to be looked at again."""
        return self.state in (WireState.BITING, WireState.SUNK_IN)


@dataclass(frozen=True)
class WireWeek:
    """Wires whose day to look by falls in one week, its last day, and a bar of 0-100."""

    words: str
    until: date
    trees: int
    bar: int


@dataclass(frozen=True)
class WireCounts:
    """Wires on, those due today or late, those due in the six days after, and the weeks ahead."""

    on: int
    due: int
    soon: int
    harm: int
    first: date | None
    weeks: list[WireWeek]


HARM = (WireState.BITING, WireState.SUNK_IN)
WEEKS = 8


def _wired() -> "QuerySet[Standing]":
    return here().filter(Q(wire_on_since__isnull=False) | Q(wire_look_by__isnull=False))


def wire_counts(today: date) -> WireCounts:
    """One query for the whole nursery."""
    week_ends = [today + timedelta(days=7 * n - 1) for n in range(1, WEEKS + 1)]
    by_week = {
        f"w{n}": Count(
            "tree",
            filter=Q(wire_look_by__gt=end - timedelta(days=7) if n else today, wire_look_by__lte=end),
        )
        for n, end in enumerate(week_ends)
    }
    c = _wired().aggregate(
        on=Count("tree"),
        due=Count("tree", filter=Q(wire_look_by__lte=today)),
        harm=Count("tree", filter=Q(wire_state__in=HARM)),
        first=Min("wire_look_by"),
        **by_week,
    )
    counts = [c["due"]] + [c[f"w{n}"] for n in range(WEEKS)]
    ends = [today, *week_ends]
    names = [said("today or late"), said("in the 6 days after")]
    names += [said("in week {n}", n=n) for n in range(2, WEEKS + 1)]
    top = max(1, *counts)
    weeks = [WireWeek(w, e, n, round(100 * n / top)) for w, e, n in zip(names, ends, counts, strict=True)]
    return WireCounts(c["on"], c["due"], c["w0"], c["harm"], c["first"], weeks)


def wires(today: date, number: int = 1) -> Page[WireRow]:
    """Trees with wire on, the one to look at soonest first. Two queries."""

    def rows(standings: Iterable[Standing]) -> list[WireRow]:
        return [_wire_row(s, today) for s in standings]

    query = (
        _wired()
        .select_related("tree__species", "tree__bench")
        .order_by(F("wire_look_by").asc(nulls_last=True), "tree__tag", "tree_id")
    )
    return cut(query, number, rows)


def _wire_row(standing: Standing, today: date) -> WireRow:
    tree = standing.tree
    look_by = standing.wire_look_by
    return WireRow(
        id=tree.id,
        tag=tree.tag,
        species=tree.species.called,
        bench_id=tree.bench_id,
        bench=tree.bench.name if tree.bench else "",
        row=tree.row,
        place=tree.place,
        on_since=standing.wire_on_since,
        state=standing.wire_state,
        state_word=str(WireState(standing.wire_state).label)
        if standing.wire_state in WireState.values
        else said("not looked at"),
        look_by=look_by,
        days=(look_by - today).days if look_by else None,
        why=say(standing.wire_why),
    )
