"""Trees south of the equator live half a year on: dues, wire, and growth follow their site's latitude."""

from datetime import UTC, date, datetime
from uuid import uuid4

import numpy as np
import pytest

from nursery import journal
from nursery.models import Stale, Standing
from nursery.rollup import roll_up
from nursery.rollup.load import load
from nursery.science.growth_life import lives
from nursery.science.season import day_at, growing_months, growth_years
from tests.factories import BenchFactory, SiteFactory, TreeFactory, record, take

pytestmark = pytest.mark.django_db


def at(day: str) -> datetime:
    return datetime.fromisoformat(f"{day}T09:00:00+00:00").astimezone(UTC)


def day(text: str) -> int:
    return int(np.datetime64(text, "D").astype(np.int64))


def test_two_halves_of_the_globe_are_reckoned_in_one_call():
    on, until = [day("2026-02-01")] * 2, [day("2026-03-01")] * 2
    halves = np.array([False, True])
    gone = growing_months(until, south=halves) - growing_months(on, south=halves)
    assert gone == pytest.approx([0.1, 1.2])  # a February, and what an August is in the north
    assert day_at(growing_months(until, south=halves), south=halves).tolist() == until
    year = np.diff(growth_years([day("2026-07-01"), day("2027-01-01")], south=True))
    assert year == pytest.approx([3.35 / 7.9])  # July to December is the south's January to June


def test_exposure_of_a_southern_summer_is_that_of_a_northern_one():
    life = lives(["trunk", "trunk"], [day("2020-01-01")] * 2, [day("2018-04-01")] * 2, [False, True])
    tree = np.array([0, 0, 1, 1])
    ends = [day(text) for text in ("2026-06-01", "2026-09-01", "2025-12-01", "2026-03-01")]
    freely = life.exposure(tree, ends)[:, 1]
    assert freely[1] - freely[0] == pytest.approx(3.2 / 7.9)
    assert freely[3] - freely[2] == pytest.approx(3.2 / 7.9)


def soil_due(tree, today: str) -> bool:
    roll_up([tree.id], today=date.fromisoformat(today), head=None)
    return "soil" in {row["what"] for row in Standing.objects.get(tree=tree).due}


def test_pots_rest_in_the_winter_of_their_own_half():
    # Felt ten days ago: in January a northern pot rests (three weeks), a southern one does not (one week).
    north = BenchFactory(site=SiteFactory(latitude=48.0))
    south = BenchFactory(site=SiteFactory(latitude=-38.0))
    trees = [TreeFactory(bench=bench, at=at("2025-06-01")) for bench in (north, south)]
    for tree in trees:
        take(record("soil_check", {"state": "moist"}, tree=tree.id, at=at("2026-01-05")))
        take(record("soil_check", {"state": "moist"}, tree=tree.id, at=at("2026-07-05")))
    assert [soil_due(tree, "2026-07-15") for tree in trees] == [True, False]
    assert load([tree.id for tree in trees], date(2026, 7, 15)).south.tolist().count(True) == 1


def test_without_a_bench_the_only_site_tells_and_a_change_of_it_is_followed():
    site = uuid4()
    take(record("site_set", {"site": str(site), "name": "Down under", "latitude": -41.0}))
    tree = TreeFactory(at=at("2025-06-01"))
    assert load([tree.id], date(2026, 7, 15)).south.tolist() == [True]
    Stale.objects.all().delete()
    moved = record("site_set", {"site": str(site), "name": "Up north", "latitude": 41.0})
    journal.take_in([moved], roll_up=False)
    assert load([tree.id], date(2026, 7, 15)).south.tolist() == [False]
    assert set(Stale.objects.values_list("tree", flat=True)) == {tree.id}
    SiteFactory(latitude=None)
    assert load([tree.id], date(2026, 7, 15)).south.tolist() == [False]


def test_wire_put_on_in_a_southern_may_is_looked_at_after_the_winter():
    north = BenchFactory(site=SiteFactory(latitude=48.0))
    south = BenchFactory(site=SiteFactory(latitude=-38.0))
    days = []
    for bench in (north, south):
        tree = TreeFactory(bench=bench, phase="trunk", species="chinese-elm", at=at("2025-06-01"))
        take(record("wire_on", {"part": "trunk"}, tree=tree.id, at=at("2026-05-10")))
        roll_up([tree.id], today=date(2026, 5, 12), head=None)
        days.append(Standing.objects.get(tree=tree).wire_look_by)
    assert days[0] < date(2026, 6, 1)
    assert days[1] > date(2026, 8, 15)
