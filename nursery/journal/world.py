"""Which things exist, while a batch is judged."""

from collections.abc import Collection, Iterable
from uuid import UUID

from django.db import models
from django.db.models import Q

from nursery import bulk
from nursery.models import Bench, ChecklistRun, Fate, SeedLot, Site, Species, Tree, Wiring

from .kinds import KINDS
from .rec import Rec, load

MODELS: dict[str, type[models.Model]] = {
    "tree": Tree,
    "bench": Bench,
    "lot": SeedLot,
    "site": Site,
    "wiring": Wiring,
    "run": ChecklistRun,
}
MAKERS = {thing: tuple(kind.name for kind in KINDS.values() if kind.makes == thing) for thing in MODELS}
NEEDERS = {thing: tuple(kind.name for kind in KINDS.values() if kind.ref_thing == thing) for thing in MODELS}
ON_TREES = tuple(kind.name for kind in KINDS.values() if kind.tree and kind.makes != "tree")
#: Fates that a change of the things around a record can change. Pending ones are judged in their own batch.
_MOVABLE = (Fate.APPLIED, Fate.SET_ASIDE)


class World:
    """What exists: the typed rows in the database, with what this batch made or unmade laid over them.

    Every question is put for a whole level at a time, so the number of queries does not grow with a batch.
    """

    def __init__(self) -> None:
        self._there: dict[str, dict[UUID, bool]] = {thing: {} for thing in MODELS}
        self._tree_of: dict[UUID, UUID | None] = {}
        self._species: frozenset[str] | None = None

    def look_up(self, recs: Iterable[Rec]) -> None:
        """Learn what the records of a level need, and whether what they make was there before."""
        wanted: dict[str, set[UUID]] = {thing: set() for thing in MODELS}
        for rec in recs:
            spec = rec.spec
            if spec is None:
                continue
            if spec.tree and rec.tree is not None:
                wanted["tree"].add(rec.tree)
            if rec.ref is not None and spec.ref_thing:
                wanted[spec.ref_thing].add(rec.ref)
            if spec.makes:
                wanted[spec.makes].update(id for id in (rec.makes, rec.old[6]) if id is not None)
        for thing, ids in wanted.items():
            self._learn(thing, ids)

    def _learn(self, thing: str, ids: set[UUID]) -> None:
        there = self._there[thing]
        ids = ids - there.keys()
        if not ids:
            return
        there.update(dict.fromkeys(ids, False))
        if thing == "wiring":
            self._tree_of.update(dict(Wiring.objects.filter(pk__in=ids).values_list("pk", "tree")))
            there.update(dict.fromkeys(ids & self._tree_of.keys(), True))
        else:
            there.update((id, True) for (id,) in bulk.among(MODELS[thing], ids))

    def has(self, thing: str, id: UUID | None) -> bool:
        return id is not None and self._there[thing].get(id, False)

    def tree_of_wiring(self, id: UUID) -> UUID | None:
        return self._tree_of.get(id)

    def has_species(self, slug: object) -> bool:
        if self._species is None:
            self._species = frozenset(Species.objects.values_list("slug", flat=True))
        return slug in self._species

    def moved(self, recs: Collection[Rec]) -> list[Rec]:
        """Lay what the judged records of a level make over the world.

        Returns the stored records whose tree or other needed thing came or went by it.
        """
        where = Q()
        for thing, kinds in MAKERS.items():
            came_or_went = self._remake(thing, [rec for rec in recs if rec.kind in kinds])
            if came_or_went:
                where |= Q(ref__in=came_or_went, kind__in=NEEDERS[thing])
                if thing == "tree":
                    where |= Q(tree__in=came_or_went, kind__in=ON_TREES)
        if not where:
            return []
        return load(where & Q(fate__in=_MOVABLE))

    def _remake(self, thing: str, makers: list[Rec]) -> set[UUID]:
        touched = {rec.makes for rec in makers if rec.makes and rec.applied}
        touched |= {rec.old[6] for rec in makers if rec.old[6] and rec.was_applied}
        if not touched:
            return set()
        there = self._there[thing]
        before = {id: there[id] for id in touched}
        made = {rec.makes for rec in makers if rec.makes and rec.applied}
        lost = touched - made
        if lost:
            judged = {rec.id for rec in makers}
            others = load(Q(makes__in=lost, kind__in=MAKERS[thing], fate=Fate.APPLIED))
            made |= {rec.makes for rec in others if rec.makes and rec.id not in judged}
        for id in touched:
            there[id] = id in made
        if thing == "wiring":
            self._tree_of.update({rec.id: rec.tree for rec in makers})
        return {id for id in touched if before[id] != there[id]}
