"""Records -> standings: incremental after each push, and rebuildable from nothing.

A standing depends on the tree's records, its species and the day; on nothing else.
"""

from collections.abc import Collection, Iterator, Sequence
from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from nursery.feed import lock_head
from nursery.models import FeedHead, Tree

from .compute import standings
from .load import load
from .store import publish_trees, store

__all__ = ["CHUNK", "roll_up", "roll_up_all"]

#: Trees worked on at once: bounds memory, and the time for which the feed's head is held.
CHUNK = 1000


def roll_up(trees: Collection[UUID], *, today: date, head: FeedHead | None = None) -> None:
    """Compute and store the standings of these trees, and publish their rows.

    Parameters
    ----------
    trees : ids; one of no tree is published as gone.
    today : the day for which the standings hold.
    head : the locked feed head; None publishes nothing.
    """
    for chunk in _chunks(sorted(set(trees))):
        made = standings(load(chunk, today))
        store(made)
        if head is not None:
            publish_trees(head, chunk, made)


def roll_up_all(today: date | None = None) -> int:
    """Roll up every tree, a short transaction for each chunk; the daily job.

    Returns
    -------
    The number of trees.
    """
    day = timezone.localdate() if today is None else today
    ids = list(Tree.objects.order_by("id").values_list("id", flat=True))
    for chunk in _chunks(ids):
        with transaction.atomic():
            roll_up(chunk, today=day, head=lock_head())
    return len(ids)


def _chunks(ids: Sequence[UUID]) -> Iterator[Sequence[UUID]]:
    for start in range(0, len(ids), CHUNK):
        yield ids[start : start + CHUNK]
