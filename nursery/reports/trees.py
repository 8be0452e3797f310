"""Finding trees by tag."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from nursery.models import Tree

from .pages import Page, cut


@dataclass(frozen=True)
class FoundRow:
    """A tree in a list of trees."""

    id: UUID
    tag: str
    species: str
    phase: str
    sown_year: int | None
    bench_id: UUID | None
    bench: str
    row: int | None
    place: int | None
    left: str


def _found(trees: Iterable[Tree]) -> list[FoundRow]:
    return [
        FoundRow(
            t.id, t.tag, t.species.called, t.get_phase_display(), t.sown_year, t.bench_id,
            t.bench.name if t.bench else "", t.row, t.place, t.get_left_how_display() if t.left_how else "",
        )
        for t in trees
    ]  # fmt: skip


def find(tag: str, number: int = 1) -> Page[FoundRow]:
    """Trees whose tag begins with ``tag`` (any case); all trees for "". Those that left too. Two queries."""
    query = Tree.objects.select_related("species", "bench").order_by("tag", "id")
    if tag:
        query = query.filter(tag__istartswith=tag)
    return cut(query, number, _found)


def exactly(tag: str) -> list[UUID]:
    """The ids of the trees with this very tag, in any case; at most two. One query."""
    return list(Tree.objects.filter(tag__iexact=tag).order_by("id").values_list("id", flat=True)[:2])
