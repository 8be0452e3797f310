"""Standings of given trees, a chunk at a time."""

from collections.abc import Collection, Iterator, Sequence
from datetime import date
from uuid import UUID

from nursery import bulk
from nursery.models import FeedHead, Stale

from .compute import standings
from .load import load
from .store import publish_trees, store

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
    for chunk in chunks(sorted(set(trees))):
        made = standings(load(chunk, today))
        store(made)
        bulk.delete(Stale, chunk)
        if head is not None:
            publish_trees(head, chunk, made)


def chunks(ids: Sequence[UUID]) -> Iterator[Sequence[UUID]]:
    for start in range(0, len(ids), CHUNK):
        yield ids[start : start + CHUNK]
