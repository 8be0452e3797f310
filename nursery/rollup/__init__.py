"""Records -> standings: incremental after each push, and rebuildable from nothing.

A standing depends on the tree's records, its species, the day, the grower's settings of practice, and what
the daily job last learned from the nursery's own wires, trunks and roots; on nothing else.
"""

from datetime import date

from django.db import transaction
from django.utils import timezone

from nursery import practice, thickness
from nursery.feed import lock_head
from nursery.models import Tree

from . import kept, wire_fit
from .make import CHUNK, chunks, roll_up
from .rules import rules
from .stale import mark_all_stale, mark_stale, settle_stale

__all__ = ["CHUNK", "mark_all_stale", "mark_stale", "roll_up", "roll_up_all", "rules", "settle_stale"]


def roll_up_all(today: date | None = None, *, refit: bool = False) -> int:
    """Roll up every tree, a short transaction for each chunk; the daily job.

    Parameters
    ----------
    today : the day for which the standings hold.
    refit : first learn anew from the nursery's own wires, trunks and roots; then score the seasons past.

    Returns
    -------
    The number of trees.
    """
    day = timezone.localdate() if today is None else today
    if refit:
        wire_fit.refit(day)
        thickness.refit(day)
        practice.refit(day)
    ids = list(Tree.objects.order_by("id").values_list("id", flat=True))
    for chunk in chunks(ids):
        with transaction.atomic():
            roll_up(chunk, today=day, head=lock_head())
    if refit:
        kept.score_seasons(day)
    return len(ids)
