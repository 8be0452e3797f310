"""Trees whose standings wait for the roll-up.

A phone that hands over a walk touches its trees push after push. So a push only notes them, in the same
transaction as their records, and the standings are made once, for whoever asks for them next.
"""

import logging
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from datetime import date
from uuid import UUID

from django.conf import settings
from django.db import OperationalError, connection, transaction
from django.utils import timezone

from nursery import bulk
from nursery.feed import lock_head
from nursery.models import FeedHead, Stale, Tree

from .make import CHUNK, roll_up

log = logging.getLogger(__name__)


def mark_stale(trees: Collection[UUID]) -> None:
    """Note that these trees have records newer than their standings."""
    bulk.upsert_rows(Stale, ("tree",), [(id,) for id in trees], key=("tree",))


def mark_all_stale() -> None:
    """Note that every tree waits: what all standings rest on changed. One statement."""
    stale, trees = (connection.ops.quote_name(model._meta.db_table) for model in (Stale, Tree))
    with connection.cursor() as cursor:
        # WHERE true: without it SQLite takes ON for a join's.
        cursor.execute(f"INSERT INTO {stale} (tree) SELECT id FROM {trees} WHERE true ON CONFLICT DO NOTHING")


def settle_stale(*, today: date | None = None, most: int | None = None, wait_ms: int | None = None) -> bool:
    """Roll up the trees that wait, a chunk to a transaction.

    Parameters
    ----------
    today : the day of the standings; None for the house's own.
    most : stop after about so many trees; None does all.
    wait_ms : how long to wait for another writer; None for as long as any writer does.

    Returns
    -------
    Whether trees are left waiting.

    Raises
    ------
    OperationalError
        where another writer holds the database for longer.
    """
    day = timezone.localdate() if today is None else today
    done = 0
    while Stale.objects.exists():
        if most is not None and done >= most:
            return True
        with _waiting(wait_ms), transaction.atomic():
            _limit_locks(wait_ms)
            head = lock_head()
            ids = list(Stale.objects.values_list("tree", flat=True)[:CHUNK])
            _roll_up(head, ids, day)
        done += len(ids)
    return False


def _roll_up(head: FeedHead, trees: Collection[UUID], today: date) -> None:
    """A fault in a chunk must not stop all others for ever: its trees wait for the daily roll-up."""
    seq = head.seq
    try:
        with transaction.atomic():
            roll_up(trees, today=today, head=head)
    except OperationalError:
        raise
    except Exception:
        head.seq = seq
        log.exception("the standings of %d trees could not be rolled up", len(trees))
        bulk.delete(Stale, trees)


@contextmanager
def _waiting(ms: int | None) -> Iterator[None]:
    """On SQLite, wait for the write lock only so long; it is asked for when the transaction begins."""
    if ms is None or connection.vendor != "sqlite":
        yield
        return
    usual = int(float(settings.DATABASES["default"]["OPTIONS"]["timeout"]) * 1000)
    try:
        _pragma(ms)
        yield
    finally:
        _pragma(usual)


def _pragma(ms: int) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA busy_timeout = {ms:d}")


def _limit_locks(ms: int | None) -> None:
    """On PostgreSQL, for this transaction, wait for a lock only so long."""
    if ms is not None and connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"SET LOCAL lock_timeout = {ms:d}")
