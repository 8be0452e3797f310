"""The records of a chunk of trees as columns: a fixed number of queries, whatever the number of trees."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, NamedTuple
from uuid import UUID

import numpy as np
from django.db import connection
from django.db.models import CharField, F, Max, Model, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Cast
from django.utils import timezone

from nursery import hemisphere
from nursery.models import (
    BranchSurvey,
    BudCheck,
    Caliper,
    FirmCheck,
    RootSurvey,
    SoilCheck,
    Tree,
    WireInspection,
    Wiring,
    Work,
    WorkDone,
)
from nursery.practice import current
from nursery.science.gates import GATE_OF
from nursery.science.practice import Practice
from nursery.science.ragged import Bools, Floats, Ints, floats

_EPOCH = date(1970, 1, 1).toordinal()
#: A bud look older than this is left out: at the rates in use its weight today is one part in 25 or less.
BUD_MEMORY = timedelta(days=5 * 365)


def day_number(day: date) -> int:
    """Days since 1970-01-01, as the science counts them."""
    return day.toordinal() - _EPOCH


def day_of(number: int) -> date:
    return date.fromordinal(int(number) + _EPOCH)


@dataclass(frozen=True)
class Looks:
    """Rows of one kind, tree by tree, each tree's in time order.

    Attributes
    ----------
    tree : (m,) index of each row's tree in the chunk.
    day : (m,) local day [days since 1970-01-01]; a row from a clock ahead of today counts as today's.
    at : m moments as the database has them, for ``moment``: few are ever asked for.
    id : m record ids as the database writes them: one form here, so that they compare.
    columns : the other fields asked for, m entries each.
    last : (n,) each tree's newest row, -1 where there is none.
    start : rows of tree i are those from ``start[i]`` up to ``start[i + 1]``.
    """

    tree: Ints
    day: Ints
    at: Sequence[datetime | str]
    id: Sequence[str]
    columns: dict[str, Sequence[Any]]
    last: Ints
    start: Ints

    def __getitem__(self, name: str) -> Sequence[Any]:
        return self.columns[name]

    @property
    def seen(self) -> Bools:
        """(n,) whether the tree has any row."""
        return np.asarray(self.last >= 0)

    def rows(self, tree: int) -> range:
        """A tree's rows, oldest first."""
        return range(int(self.start[tree]), int(self.start[tree + 1]))

    def last_day(self) -> Ints:
        """(n,) day of each tree's newest row; -1 where there is none."""
        if not self.day.size:
            return np.full(self.last.size, -1, dtype=np.intp)
        return np.where(self.last >= 0, self.day[self.last], -1)


@dataclass(frozen=True)
class Sheet:
    """A chunk of trees and all that their standings rest on; n trees, arrays of shape (n,)."""

    trees: list[Tree]
    practice: Practice
    today: date
    now: int
    gate: list[str]
    target_base: Floats
    target_height: Floats
    age: Floats
    #: Whether the tree has the seasons of the south.
    south: Bools
    watered: list[datetime | None]
    #: Day on which its roots were last worked on; NaN where they never were.
    root_work: Floats
    #: Day of the newest bud look ever, also of one too old for ``buds``; None where there is none.
    buds_ever: list[date | None]
    wirings: Looks
    wire_looks: Looks
    soil: Looks
    buds: Looks
    firm: Looks
    calipers: Looks
    roots: Looks
    branches: Looks

    @property
    def n(self) -> int:
        return len(self.trees)

    def species(self, name: str) -> Floats:
        """(n,) a prior of each tree's species."""
        return floats([getattr(tree.species, name) for tree in self.trees])

    def at_gate(self, gate: str) -> Bools:
        return np.array([have == gate for have in self.gate], dtype=bool)


class Then(NamedTuple):
    """A tree as it stood on a day past: its phase, and since when."""

    phase: str
    since: date


class _Reader:
    """Reads rows of the chunk's trees; with ``until``, only what was before that moment."""

    def __init__(self, ids: Sequence[UUID], today: date, until: datetime | None) -> None:
        # Ids come as text: making UUID objects of every row took half of the reading. SQLite writes them
        # without dashes, PostgreSQL with.
        self.index = {text: at for at, id in enumerate(ids) for text in (id.hex, str(id))}
        self.ids = list(ids)
        self.now = day_number(today)
        self.days = _local_days()
        self.until = until

    def looks(self, rows: QuerySet[Any], *names: str) -> Looks:
        rows = rows if self.until is None else rows.filter(at__lt=self.until)
        texts = rows.annotate(id_text=_text("id"), tree_text=_text("tree_id"), at_raw=_raw("at"))
        # The index by tree and time has them nearly so; sorting by the id too is one pass here, not there.
        asked = texts.order_by("tree_id", "at").values_list("tree_text", "at_raw", "id_text", *names)
        found = sorted(asked)
        columns = list(zip(*found, strict=True)) if found else [()] * (3 + len(names))
        tree = np.array([self.index[id] for id in columns[0]], dtype=np.intp)
        day = np.array(self.days(columns[1]), dtype=np.intp) - _EPOCH
        start = np.zeros(len(self.ids) + 1, dtype=np.intp)
        np.cumsum(np.bincount(tree, minlength=len(self.ids)), out=start[1:])
        return Looks(
            tree,
            np.minimum(day, self.now),
            columns[1],
            columns[2],
            dict(zip(names, columns[3:], strict=True)),
            np.where(start[1:] > start[:-1], start[1:] - 1, -1),
            start,
        )

    def of(self, model: type[Model], *names: str) -> Looks:
        return self.looks(model._default_manager.filter(tree_id__in=self.ids), *names)

    def wires(self, trees: Sequence[Tree]) -> tuple[Looks, Looks]:
        """The wirings, all looks at those that are on, and a tree's newest look where it is at none known."""
        rows = Wiring.objects.filter(tree_id__in=self.ids).annotate(off_raw=_raw("off_at"))
        wirings = self.looks(rows, "part", "off_raw", "scars", "wire_mm")
        wirings.columns["off"] = offs = self._offs(wirings["off_raw"])
        still_on = [id for id, off in zip(wirings.id, offs, strict=True) if off is None]
        newest = {_annotated(tree, "newest_wire_look") for tree in trees} - {None}
        looks = WireInspection.objects.filter(
            Q(wiring_id__in=still_on) | Q(wiring__isnull=True, id__in=newest)
        )
        return wirings, self.looks(looks.annotate(wiring_text=_text("wiring_id")), "state", "wiring_text")

    def _offs(self, offs: Sequence[datetime | str | None]) -> Sequence[datetime | str | None]:
        """When wires came off; None for one that was still on."""
        until = self.until
        if until is None:
            return offs
        return [None if off is None or moment(off) >= until else off for off in offs]


def _text(name: str) -> Cast:
    return _cast(F(name))


def _cast(what: F | Subquery) -> Cast:
    return Cast(what, CharField())


def _raw(name: str) -> F | Cast:
    """A moment as the database has it: on SQLite that is text, which Django reads ten times slower."""
    return _text(name) if connection.vendor == "sqlite" else F(name)


def moment(raw: datetime | str) -> datetime:
    """A moment that the database has as ``_raw`` gives it."""
    return datetime.fromisoformat(raw).replace(tzinfo=UTC) if isinstance(raw, str) else raw


def local_date(at: datetime) -> date:
    """The day of a moment on the house's clock."""
    return timezone.localtime(at, timezone.get_default_timezone()).date()


def _local_days() -> Callable[[Sequence[datetime | str]], list[int]]:
    """From moments as the database has them to days on the house's clock [ordinal]."""
    zone = timezone.get_default_timezone()
    if str(zone) == "UTC" and connection.vendor == "sqlite":
        return _days_of_texts
    return lambda moments: [moment(at).astimezone(zone).toordinal() for at in moments]


def _days_of_texts(moments: Sequence[Any]) -> list[int]:
    """In UTC a moment's text begins with its day, and many rows share one."""
    texts = [at[:10] for at in moments]
    known = {text: date.fromisoformat(text).toordinal() for text in set(texts)}
    return [known[text] for text in texts]


def _trees(ids: Sequence[UUID], before: Q) -> list[Tree]:
    def newest(model: type[Model], field: str = "id") -> Subquery:
        """The id (or another field) of a tree's newest row, through its index by tree and time."""
        rows = model._default_manager.filter(before, tree=OuterRef("pk")).order_by("-at", "-id")
        return Subquery(rows.values(field)[:1])

    def done(*tasks: Work) -> Subquery:
        """When a tree was last worked on so."""
        rows = WorkDone.objects.filter(before, tree=OuterRef("pk"), task__in=tasks).order_by()
        return Subquery(rows.values("tree").annotate(newest=Max("at")).values("newest"))

    return list(
        Tree.objects.filter(id__in=ids)
        .select_related("species")
        .annotate(
            newest_soil=newest(SoilCheck),
            newest_buds_at=newest(BudCheck, "at"),
            newest_wire_look=newest(WireInspection),
            newest_roots=newest(RootSurvey),
            newest_branches=newest(BranchSurvey),
            newest_watering=done(Work.WATERED),
            newest_root_work=done(Work.REPOTTED, Work.ROOT_PRUNED),
            **{hemisphere.NAME: hemisphere.latitude()},
        )
        .order_by("id")
    )


def _annotated(tree: Tree, name: str) -> Any:
    """A value that ``_trees`` put beside the row's own fields."""
    return getattr(tree, name)


def _or_nan(values: Sequence[float | None]) -> Floats:
    return floats([np.nan if value is None else value for value in values])


def _age(tree: Tree, today: date) -> float | None:
    """Years since the spring of sowing."""
    if tree.sown_year is None:
        return None
    return max((today - date(tree.sown_year, 4, 1)).days / 365.25, 0.0)


def load(ids: Sequence[UUID], today: date, then: Mapping[UUID, Then] | None = None) -> Sheet:
    """Read a chunk in eleven queries. Ids of no tree are passed over.

    ``then`` : the trees as they stood on a day past, ``today``; what came after it is left out.
    """
    morrow = datetime.combine(today + timedelta(days=1), datetime.min.time(), timezone.get_default_timezone())
    until = None if then is None else morrow
    trees, practice = _trees(ids, Q() if until is None else Q(at__lt=until)), current()
    if then is not None:
        for tree in trees:
            tree.phase, tree.phase_since = then[tree.id]
            tree.left_how = ""
    read = _Reader([tree.id for tree in trees], today, until)

    def newest(model: type[Model], name: str, *names: str) -> Looks:
        wanted = [id for tree in trees if (id := _annotated(tree, name)) is not None]
        return read.looks(model._default_manager.filter(id__in=wanted), *names)

    since = datetime.combine(today, datetime.min.time(), timezone.get_default_timezone()) - BUD_MEMORY
    buds = BudCheck.objects.filter(tree_id__in=read.ids, at__gte=since)
    wirings, wire_looks = read.wires(trees)
    root_work: list[datetime | None] = [_annotated(tree, "newest_root_work") for tree in trees]
    return Sheet(
        trees=trees,
        practice=practice,
        today=today,
        now=day_number(today),
        gate=["" if tree.left_how else GATE_OF[tree.phase] for tree in trees],
        target_base=_or_nan([_target_base(tree, practice) for tree in trees]),
        target_height=_or_nan([tree.target_height_mm for tree in trees]),
        age=_or_nan([_age(tree, today) for tree in trees]),
        south=hemisphere.south(trees),
        watered=[_annotated(tree, "newest_watering") for tree in trees],
        root_work=_or_nan([None if at is None else day_number(local_date(at)) for at in root_work]),
        buds_ever=[at and local_date(at) for at in (_annotated(tree, "newest_buds_at") for tree in trees)],
        wirings=wirings,
        wire_looks=wire_looks,
        soil=newest(SoilCheck, "newest_soil", "state"),
        buds=read.looks(buds, "state", "bulk"),
        firm=read.of(FirmCheck, "firm"),
        calipers=read.of(Caliper, "mm", "height_mm"),
        roots=newest(RootSurvey, "newest_roots", "roots", "defects"),
        branches=newest(BranchSurvey, "newest_branches", "primaries", "secondaries", "internode_mm", "order"),
    )


def _target_base(tree: Tree, practice: Practice) -> float | None:
    """The diameter aimed at; by practice a tree is about six bases high."""
    if tree.target_base_mm is not None:
        return tree.target_base_mm
    return None if tree.target_height_mm is None else tree.target_height_mm / practice.height_over_base
