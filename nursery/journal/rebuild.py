"""Make everything anew from the journal, and tell whether two states are the same."""

import hashlib
import json
from collections.abc import Iterator
from datetime import date
from typing import Any
from uuid import UUID

from django.db import models, transaction
from django.db.models import Count, Q
from django.utils import timezone

from nursery import bulk
from nursery.feed import Data, lock_head, publish
from nursery.models import (
    Bench,
    BranchSurvey,
    BudCheck,
    Caliper,
    ChecklistRun,
    Fate,
    FeedHead,
    FeedRow,
    FirmCheck,
    JournalRecord,
    Note,
    Picture,
    Practice,
    RootSurvey,
    SeedLot,
    Site,
    SoilCheck,
    Sowing,
    Stale,
    Standing,
    Stay,
    Tree,
    WireInspection,
    Wiring,
    WorkDone,
)
from nursery.rollup import roll_up

from .apply import PUBLISHED, fate_data
from .intake import settle_chunk
from .rec import DERIVED, load

#: Every typed row that records make; what hangs on a thing before the thing.
TYPED: tuple[type[models.Model], ...] = (
    Standing,
    WireInspection,
    Wiring,
    SoilCheck,
    BudCheck,
    FirmCheck,
    Caliper,
    RootSurvey,
    BranchSurvey,
    Note,
    Picture,
    WorkDone,
    Sowing,
    ChecklistRun,
    Tree,
    SeedLot,
    Bench,
    Site,
    Practice,
    Stay,
)


def rebuild(today: date | None = None, chunk: int = 5000) -> None:
    """Clear all derived rows and make them anew from the journal, in one transaction.

    Parameters
    ----------
    today : the day of the standings.
    chunk : about how many records are judged at a time; it changes memory and speed, not the result.
    """
    today = today or timezone.localdate()
    with transaction.atomic():
        head = lock_head()
        for model in TYPED:
            bulk.clear(model)
        bulk.clear(Stale)
        JournalRecord.objects.update(
            fate=Fate.PENDING, reason="", field="", message="", mend="", corrected_body=None
        )
        for ids in _chunks(chunk):
            settle_chunk(None, ids)
        _publish(head)
        trees = list(Tree.objects.order_by("id").values_list("id", flat=True))
        for start in range(0, len(trees), 1000):
            roll_up(trees[start : start + 1000], today=today, head=head)


def _chunks(chunk: int) -> Iterator[list[UUID]]:
    """All records: first those of no tree, then tree by tree, so that each tree is worked out few times."""
    yield from _split(JournalRecord.objects.filter(tree=None), chunk)
    trees: list[UUID] = []
    count = 0
    for tree, records in (
        JournalRecord.objects.exclude(tree=None).values_list("tree").annotate(Count("id")).order_by("tree")
    ):
        trees.append(tree)
        count += records
        if count >= chunk:
            yield from _split(JournalRecord.objects.filter(tree__in=trees), chunk)
            trees, count = [], 0
    yield from _split(JournalRecord.objects.filter(tree__in=trees), chunk)


def _split(found: Any, chunk: int) -> Iterator[list[UUID]]:
    ids = list(found.order_by("hlc", "id").values_list("id", flat=True))
    for start in range(0, len(ids), chunk):
        yield ids[start : start + chunk]


def _publish(head: FeedHead) -> None:
    """Bring the feed up to the typed rows (trees are published by the roll-up)."""
    rows: list[tuple[str, str, Data | None]] = []
    live: dict[str, set[str]] = {"tree": {str(id) for id in Tree.objects.values_list("id", flat=True)}}
    for model, (topic, data) in PUBLISHED.items():
        made = [(topic, str(thing.pk), data(thing)) for thing in model._default_manager.all()]
        live[topic] = {key for _, key, _ in made}
        rows += made
    for topic, keys in live.items():
        there = FeedRow.objects.filter(topic=topic).values_list("key", flat=True)
        rows += [(topic, key, None) for key in there if key not in keys]
    told = FeedRow.objects.filter(topic="fate").values_list("key", flat=True)
    where = Q(id__in=list(told)) | Q(id__in=JournalRecord.objects.set_aside().values("id"))
    rows += [("fate", str(rec.id), fate_data(rec)) for rec in load(where)]
    publish(head, rows)


def fingerprint() -> str:
    """A hash of every typed row, fate, standing and row of the feed that the set of records decides.

    Left out is what depends on the order of arrival: the feed's numbers, rows of things that came and went,
    and fates told of records that were set aside for a while.
    """
    digest = hashlib.sha256()
    for model in TYPED:
        names = [field.attname for field in model._meta.concrete_fields]
        _add(digest, model.__name__, model._default_manager.order_by("pk").values_list(*names))
    _add(digest, "fates", JournalRecord.objects.order_by("id").values_list("id", *DERIVED))
    shown = FeedRow.objects.order_by("topic", "key").values_list("topic", "key", "data")
    _add(digest, "feed", (row for row in shown.iterator() if _lasting(row)))
    return digest.hexdigest()


def _lasting(row: tuple[str, str, Data | None]) -> bool:
    topic, _, data = row
    return data is not None and (topic != "fate" or data["fate"] == Fate.SET_ASIDE)


def _add(digest: Any, name: str, rows: Any) -> None:
    digest.update(name.encode())
    for row in rows.iterator() if hasattr(rows, "iterator") else rows:
        digest.update(json.dumps(row, default=str, sort_keys=True).encode())
