"""Which wiring a look or a taking-off belongs to: worked out from all wire records of a tree.

A second wiring that arrives late can change which wiring an unnamed look was about, so wirings are never
patched: all wire rows of a tree are made again whenever one of its wires is put on, taken off or corrected.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from operator import attrgetter
from typing import Any
from uuid import UUID

from django.db.models import Q

from nursery import bulk
from nursery.models import Fate, JournalRecord, WireInspection, Wiring

from .fields import as_uuid
from .kinds import WIRES
from .rec import Rec, load

#: The row of a look, as ``_look`` gives it.
LOOK = ("id", "tree_id", "run", "at", "bulk", "wiring_id", "state")
WIRING = ("id", "tree_id", "run", "at", "part", "wire_mm", "off_at", "scars", "bulk")
Row = tuple[Any, ...]
_SPANS = ("wire_on", "wire_off")


@dataclass(slots=True)
class On:
    """A row of Wiring while it is worked out."""

    id: UUID
    tree_id: UUID
    run: UUID | None
    at: datetime
    part: str
    wire_mm: float | None
    off_at: datetime | None = None
    scars: str = ""
    bulk: bool = False


def put(changed: Iterable[Rec]) -> None:
    """Bring the wire rows up to these changed records.

    New looks change no other row: they are laid beside what is there. Anything else remakes its tree.
    """
    by_tree = _by_tree(rec for rec in changed if rec.kind in WIRES and (rec.applied or rec.was_applied))
    only_looks = {tree: recs for tree, recs in by_tree.items() if all(map(_new_look, recs))}
    _add(only_looks)
    remake(by_tree.keys() - only_looks.keys())


def _new_look(rec: Rec) -> bool:
    return rec.kind == "wire_look" and rec.applied and not rec.was_applied


def _by_tree(recs: Iterable[Rec]) -> dict[UUID, list[Rec]]:
    by_tree: dict[UUID, list[Rec]] = defaultdict(list)
    for rec in recs:
        if rec.tree is not None:
            by_tree[rec.tree].append(rec)
    return by_tree


def _add(new: Mapping[UUID, Sequence[Rec]]) -> None:
    """Write the rows of new looks, by tree: which wiring each is about, the putting on and off tells.

    On most trees no wire was ever taken off: it is about the one that was put on last, and nothing more than
    their stamps is read.
    """
    if not new:
        return
    on: dict[UUID, list[tuple[str, UUID]]] = defaultdict(list)
    off: set[UUID] = set()
    found = JournalRecord.objects.filter(tree__in=new.keys(), kind__in=_SPANS, fate=Fate.APPLIED)
    for tree, kind, hlc, id in found.values_list("tree", "kind", "hlc", "id"):
        assert tree is not None
        if kind == "wire_off":
            off.add(tree)
        else:
            on[tree].append((hlc, id))
    known = _by_tree(load(Q(tree__in=off, kind__in=_SPANS, fate=Fate.APPLIED))) if off else {}
    looks: list[Row] = []
    for tree, recs in new.items():
        if tree in off:
            looks += of_tree(sorted([*known[tree], *recs], key=lambda rec: rec.key))[1]
        else:
            stamps = sorted(on[tree])
            looks += [_look(rec, _put_on_before(rec, stamps)) for rec in recs]
    bulk.upsert_rows(WireInspection, LOOK, looks)


def _put_on_before(look: Rec, on: Sequence[tuple[str, UUID]]) -> UUID | None:
    """The wiring that a look is about where none was taken off: the one it names, or the last one before."""
    before = bisect_left(on, look.key)
    return as_uuid(look.effective.get("wiring")) or (on[before - 1][1] if before else None)


def remake(trees: Collection[UUID]) -> None:
    """Make the wire rows of these trees anew."""
    if not trees:
        return
    by_tree = _by_tree(load(Q(tree__in=trees, kind__in=WIRES, fate=Fate.APPLIED)))
    wirings: list[Row] = []
    looks: list[Row] = []
    for recs in by_tree.values():
        ons, seen = of_tree(sorted(recs, key=lambda rec: rec.key))
        wirings += map(attrgetter(*WIRING), ons)
        looks += seen
    _replace(WireInspection, looks, trees)
    _replace(Wiring, wirings, trees)
    bulk.upsert_rows(Wiring, WIRING, wirings)
    bulk.upsert_rows(WireInspection, LOOK, looks)


def _replace(
    model: type[Wiring] | type[WireInspection], rows: Sequence[Row], trees: Collection[UUID]
) -> None:
    """Delete the rows of these trees that are no more."""
    there = set(model._default_manager.filter(tree__in=trees).values_list("id", flat=True))
    bulk.delete(model, there - {row[0] for row in rows})


def of_tree(recs: Sequence[Rec]) -> tuple[list[On], list[Row]]:
    """Wirings and looks of one tree, from its applied wire records in order.

    A record that names no wiring is about what was on at that time: a look about the newest wiring, a
    taking-off about all of them. One that names a wiring is about that one, even if its stamp is older than
    the wiring's.
    """
    wirings: dict[UUID, On] = {}
    for rec in recs:
        assert rec.tree is not None
        if rec.kind == "wire_on":
            wirings[rec.id] = On(
                id=rec.id,
                tree_id=rec.tree,
                run=rec.run,
                at=rec.observed_at,
                part=rec.effective["part"],
                wire_mm=rec.effective.get("wire_mm"),
            )
    open_now: list[On] = []
    off_early: set[UUID] = set()
    looks: list[Row] = []
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
            looks.append(_look(rec, named or (open_now[-1].id if open_now else None)))
    return list(wirings.values()), looks


def _take_off(wiring: On, rec: Rec) -> None:
    """The first taking-off counts; a later one can only add what the first did not say of scars."""
    if wiring.off_at is None:
        wiring.off_at = rec.observed_at
    wiring.scars = wiring.scars or rec.effective.get("scars") or ""


def _look(rec: Rec, wiring: UUID | None) -> Row:
    body = rec.effective
    return (rec.id, rec.tree, rec.run, rec.observed_at, body.get("bulk") is True, wiring, body["state"])
