"""Make typed rows and feed rows agree with the fates of judged records. Doing it again changes nothing."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db import models

from nursery import bulk, hemisphere
from nursery.feed import Data, publish
from nursery.models import Bench, ChecklistRun, Fate, FeedHead, Practice, SeedLot, Site, Standing, Tree
from nursery.rollup import mark_all_stale

from . import looks, states, stays, wirings
from .kinds import TREE_STATE, WALKS
from .rec import Rec


@dataclass
class Touched:
    """The things whose rows have to be made anew."""

    site: set[UUID] = field(default_factory=set)
    bench: set[UUID] = field(default_factory=set)
    lot: set[UUID] = field(default_factory=set)
    run: set[UUID] = field(default_factory=set)
    tree_state: set[UUID] = field(default_factory=set)
    #: Whether a setting of practice changed.
    practice: bool = False
    #: Trees whose stays in their phases change.
    stays: set[UUID] = field(default_factory=set)
    #: Every tree that any changed record is about: their standings change.
    trees: set[UUID] = field(default_factory=set)

    @classmethod
    def by(cls, recs: Iterable[Rec]) -> "Touched":
        """What these changed records touch. One that neither is nor was applied touches nothing."""
        touched = cls()
        for rec in recs:
            if not (rec.applied or rec.was_applied) or rec.spec is None:
                continue
            if rec.kind == "practice_set":
                touched.practice = True
            elif rec.kind in WALKS:
                touched.run.update(id for id in (rec.run,) if id)
            elif rec.spec.makes in ("site", "bench", "lot"):
                things: set[UUID] = getattr(touched, rec.spec.makes)
                things.update(id for id in (rec.makes, rec.old[6]) if id)
            elif rec.tree is not None and rec.spec.tree:
                touched.trees.add(rec.tree)
                if rec.kind in TREE_STATE:
                    touched.tree_state.add(rec.tree)
                if rec.kind in stays.DECIDING:
                    touched.stays.add(rec.tree)
        return touched


def apply(head: FeedHead | None, changed: Collection[Rec]) -> set[UUID]:
    """Remake what records touch whose saved fates changed, and publish it.

    ``head`` None publishes nothing: the caller does, in the end. Returns the ids of the trees touched that
    exist, for the roll-up (which publishes the trees).
    """
    touched = Touched.by(changed)
    rows: list[tuple[str, str, Data | None]] = []
    gone: list[tuple[type[models.Model], Collection[UUID]]] = []
    placed = touched.site or touched.bench
    halves = hemisphere.halves() if placed else {}
    for model, ids, made in (
        (Site, touched.site, states.sites),
        (SeedLot, touched.lot, states.lots),
        (Bench, touched.bench, states.benches),
        (Tree, touched.tree_state, states.trees),
        (ChecklistRun, touched.run, states.runs),
    ):
        lost = _put(model, ids, made, rows)
        gone.append((model, lost))
        if model is Tree:
            gone.append((Standing, lost))
            touched.trees -= lost
            rows += [("tree", str(id), None) for id in lost]
    if touched.practice:
        _put_practice()
    if placed and _turned(halves, hemisphere.halves()):
        mark_all_stale()
    stays.remake(touched.stays)
    gone += list(looks.put(changed).items())
    wirings.put(changed)
    # What hangs on a thing goes before the thing.
    for kind, ended in reversed(gone):
        bulk.delete(kind, ended)
    rows += [("fate", str(rec.id), fate_data(rec)) for rec in changed if _ever_set_aside(rec)]
    if head is not None:
        publish(head, rows)
    return touched.trees


def _put(model: Any, ids: Collection[UUID], made: Any, rows: list[tuple[str, str, Data | None]]) -> set[UUID]:
    """Write the rows of touched things, note what to publish, and return the ids of things no more."""
    if not ids:
        return set()
    things = made(ids)
    bulk.upsert(model, things)
    lost = set(ids) - {thing.id for thing in things}
    if model in PUBLISHED:
        topic, data = PUBLISHED[model]
        rows += [(topic, str(thing.id), data(thing)) for thing in things]
        rows += [(topic, str(id), None) for id in lost]
    return lost


def _put_practice() -> None:
    """Write the settings. All standings rest on them, too many for this transaction: they wait their turn."""
    before = dict(Practice.objects.values_list("name", "value"))
    settings = states.practice()
    bulk.upsert(Practice, settings, key=("name",))
    Practice.objects.exclude(name__in=[one.name for one in settings]).delete()
    after = {one.name: one.value for one in settings}
    if any(before.get(name) != after.get(name) for name in before.keys() | after.keys()):
        mark_all_stale()


def _turned(before: Mapping[UUID | None, bool], after: Mapping[UUID | None, bool]) -> bool:
    """Whether a bench that was there, or the trees without one, changed to the seasons of the other half."""
    return any(before[id] != after[id] for id in before.keys() & after.keys())


def site_data(site: Site) -> Data:
    return {"name": site.name, "time_zone": site.time_zone}


def bench_data(bench: Bench) -> Data:
    return {"name": bench.name, "rows": bench.rows, "places": bench.places, "order": bench.walk_order}


def lot_data(lot: SeedLot) -> Data:
    return {"code": lot.code, "species": lot.species_id, "year": lot.year}


PUBLISHED: dict[type[models.Model], tuple[str, Any]] = {
    Site: ("site", site_data),
    Bench: ("bench", bench_data),
    SeedLot: ("lot", lot_data),
}


def fate_data(rec: Rec) -> Data:
    """What a phone is told of a record that was ever set aside."""
    fault = rec.fault
    return {"fate": rec.fate, "reason": fault.reason, "message": fault.message, "mend": fault.mend}


def _ever_set_aside(rec: Rec) -> bool:
    return rec.fate == Fate.SET_ASIDE or rec.old[0] == Fate.SET_ASIDE
