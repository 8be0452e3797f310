"""Put records into the journal."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from nursery import bulk
from nursery.models import Contested, Fate, JournalRecord

from .fields import as_uuid
from .kinds import CORRECTION, KINDS, made_by, ref_of
from .rec import COLUMNS, Rec
from .wire import Wire

STORED, DUPLICATE, CONTESTED = "stored", "duplicate", "contested"
#: A stamp further ahead of the server's clock than this is flagged for a person.
AHEAD = timedelta(minutes=5)


def sift(wires: Sequence[Wire], *, device: UUID | None, now: datetime) -> tuple[list[str], list[Wire]]:
    """Tell the records that are not here yet from those that are; inside the transaction that stores them.

    Returns one word a record: "stored" (to be), "duplicate" (same id, same content), or "contested" (same id,
    other content: kept whole beside the first, which stays as it is); and the new ones.
    """
    known: dict[UUID, str] = dict(bulk.among(JournalRecord, {wire.id for wire in wires}, "content_hash"))
    outcomes, fresh, contested = [], [], []
    for wire in wires:
        held = known.get(wire.id)
        if held is None:
            known[wire.id] = wire.content_hash
            fresh.append(wire)
            outcomes.append(STORED)
        elif held == wire.content_hash:
            outcomes.append(DUPLICATE)
        else:
            contested.append(_contested(wire, device, now))
            outcomes.append(CONTESTED)
    if contested:
        Contested.objects.bulk_create(contested, ignore_conflicts=True)
    return outcomes, fresh


def new(wire: Wire, device: UUID | None) -> Rec:
    """A record that is not stored yet, pending."""
    ref, makes = things(wire)
    rec = Rec((
        wire.id, wire.kind, wire.v, wire.tree, wire.run, wire.observed_at, wire.utc_offset_min, wire.hlc,
        wire.body, device, Fate.PENDING.value, "", "", "", "", ref, makes, None,
    ))  # fmt: skip
    rec.new = True
    return rec


def insert(wires: Sequence[Wire], recs: Sequence[Rec], *, now: datetime) -> None:
    """Store new records, with what became of each. One statement."""
    limit = now + AHEAD
    limit_ms = f"{int(limit.timestamp() * 1000):015d}"
    rows = [
        (
            *rec.row(), wire.device_seq, wire.more, wire.content_hash, now,
            wire.observed_at > limit or wire.hlc[:15] > limit_ms,
        )
        for wire, rec in zip(wires, recs, strict=True)
    ]  # fmt: skip
    bulk.insert_rows(JournalRecord, _NAMES, rows)


_NAMES = (*COLUMNS, "device_seq", "more", "content_hash", "received_at", "ahead")


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
