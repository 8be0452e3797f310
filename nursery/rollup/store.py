"""Standings -> rows, and what phones mirror of each tree."""

from collections.abc import Collection, Sequence
from typing import Any
from uuid import UUID

from nursery import bulk
from nursery.feed import Data, publish
from nursery.models import FeedHead, Standing, Tree


def store(standings: Sequence[Standing]) -> None:
    """Write the rows in one statement."""
    bulk.upsert(Standing, standings, key=("tree",))


def publish_trees(head: FeedHead, asked: Collection[UUID], standings: Sequence[Standing]) -> None:
    """Publish the trees' rows; a tree that is asked for and not there is gone."""
    rows: list[tuple[str, str, Data | None]] = [
        ("tree", str(standing.tree_id), tree_data(standing.tree, standing)) for standing in standings
    ]
    there = {standing.tree_id for standing in standings}
    rows += [("tree", str(id), None) for id in asked if id not in there]
    publish(head, rows)


def tree_data(tree: Tree, standing: Standing) -> Data:
    """A tree as phones mirror it."""
    return {
        "tag": tree.tag,
        "species": tree.species_id,
        "phase": tree.phase,
        "sown": tree.sown_year,
        "lot": None if tree.lot_id is None else str(tree.lot_id),
        "bench": None if tree.bench_id is None else str(tree.bench_id),
        "row": tree.row,
        "place": tree.place,
        "target": {
            "base_mm": tree.target_base_mm,
            "height_mm": tree.target_height_mm,
            "style": tree.target_style,
        },
        "left": tree.left_how,
        "st": _standing_data(standing),
    }


def _standing_data(standing: Standing) -> dict[str, Any]:
    by = standing.wire_look_by
    since = standing.wire_on_since
    wire = by and {
        "state": standing.wire_state,
        "since": since and since.isoformat(),
        "by": by.isoformat(),
        "why": standing.wire_why,
    }
    return {
        "gate": standing.gate,
        "p": standing.readiness,
        "held": standing.held_by,
        "not_looked": standing.held_not_looked,
        "due": standing.due,
        "wire": wire,
        "buds_p": standing.buds_p,
        "last": standing.last,
        "caliper_mm": standing.caliper_mm,
        "as_of": standing.as_of.isoformat(),
    }
