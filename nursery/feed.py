"""The feed that phones mirror: the newest state of each thing, numbered in the order of commits.

Every writer locks the one head row until it commits. So a number that a reader has passed can never appear
later, on SQLite and on PostgreSQL.
"""

import json
import uuid
from collections.abc import Iterable
from typing import Any, NamedTuple

from django.db import connection

from nursery import bulk
from nursery.models import FeedHead, FeedRow

Data = dict[str, Any]


class Row(NamedTuple):
    """One thing as a phone mirrors it. ``data`` None: it is gone."""

    topic: str
    key: str
    data: Data | None
    seq: int


def lock_head() -> FeedHead:
    """Lock the head until the transaction around this call ends.

    On SQLite the transaction is IMMEDIATE, which already holds the only write lock.
    """
    head = FeedHead.objects.select_for_update().filter(id=1).first()
    if head is None:
        FeedHead.objects.get_or_create(id=1, defaults={"epoch": str(uuid.uuid4())})
        head = FeedHead.objects.select_for_update().get(id=1)
    return head


def publish(head: FeedHead, rows: Iterable[tuple[str, str, Data | None]]) -> None:
    """Give each changed row the next number. A row whose data is what phones have already takes none.

    Parameters
    ----------
    head : the locked head (``lock_head``).
    rows : (topic, key, data); the last one wins where a key comes twice. None for a key that was never
        published takes no row.
    """
    wanted = {(topic, key): data for topic, key, data in rows}
    if not wanted:
        return
    topics = {topic for topic, _ in wanted}
    keys = {key for _, key in wanted}
    known = {
        (topic, key): data
        for topic, key, data in FeedRow.objects.filter(topic__in=topics, key__in=keys).values_list(
            "topic", "key", "data"
        )
    }
    changed = []
    for at, data in wanted.items():
        if (at in known and known[at] == data) or (at not in known and data is None):
            continue
        head.seq += 1
        changed.append((*at, head.seq, data))
    if changed:
        bulk.upsert_rows(FeedRow, ("topic", "key", "seq", "data"), changed, key=("topic", "key"))
        head.save(update_fields=["seq"])


def read(since: int, limit: int) -> tuple[list[Row], int, bool, str]:
    """What changed after ``since``: rows, the number to go on from, whether more wait, and the epoch.

    One statement, so head and rows are of one snapshot without holding up any writer.
    """
    rows_sql = (
        f"SELECT topic, key, data, seq FROM {FeedRow._meta.db_table} WHERE seq > %s ORDER BY seq LIMIT %s"
    )
    sql = (
        f"SELECT h.epoch, h.seq, r.topic, r.key, r.data, r.seq"
        f" FROM {FeedHead._meta.db_table} h LEFT JOIN ({rows_sql}) r"
        " ON 1 = 1 WHERE h.id = 1 ORDER BY r.seq"
    )
    with connection.cursor() as cursor:
        cursor.execute(sql, [since, limit + 1])
        found = cursor.fetchall()
    if not found:
        return [], since, False, ""
    epoch, head_seq = str(found[0][0]), int(found[0][1])
    rows = [Row(topic, key, _data(data), seq) for _, _, topic, key, data, seq in found if seq is not None]
    if len(rows) > limit:
        return rows[:limit], rows[limit - 1].seq, True, epoch
    return rows, head_seq, False, epoch


def _data(raw: object) -> Data | None:
    """JSON null is stored as SQL NULL or as the word ``null``, by the path it came."""
    value = json.loads(raw) if isinstance(raw, str) else raw
    return value if isinstance(value, dict) else None
