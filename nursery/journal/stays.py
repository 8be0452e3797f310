"""How long a tree stood in each phase, and what ended it: decisions, from its records."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from uuid import UUID

from django.db import transaction
from django.db.models import Exists, OuterRef, Q

from nursery import bulk
from nursery.feed import lock_head
from nursery.models import Fate, Leaving, Stay, Tree

from .rec import Rec, load

CHUNK = 1000
DECIDING = ("tree_new", "phase_change", "tree_left")


def fill() -> None:
    """Make the stays of trees that have none: an older version did not know them."""
    unknown = Tree.objects.filter(~Exists(Stay.objects.filter(tree=OuterRef("id")))).order_by("id")
    ids = list(unknown.values_list("id", flat=True))
    for start in range(0, len(ids), CHUNK):
        with transaction.atomic():
            lock_head()
            remake(ids[start : start + CHUNK])


def remake(trees: Collection[UUID]) -> None:
    """Make the stays of these trees anew from their applied records; of a tree that is no more, none."""
    if not trees:
        return
    recs: dict[UUID, list[Rec]] = defaultdict(list)
    for rec in load(Q(tree__in=trees, kind__in=DECIDING, fate=Fate.APPLIED)):
        assert rec.tree is not None
        recs[rec.tree].append(rec)
    made = [stay for id, mine in recs.items() for stay in of_tree(id, sorted(mine, key=lambda rec: rec.key))]
    there = set(Stay.objects.filter(tree__in=trees).values_list("id", flat=True))
    bulk.delete(Stay, there - {stay.id for stay in made})
    bulk.upsert(Stay, made)


def of_tree(id: UUID, recs: Sequence[Rec]) -> list[Stay]:
    """Stays from records in order. A phase named again ends nothing; once a tree has left, nothing counts."""
    out: list[Stay] = []
    for rec in recs:
        last = out[-1] if out else None
        if last is not None and last.end in Leaving.values:
            break
        body = rec.effective
        phase = body.get("phase") or "seedling" if rec.kind == "tree_new" else body.get("to", "")
        if last is not None and phase != last.phase:
            last.end, last.until, last.ended_by = phase or body["how"], rec.day, rec.id
        if phase and (last is None or last.end):
            out.append(Stay(id=rec.id, tree=id, phase=phase, since=rec.day))
    return out
