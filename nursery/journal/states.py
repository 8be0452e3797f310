"""The state of things that change: the latest applied record by (hlc, id) wins, whatever came first."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from typing import Any
from uuid import UUID

from django.db.models import Q

from nursery.models import Bench, ChecklistRun, Fate, Practice, SeedLot, Site, Tree

from .fields import as_uuid
from .kinds import TREE_STATE, WALKS
from .rec import Rec, load


def _latest(makes: Collection[UUID], kind: str) -> dict[UUID, Rec]:
    """The latest applied record of a kind for each thing."""
    winners: dict[UUID, Rec] = {}
    for rec in load(Q(makes__in=makes, kind=kind, fate=Fate.APPLIED)):
        assert rec.makes is not None
        best = winners.get(rec.makes)
        winners[rec.makes] = rec if best is None or rec.key > best.key else best
    return winners


def sites(ids: Collection[UUID]) -> list[Site]:
    return [
        Site(
            id=id,
            name=rec.effective["name"],
            time_zone=rec.effective.get("time_zone") or "UTC",
            latitude=rec.effective.get("latitude"),
            longitude=rec.effective.get("longitude"),
        )
        for id, rec in _latest(ids, "site_set").items()
    ]


def benches(ids: Collection[UUID]) -> list[Bench]:
    return [
        Bench(
            id=id,
            site_id=UUID(rec.effective["site"]),
            name=rec.effective["name"],
            rows=rec.effective["rows"],
            places=rec.effective["places"],
            walk_order=rec.effective.get("walk_order") or 0,
        )
        for id, rec in _latest(ids, "bench_set").items()
    ]


def lots(ids: Collection[UUID]) -> list[SeedLot]:
    return [
        SeedLot(
            id=id,
            code=rec.effective["code"],
            species_id=rec.effective["species"],
            source=rec.effective.get("source") or "",
            year=rec.effective.get("year"),
        )
        for id, rec in _latest(ids, "lot_set").items()
    ]


def runs(ids: Collection[UUID]) -> list[ChecklistRun]:
    """Walks: begun by the earliest start, ended by the latest end."""
    by_run: dict[UUID, list[Rec]] = defaultdict(list)
    # A start makes its run, an end needs it: these have indexes, and the records of a run have none.
    of_runs = Q(makes__in=ids) | Q(ref__in=ids)
    for rec in load(of_runs & Q(kind__in=WALKS, fate=Fate.APPLIED)):
        assert rec.run is not None
        by_run[rec.run].append(rec)
    made = []
    for id, recs in by_run.items():
        starts = sorted((rec for rec in recs if rec.kind == "walk_started"), key=lambda rec: rec.key)
        ends = sorted((rec for rec in recs if rec.kind == "walk_ended"), key=lambda rec: rec.key)
        if starts:
            made.append(
                ChecklistRun(
                    id=id,
                    bench_id=UUID(starts[-1].effective["bench"]),
                    started_at=starts[0].observed_at,
                    ended_at=ends[-1].observed_at if ends else None,
                    device=starts[0].device,
                )
            )
    return made


def practice() -> list[Practice]:
    """Every setting that was ever changed."""
    winners: dict[str, Rec] = {}
    for rec in load(Q(tree=None, kind="practice_set", fate=Fate.APPLIED), order=True):
        winners[rec.effective["name"]] = rec
    return [
        Practice(name=name, value=rec.effective["value"], at=rec.observed_at, record=rec.id)
        for name, rec in winners.items()
    ]


def trees(ids: Collection[UUID]) -> list[Tree]:
    """Trees as their records leave them."""
    by_tree: dict[UUID, list[Rec]] = defaultdict(list)
    for rec in load(Q(tree__in=ids, kind__in=TREE_STATE, fate=Fate.APPLIED)):
        assert rec.tree is not None
        by_tree[rec.tree].append(rec)
    return [
        tree(id, sorted(recs, key=lambda rec: rec.key))
        for id, recs in by_tree.items()
        if any(rec.kind == "tree_new" for rec in recs)
    ]


def tree(id: UUID, recs: Iterable[Rec]) -> Tree:
    """One tree from its applied state records in order, at least one of them ``tree_new``."""
    row = Tree(id=id)
    for rec in recs:
        _STEPS[rec.kind](row, rec, rec.effective)
    return row


def _new(row: Tree, rec: Rec, body: dict[str, Any]) -> None:
    row.tag = body["tag"]
    row.species_id = body["species"]
    row.lot_id = as_uuid(body.get("lot"))
    row.sown_year = body.get("sown_year")
    row.phase = body.get("phase") or "seedling"
    row.phase_since = rec.day


def _tag(row: Tree, rec: Rec, body: dict[str, Any]) -> None:
    row.tag = body["tag"]


def _target(row: Tree, rec: Rec, body: dict[str, Any]) -> None:
    """What the body names is set, or cleared by null; what it leaves out stays."""
    if "height_mm" in body:
        row.target_height_mm = body["height_mm"]
    if "base_mm" in body:
        row.target_base_mm = body["base_mm"]
    if "style" in body:
        row.target_style = body["style"] or ""


def _move(row: Tree, rec: Rec, body: dict[str, Any]) -> None:
    row.bench_id = as_uuid(body["bench"])
    on_bench = row.bench_id is not None
    row.row = body["row"] if on_bench else None
    row.place = body["place"] if on_bench else None


def _phase(row: Tree, rec: Rec, body: dict[str, Any]) -> None:
    if row.phase != body["to"] or row.phase_since is None:
        row.phase_since = rec.day
    row.phase = body["to"]


def _left(row: Tree, rec: Rec, body: dict[str, Any]) -> None:
    row.left_how = body["how"]
    row.left_on = rec.day
    row.left_why = body.get("why") or ""


_STEPS = {
    "tree_new": _new,
    "tree_tag": _tag,
    "target_set": _target,
    "tree_move": _move,
    "phase_change": _phase,
    "tree_left": _left,
}
