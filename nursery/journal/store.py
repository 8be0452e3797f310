"""Put records into the journal before anything is judged."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from nursery import bulk
from nursery.feed import lock_head
from nursery.models import Contested, Fate, JournalRecord

from .fields import as_uuid
from .kinds import CORRECTION, KINDS, made_by, ref_of
from .rec import COLUMNS, Rec
from .wire import Wire

STORED, DUPLICATE, CONTESTED = "stored", "duplicate", "contested"


def store(wires: Sequence[Wire], *, device: UUID | None, now: datetime) -> tuple[list[str], dict[UUID, Rec]]:
    """Store the records that are not there yet, in one transaction of their own.

    Returns one word a record: "stored", "duplicate" (same id, same content), or "contested" (same id, other
    content: kept whole beside the first, which stays as it is); and the new records, pending, by id.
    """
    with transaction.atomic():
        lock_head()  # two phones may hand over one record at the same time
        ids = {wire.id for wire in wires}
        known: dict[UUID, str] = dict(bulk.among(JournalRecord, ids, "content_hash"))
        outcomes, fresh, contested = [], [], []
        for wire in wires:
            held = known.get(wire.id)
            if held is None:
                known[wire.id] = wire.content_hash
                fresh.append(_row(wire, device, now))
                outcomes.append(STORED)
            elif held == wire.content_hash:
                outcomes.append(DUPLICATE)
            else:
                contested.append(_contested(wire, device, now))
                outcomes.append(CONTESTED)
        bulk.insert_rows(JournalRecord, _NAMES, fresh)
        if contested:
            Contested.objects.bulk_create(contested, ignore_conflicts=True)
    return outcomes, {row[0]: Rec(row[: len(COLUMNS)]) for row in fresh}


_NAMES = (*COLUMNS, "device_seq", "more", "content_hash", "received_at", "ahead")


def _row(wire: Wire, device: UUID | None, now: datetime) -> tuple[Any, ...]:
    """The values of a new record, in the order of ``_NAMES``."""
    ref, makes = things(wire)
    return (
        wire.id, wire.kind, wire.v, wire.tree, wire.run, wire.observed_at, wire.utc_offset_min, wire.hlc,
        wire.body, device, Fate.PENDING.value, "", "", "", "", ref, makes, None,
        wire.device_seq, wire.more, wire.content_hash, now, wire.ahead(now),
    )  # fmt: skip


def things(wire: Wire) -> tuple[UUID | None, UUID | None]:
    """What the record's own body needs and makes."""
    if not isinstance(wire.body, dict):
        return None, None
    if wire.kind == CORRECTION:
        return as_uuid(wire.body.get("replaces")), None
    kind = KINDS.get(wire.kind)
    if kind is None:
        return None, None
    return ref_of(kind, wire.run, wire.body), made_by(kind, wire.id, wire.tree, wire.run, wire.body)


def _contested(wire: Wire, device: UUID | None, now: datetime) -> Contested:
    content: dict[str, Any] = {
        "id": str(wire.id),
        "device_seq": wire.device_seq,
        "kind": wire.kind,
        "v": wire.v,
        "tree": str(wire.tree) if wire.tree else None,
        "run": str(wire.run) if wire.run else None,
        "observed_at": wire.observed_at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "utc_offset_min": wire.utc_offset_min,
        "hlc": wire.hlc,
        "body": wire.body,
        **(wire.more or {}),
    }
    return Contested(
        record=wire.id, content_hash=wire.content_hash, device=device, received_at=now, content=content
    )
