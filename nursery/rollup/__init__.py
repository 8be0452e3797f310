"""Records -> standings."""

from collections.abc import Collection
from datetime import date
from uuid import UUID

from nursery.feed import Data, publish
from nursery.models import FeedHead, Tree


def roll_up(trees: Collection[UUID], *, today: date, head: FeedHead | None = None) -> None:
    """Publish the trees' rows."""
    if head is None:
        return
    publish(head, [("tree", str(tree.id), _data(tree)) for tree in Tree.objects.filter(id__in=trees)])


def _data(tree: Tree) -> Data:
    return {
        "tag": tree.tag,
        "species": tree.species_id,
        "phase": tree.phase,
        "sown": tree.sown_year,
        "lot": str(tree.lot_id) if tree.lot_id else None,
        "bench": str(tree.bench_id) if tree.bench_id else None,
        "row": tree.row,
        "place": tree.place,
        "target": {
            "base_mm": tree.target_base_mm,
            "height_mm": tree.target_height_mm,
            "style": tree.target_style,
        },
        "left": tree.left_how,
        "st": None,
    }
