"""A push: what is stored, what is set aside, and why."""

import uuid

import pytest

from nursery import journal
from nursery.models import Caliper, Contested, JournalRecord, SoilCheck, Tree
from tests.factories import BenchFactory, SeedLotFactory, TreeFactory, record

pytestmark = pytest.mark.django_db


def test_rows_of_the_factories() -> None:
    bench = BenchFactory(rows=3, places=10)
    lot = SeedLotFactory(species="trident-maple")
    tree = TreeFactory(lot=lot, species="trident-maple", bench=bench, row=2, place=7, target_base_mm=60)
    assert (tree.bench_id, tree.row, tree.place) == (bench.id, 2, 7)
    assert (tree.lot_id, tree.species_id, tree.target_base_mm) == (lot.id, "trident-maple", 60)


def test_a_push_of_500_with_four_bad_ones() -> None:
    trees = [TreeFactory().id for _ in range(4)]
    first = record("soil_check", {"state": "dry"}, tree=trees[0])
    journal.take_in([first])
    good = [record("soil_check", {"state": "moist"}, tree=trees[n % 4]) for n in range(496)]
    bad = [
        record("moon_phase", {"phase": "full"}, tree=trees[0]),
        record("soil_check", {"state": "wet"}, tree=uuid.UUID(int=5)),
        record("caliper", {"mm": 4000}, tree=trees[1]),
        {**first, "body": {"state": "wet"}},
    ]
    push = [*good[:100], bad[0], *good[100:200], bad[1], bad[2], *good[200:], bad[3]]
    results = {result.id: result for result in journal.take_in(push)}
    assert [results[one["id"]].outcome for one in good] == ["stored"] * 496
    aside = [(results[one["id"]].reason, results[one["id"]].field) for one in bad]
    assert aside == [
        ("unknown_kind", "kind"),
        ("unknown_tree", "tree"),
        ("bad_value", "body.mm"),
        ("id_reused", "id"),
    ]
    assert SoilCheck.objects.count() == 497
    assert Caliper.objects.count() == 0
    assert SoilCheck.objects.get(id=first["id"]).state == "dry"
    assert Contested.objects.get().content["body"] == {"state": "wet"}
    assert JournalRecord.objects.get(id=bad[0]["id"]).body == {"phase": "full"}
    assert Tree.objects.count() == 4
