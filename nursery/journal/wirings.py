"""Which wiring a look or a taking-off belongs to: worked out anew for a whole tree from its wire records.

A second wiring that arrives late can change which wiring an unnamed look was about, so single records are
never patched: all wire rows of a tree are made again whenever one of its wire records changes.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from uuid import UUID

from django.db.models import Q

from nursery import bulk
from nursery.models import Fate, WireInspection, Wiring

from .fields import as_uuid
from .kinds import WIRES
from .rec import Rec, load


def remake(trees: Collection[UUID]) -> None:
    """Make the wire rows of these trees anew."""
    if not trees:
        return
    by_tree: dict[UUID, list[Rec]] = defaultdict(list)
    for rec in load(Q(tree__in=trees, kind__in=WIRES, fate=Fate.APPLIED)):
        assert rec.tree is not None
        by_tree[rec.tree].append(rec)
    wirings: list[Wiring] = []
    looks: list[WireInspection] = []
    for recs in by_tree.values():
        ons, seen = of_tree(sorted(recs, key=lambda rec: rec.key))
        wirings += ons
        looks += seen
    _replace(WireInspection, looks, trees)
    _replace(Wiring, wirings, trees)
    bulk.upsert(Wiring, wirings)
    bulk.upsert(WireInspection, looks)


def _replace(
    model: type[Wiring] | type[WireInspection],
    rows: Sequence[Wiring] | Sequence[WireInspection],
    trees: Collection[UUID],
) -> None:
    """Delete the rows of these trees that are no more."""
    there = set(model._default_manager.filter(tree__in=trees).values_list("id", flat=True))
    bulk.delete(model, there - {row.id for row in rows})


def of_tree(recs: Sequence[Rec]) -> tuple[list[Wiring], list[WireInspection]]:
    """Wirings and looks of one tree, from its applied wire records in order.

    A record that names no wiring is about what was on at that time: a look about the newest wiring, a
    taking-off about all of them. One that names a wiring is about that one, even if its stamp is older than
    the wiring's.
    """
    wirings: dict[UUID, Wiring] = {}
    for rec in recs:
        assert rec.tree is not None
        if rec.kind == "wire_on":
            wirings[rec.id] = Wiring(
                id=rec.id,
                tree_id=rec.tree,
                run=rec.run,
                at=rec.observed_at,
                part=rec.effective["part"],
                wire_mm=rec.effective.get("wire_mm"),
            )
    open_now: list[Wiring] = []
    off_early: set[UUID] = set()
    looks = []
    for rec in recs:
        named = as_uuid(rec.effective.get("wiring"))
        if rec.kind == "wire_on":
            if rec.id not in off_early:
                open_now.append(wirings[rec.id])
        elif rec.kind == "wire_off":
            for wiring in [wirings[named]] if named else list(open_now):
                _take_off(wiring, rec)
                off_early.add(wiring.id)
                if wiring in open_now:
                    open_now.remove(wiring)
        else:
            about = wirings[named] if named else (open_now[-1] if open_now else None)
            looks.append(_look(rec, about))
    return list(wirings.values()), looks


def _take_off(wiring: Wiring, rec: Rec) -> None:
    """The first taking-off counts; a later one can only add what the first did not say of scars."""
    if wiring.off_at is None:
        wiring.off_at = rec.observed_at
    wiring.scars = wiring.scars or rec.effective.get("scars") or ""


def _look(rec: Rec, about: Wiring | None) -> WireInspection:
    assert rec.tree is not None
    return WireInspection(
        id=rec.id,
        tree_id=rec.tree,
        run=rec.run,
        at=rec.observed_at,
        bulk=rec.effective.get("bulk") is True,
        wiring_id=about.id if about else None,
        state=rec.effective["state"],
    )
