"""Which trees get tags printed, in the order in which they will be put in."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Q, QuerySet

from nursery.models import Bench, SeedLot, Tree
from nursery.sentences import said

#: Trees that have left need no tag.
HERE = Q(left_how="")


@dataclass(frozen=True)
class TagRow:
    """What a tag says of its tree."""

    id: UUID
    tag: str
    species: str
    lot: str
    sown_year: int | None

    @property
    def origin(self) -> str:
        """Lot and year in one line, as far as they are known."""
        parts = [
            said("lot {lot}", lot=self.lot) if self.lot else "",
            said("sown {year}", year=str(self.sown_year)) if self.sown_year else "",
        ]
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True)
class Group:
    """A bench or a lot, and how many of its trees are here."""

    id: UUID
    name: str
    trees: int


def benches() -> list[Group]:
    """Benches with trees, in walking order. One query."""
    found = Bench.objects.annotate(n=Count("trees", filter=Q(trees__left_how=""))).filter(n__gt=0)
    return [Group(b.id, b.name, b.n) for b in found.order_by("walk_order", "name", "id")]


def lots() -> list[Group]:
    """Lots with trees, by code. One query."""
    found = SeedLot.objects.annotate(n=Count("trees", filter=Q(trees__left_how=""))).filter(n__gt=0)
    return [Group(lot.id, lot.code, lot.n) for lot in found.order_by("code", "id")]


def _rows(trees: "QuerySet[Tree]") -> list[TagRow]:
    values = trees.values_list("id", "tag", "species__name", "lot__code", "sown_year")
    return [TagRow(id, tag, species, lot or "", year) for id, tag, species, lot, year in values]


def of_tree(id: UUID) -> list[TagRow]:
    """The tree itself, also one that left; empty for none of that id. One query."""
    return _rows(Tree.objects.filter(id=id))


def of_bench(id: UUID) -> list[TagRow]:
    """The trees on a bench in walking order: odd rows onward, even rows back. Two queries."""
    trees = Tree.objects.filter(HERE, bench=id).order_by("tag", "id")
    stands = {
        tree: (row or 0, (place or 0) * (1 if (row or 0) % 2 else -1))
        for tree, row, place in trees.values_list("id", "row", "place")
    }
    return sorted(_rows(trees), key=lambda row: stands[row.id])


def of_lot(id: UUID) -> list[TagRow]:
    """The trees of a lot, by tag. One query."""
    return _rows(Tree.objects.filter(HERE, lot=id).order_by("tag", "id"))
