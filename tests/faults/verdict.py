"""After a run, with all faults off: is anything lost, doubled, different, or stuck?"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.core.files.storage import default_storage
from django.utils import timezone

from nursery import journal
from nursery.models import Contested, FeedRow, JournalRecord, PhotoFile, Standing
from nursery.rollup import roll_up_all

from .plan import Intents

Json = dict[str, Any]


@dataclass
class Verdict:
    """What is wrong, in words; all empty: nothing."""

    lost: list[str] = field(default_factory=list)
    doubled: list[str] = field(default_factory=list)
    diverged: list[str] = field(default_factory=list)
    stuck: list[str] = field(default_factory=list)

    def wrong(self) -> bool:
        return bool(self.lost or self.doubled or self.diverged or self.stuck)


def judge(held: Json, intents: Intents) -> Verdict:
    """``held`` is what the phones say that they hold and have shown as saved."""
    found = Verdict(stuck=list(held["stuck"]))
    rows = {str(row.id): row for row in JournalRecord.objects.all()}
    for phone in held["phones"]:
        _saved(phone, rows, found)
        _once(phone, rows, intents, found)
        _photos(phone, found)
        if not phone["out"]:
            _own(phone, rows, found)
            _mirror(phone, found)
    if Contested.objects.exists():
        found.doubled.append(f"{Contested.objects.count()} records came with the id of another")
    pending = JournalRecord.objects.pending().count()
    if pending:
        found.stuck.append(f"{pending} records are stored but never judged")
    today = timezone.localdate()
    # A run may pass midnight: what the daily thread of ``serve`` makes anew then is made anew here.
    if Standing.objects.exclude(as_of=today).exists():
        roll_up_all(today)
    before = journal.fingerprint()
    journal.rebuild(today)
    if journal.fingerprint() != before:
        found.diverged.append("a rebuilt shed is another")
    return found


def _saved(phone: Json, rows: dict[str, JournalRecord], found: Verdict) -> None:
    """Every record that the phone has shown as saved is in the journal, as it was."""
    for record in phone["saved"]:
        row = rows.get(record["id"])
        if row is None:
            found.lost.append(f"{phone['name']}: {record['kind']} {record['id']} is not at the shed")
        elif _content(row) != _told(record):
            found.lost.append(f"{phone['name']}: {record['kind']} {record['id']} is another at the shed")


def _photos(phone: Json, found: Verdict) -> None:
    """Every picture that the phone has shown as saved is at the shed, whole, and none waits."""
    for record in phone["saved"]:
        if record["kind"] == "photo":
            file = PhotoFile.objects.filter(pk=record["body"]["photo"]).first()
            where = f"{phone['name']}: photo {record['body']['photo']}"
            if file is None:
                found.lost.append(f"{where} is not at the shed")
            elif file.reason or file.sha256 != record["body"]["sha256"]:
                found.lost.append(f"{where} is not whole at the shed: {file.reason or 'its hash is another'}")
            elif not _on_disk(file):
                found.lost.append(f"{where} has a row, and no file that is what the row says")
    for id, state in phone["photos"]:
        if state != "kept" and not phone["out"]:
            found.stuck.append(f"{phone['name']}: photo {id} is {state} for ever")


def _on_disk(file: PhotoFile) -> bool:
    if not default_storage.exists(file.name) or not default_storage.exists(file.small_name):
        return False
    with default_storage.open(file.name) as kept:
        return hashlib.sha256(kept.read()).hexdigest() == file.kept_sha256


def _content(row: JournalRecord) -> Json:
    shown = {
        name: getattr(row, name) for name in ("kind", "v", "utc_offset_min", "hlc", "body", "observed_at")
    }
    links = {name: str(value) if value else None for name, value in (("tree", row.tree), ("run", row.run))}
    return shown | links | {"device_seq": row.device_seq, "id": str(row.id)}


def _told(record: Json) -> Json:
    return record | {"observed_at": datetime.fromisoformat(record["observed_at"])}


def _key(kind: str, tree: str | None, body: Any) -> str:
    return f"{kind} {tree or '-'} {json.dumps(body, sort_keys=True)}"


def _once(phone: Json, rows: dict[str, JournalRecord], intents: Intents, found: Verdict) -> None:
    """What the grower did once is in the journal once: by its content, whatever ids it was given.

    Corrections name a record of this phone; the plan does not know its id, so they are counted by number.
    """
    mine = [rows[record["id"]] for record in phone["records"] if record["id"] in rows]
    counts: Counter[str] = Counter()
    corrections = 0
    for row in mine:
        if row.kind == "correction":
            corrections += 1
        else:
            counts[_key(row.kind, str(row.tree) if row.tree else None, row.body)] += 1
    meant: Counter[str] = Counter()
    meant_corrections = 0
    for key in phone["said"]:
        for draft in intents[key]:
            if draft is None:
                meant_corrections += 1
            else:
                meant[_key(draft["kind"], draft.get("tree"), draft["body"])] += 1
    for key, count in (counts - meant).items():
        found.doubled.append(f"{phone['name']}: {count} too many of {key}")
    if corrections > meant_corrections:
        found.doubled.append(f"{phone['name']}: {corrections} corrections, {meant_corrections} were meant")


def _own(phone: Json, rows: dict[str, JournalRecord], found: Verdict) -> None:
    """The phone's own records are handed over, seen, and known by the shed's word."""
    for record in phone["records"]:
        row = rows.get(record["id"])
        where = f"{phone['name']}: {row.kind if row else 'a record'} {record['id']}"
        if record["state"] == "waiting":
            found.stuck.append(f"{where} waits for ever")
        elif row is None:
            found.lost.append(f"{where} was acknowledged, and is not at the shed")
        elif (record["state"] == "set_aside") != (row.fate == "set_aside"):
            found.diverged.append(f"{where} is {record['state']} there and {row.fate} at the shed")
        elif record["unseen"]:
            found.diverged.append(f"{where} is still shown as new")
    if phone["local"]:
        found.diverged.append(f"{phone['name']}: {phone['local']} trees keep a local view")


def _mirror(phone: Json, found: Verdict) -> None:
    feed: dict[str, dict[str, Any]] = {topic: {} for topic in phone["mirror"]}
    for row in FeedRow.objects.exclude(data=None):
        feed.setdefault(row.topic, {})[row.key] = row.data
    for topic, things in feed.items():
        mirror = dict(phone["mirror"].get(topic, []))
        for key in sorted(things.keys() | mirror.keys()):
            if things.get(key) != mirror.get(key):
                there, here = mirror.get(key), things.get(key)
                found.diverged.append(f"{phone['name']}: {topic} {key} is {there} there, {here} at the shed")
