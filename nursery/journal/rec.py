"""One journal record in memory, and loading many of them by columns."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet

from nursery import bulk
from nursery.models import Fate, JournalRecord
from nursery.sentences import kept, unkept

from .kinds import KINDS, Fault, Kind, made_by, ref_of

COLUMNS = (
    "id",
    "kind",
    "v",
    "tree",
    "run",
    "observed_at",
    "utc_offset_min",
    "hlc",
    "body",
    "device",
    "fate",
    "reason",
    "field",
    "message",
    "mend",
    "ref",
    "makes",
    "corrected_body",
)
DERIVED = ("fate", "reason", "field", "message", "mend", "ref", "makes", "corrected_body")


_NO_FAULT = Fault("", "", "", "")


class Rec:
    """A record: what was sent, what became of it (``old``), and what becomes of it (``fate`` ...)."""

    __slots__ = (
        "body",
        "device",
        "fate",
        "field",
        "fixed",
        "hlc",
        "id",
        "kind",
        "makes",
        "mend",
        "message",
        "new",
        "observed_at",
        "old",
        "reason",
        "ref",
        "run",
        "spec",
        "tree",
        "utc_offset_min",
        "v",
    )

    def __init__(self, row: tuple[Any, ...]) -> None:
        self.id: UUID
        self.kind: str
        self.v: int
        self.tree: UUID | None
        self.run: UUID | None
        self.observed_at: datetime
        self.utc_offset_min: int
        self.hlc: str
        self.body: Any
        self.device: UUID | None
        self.fate: str
        self.reason: str
        self.field: str
        #: Sentences, as the database keeps them.
        self.message: str
        self.mend: str
        self.ref: UUID | None
        self.makes: UUID | None
        #: The body in force after corrections; None while it is the record's own.
        self.fixed: Any
        (
            self.id, self.kind, self.v, self.tree, self.run, self.observed_at, self.utc_offset_min, self.hlc,
            self.body, self.device, self.fate, self.reason, self.field, self.message, self.mend,
            self.ref, self.makes, self.fixed,
        ) = row  # fmt: skip
        #: The derived values as they are in the database; of a new record, as it would be stored unjudged.
        self.old: tuple[Any, ...] = row[10:]
        #: What its kind is about; None for a correction, and for a kind that this server does not know.
        self.spec: Kind | None = KINDS.get(self.kind)
        #: Not stored yet.
        self.new = False

    @property
    def key(self) -> tuple[str, UUID]:
        """The order of everything."""
        return (self.hlc, self.id)

    @property
    def effective(self) -> Any:
        return self.body if self.fixed is None else self.fixed

    @property
    def day(self) -> date:
        """The date on the clock of the one who made it."""
        return (self.observed_at + timedelta(minutes=self.utc_offset_min)).date()

    @property
    def was_applied(self) -> bool:
        return bool(self.old[0] == Fate.APPLIED)

    @property
    def applied(self) -> bool:
        return self.fate == Fate.APPLIED

    def row(self) -> tuple[Any, ...]:
        """Its values in the order of ``COLUMNS``."""
        return (
            self.id, self.kind, self.v, self.tree, self.run, self.observed_at, self.utc_offset_min, self.hlc,
            self.body, self.device, *self.derived(),
        )  # fmt: skip

    def derived(self) -> tuple[Any, ...]:
        return (
            self.fate, self.reason, self.field, self.message, self.mend, self.ref, self.makes, self.fixed,
        )  # fmt: skip

    @property
    def changed(self) -> bool:
        return self.derived() != self.old

    def settle(self, fate: str, fault: Fault | None = None) -> None:
        """Note what becomes of it."""
        self.fate = fate
        self.reason, self.field, message, mend = fault or _NO_FAULT
        self.message, self.mend = kept(message), kept(mend)

    @property
    def fault(self) -> Fault:
        """Why it is set aside."""
        return Fault(self.reason, self.field, unkept(self.message), unkept(self.mend))

    def name_things(self) -> None:
        """Note the things that the body in force needs and makes."""
        spec, body = self.spec, self.effective
        if spec is not None and isinstance(body, dict):
            self.ref = ref_of(spec, self.run, body)
            self.makes = made_by(spec, self.id, self.tree, self.run, body)


def load(where: Q, *, order: bool = False) -> list[Rec]:
    """Load records by columns, without model instances."""
    found: QuerySet[JournalRecord] = JournalRecord.objects.filter(where)
    if order:
        found = found.order_by("hlc", "id")
    return [Rec(row) for row in found.values_list(*COLUMNS).iterator(chunk_size=10_000)]


def save_fates(recs: Collection[Rec]) -> None:
    """Write what became of stored records, all of which changed."""
    plain: dict[str, list[UUID]] = defaultdict(list)
    rest: list[Rec] = []
    for rec in recs:
        # The everyday case: applied as it is. Its ref and makes were stored with it.
        if rec.derived()[1:] == rec.old[1:]:
            plain[rec.fate].append(rec.id)
        else:
            rest.append(rec)
    for fate, ids in plain.items():
        bulk.set_all(JournalRecord, "fate", fate, ids)
    bulk.update_rows(JournalRecord, DERIVED, [(*rec.derived(), rec.id) for rec in rest])
