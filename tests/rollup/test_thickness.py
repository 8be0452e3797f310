"""What the nursery learned of trunks: kept, used at the gate and on the tree's page, said where it is not."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.utils import timezone

from nursery import thickness
from nursery.journal import rebuild
from nursery.models import GrowthFit, Standing
from nursery.reports.thick import measures
from nursery.reports.tree import tree as page_of
from nursery.rollup import roll_up, roll_up_all
from nursery.sentences import say
from tests.factories import SeedLotFactory, TreeFactory, record, take

pytestmark = pytest.mark.django_db
TODAY = date(2026, 6, 10)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(hour=9, tzinfo=UTC)


def trunk(**rest):
    return TreeFactory(phase="trunk", sown_year=2019, at=at("2022-03-01"), **rest)


def read(tree, *readings: tuple[str, float]) -> None:
    take(*(record("caliper", {"mm": mm}, tree=tree.id, at=at(day)) for day, mm in readings))


def gate(tree) -> dict:
    roll_up([tree.id], today=TODAY, head=None)
    return next(row for row in Standing.objects.get(tree=tree).criteria if row["name"] == "at_target")


def test_a_slip_of_the_decimal_point_is_kept_flagged_and_hardly_counts():
    plain, slipped = trunk(target_base_mm=40), trunk(target_base_mm=40)
    good = [("2023-11-01", 14.0), ("2024-11-01", 18.0), ("2025-11-01", 22.5)]
    read(plain, *good)
    read(slipped, *good, ("2026-03-01", 225.0))
    told = gate(slipped)
    said = say(told["why"], today=TODAY)
    assert "225 mm on 1 March looks ten times too large: check the decimal point" in said
    assert len(told["evidence"]) == 3
    assert gate(plain)["p"] == told["p"] == pytest.approx(0.001)
    shown = page_of(slipped.id)
    assert [m.mm for m in shown.measures] == [14.0, 18.0, 22.5, 225.0]
    assert [bool(m.check) for m in shown.measures] == [False, False, False, True]


def test_a_trunk_that_shrank_is_told():
    tree = trunk(target_base_mm=40)
    read(tree, ("2023-11-01", 20.0), ("2024-11-01", 24.0), ("2025-11-01", 17.0))
    said = say(gate(tree)["why"], today=TODAY)
    assert "17 mm on 1 November 2025 is thinner than a reading before it: measure again" in said


def test_gate_and_forecast_follow_a_new_target_at_once():
    tree = trunk(target_base_mm=40)
    read(tree, ("2024-11-01", 18.0), ("2025-11-01", 22.5))
    far, before = gate(tree)["p"], page_of(tree.id).thickness
    take(record("target_set", {"base_mm": 24}, tree=tree.id, at=at("2026-06-09")))
    near, after = gate(tree)["p"], page_of(tree.id).thickness
    assert far < 0.01 < 0.3 < near
    assert (before.target, after.target) == (40.0, 24.0)
    assert before.arrival[1] > after.arrival[1]
    assert before.arrival[0] < before.arrival[1] < before.arrival[2]
    # The same trunk either way: only the target moved.
    assert before.years[0] == after.years[0]
    assert before.years[0].low < before.years[0].middle < before.years[0].high


def grown(lot, n: int, rate: float, factor: float = 1.0) -> list:
    trees = [trunk(lot=lot, tag=f"{lot.code}{k}", target_base_mm=40) for k in range(n)]
    for k, tree in enumerate(trees):
        size = factor * rate * (1 + 0.02 * (k % 5 - 2))
        read(tree, *((f"{year}-11-01", round(size * (year - 2019), 1)) for year in (2023, 2024, 2025)))
    return trees


def test_a_tree_without_readings_borrows_from_its_lot_once_that_is_learned():
    thick, thin = SeedLotFactory(code="A"), SeedLotFactory(code="B")
    grown(thick, 6, 6.0)
    grown(thin, 6, 3.0)
    unread = [trunk(lot=lot, target_base_mm=40) for lot in (thick, thin)]
    assert len({gate(tree)["p"] for tree in unread}) == 1
    fit = thickness.refit(TODAY)
    assert (fit.trees, fit.readings) == (12, 36)
    p = [gate(tree)["p"] for tree in unread]
    assert p[0] > 0.15
    assert p[1] == 0.05  # what nobody measured is never a plain no
    about = [page_of(tree.id).thickness.years[0].middle for tree in unread]
    assert about[0] == pytest.approx(1.9 * about[1], rel=0.15)
    said = page_of(unread[0].id).thickness.grounds
    assert said == (
        "Never measured: it is as its lot and species. Growth learned from 36 readings of 12 trees here."
    )


def test_the_fit_outlives_a_rebuild_and_standings_with_it():
    lot = SeedLotFactory(code="A")
    trees = grown(lot, 5, 5.0)
    roll_up_all(TODAY, refit=True)
    before = list(Standing.objects.order_by("tree").values())
    rebuild(TODAY)
    assert list(Standing.objects.order_by("tree").values()) == before
    assert GrowthFit.objects.get().trees == len(trees)


def test_a_fit_that_does_not_settle_is_said_on_the_page():
    tree = trunk(target_base_mm=40)
    read(tree, ("2025-11-01", 22.5))
    assert page_of(tree.id).thickness.grounds.endswith("the nursery has not been learned from yet.")
    thickness.refit(TODAY)
    GrowthFit.objects.update(converged=False)
    assert "do not settle: spreads are those of practice" in page_of(tree.id).thickness.grounds


def test_nothing_measured_is_nothing_learned():
    trunk()
    assert thickness.refit(TODAY) is None
    assert thickness.current() is None


def test_the_page_forecasts_a_tree_of_unknown_age_and_none_that_left():
    tree = TreeFactory(phase="trunk", sown_year=None, at=at("2026-03-01"), target_height_mm=300)
    read(tree, ("2026-04-01", 30.0))
    shown = page_of(tree.id)
    assert shown.thickness.target == 50.0
    assert 28 < shown.thickness.years[0].middle < 40
    assert shown.thickness.arrival[1] > timezone.localdate() + timedelta(days=365)
    take(record("tree_left", {"how": "sold"}, tree=tree.id, at=at("2026-06-01")))
    assert page_of(tree.id).thickness is None
    assert [m.mm for m in measures(tree)] == [30.0]
