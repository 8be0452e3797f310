"""How much the roll-up asks of the database, and what it leaves as it was."""

import uuid
from datetime import UTC, date, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from nursery.feed import lock_head
from nursery.models import (
    BudCheck,
    Caliper,
    FeedRow,
    RootSurvey,
    SoilCheck,
    Standing,
    Tree,
    WireInspection,
    Wiring,
)
from nursery.rollup import roll_up, roll_up_all
from tests.factories import TreeFactory

pytestmark = pytest.mark.django_db
TODAY = date(2026, 6, 10)
START = datetime(2024, 4, 4, 9, tzinfo=UTC)
PHASES = ["seedling", "roots", "trunk", "branches"]


def _id(group: int, number: int) -> uuid.UUID:
    return uuid.UUID(int=(group << 64) + number + 1)


def nursery_of(count: int, *, start: int = 0) -> list[uuid.UUID]:
    """Rows of two years' looks, as many for each tree; written past the journal, for speed."""
    numbers = range(start, start + count)
    trees = [
        Tree(
            id=_id(1, n),
            tag=f"N{n}",
            species_id="japanese-black-pine",
            phase=PHASES[n % 4],
            phase_since=START.date(),
            sown_year=2019,
            target_base_mm=30,
        )
        for n in numbers
    ]
    Tree.objects.bulk_create(trees)
    wirings = [Wiring(id=_id(2, n), tree_id=_id(1, n), at=START, part="trunk") for n in numbers]
    Wiring.objects.bulk_create(wirings)
    looks = []
    soils, buds = [], []
    for n in numbers:
        for step in range(10):
            at = START + timedelta(days=70 * step)
            looks.append(
                WireInspection(
                    id=_id(3, n * 10 + step), tree_id=_id(1, n), at=at, wiring_id=_id(2, n), state="snug"
                )
            )
            soils.append(SoilCheck(id=_id(4, n * 10 + step), tree_id=_id(1, n), at=at, state="moist"))
            buds.append(BudCheck(id=_id(5, n * 10 + step), tree_id=_id(1, n), at=at, state="few"))
    WireInspection.objects.bulk_create(looks)
    SoilCheck.objects.bulk_create(soils)
    BudCheck.objects.bulk_create(buds)
    Caliper.objects.bulk_create(
        Caliper(id=_id(6, n * 3 + k), tree_id=_id(1, n), at=START + timedelta(days=300 * k), mm=14 + 4 * k)
        for n in numbers
        for k in range(3)
    )
    seen = [{"deg": angle, "grade": 2, "level": True} for angle in (0, 70, 130, 200, 290)]
    RootSurvey.objects.bulk_create(
        RootSurvey(id=_id(7, n), tree_id=_id(1, n), at=START, roots=seen, defects=[]) for n in numbers
    )
    return [tree.id for tree in trees]


def _queries(trees: list[uuid.UUID]) -> int:
    with (
        CaptureQueriesContext(
            connection,
        ) as seen,
        transaction.atomic(),
    ):
        roll_up(trees, today=TODAY, head=lock_head())
    return len(seen)


def test_ten_trees_and_twenty_cost_the_same_queries():
    assert _queries(nursery_of(10)) == _queries(nursery_of(20, start=100)) <= 20


def test_rolling_up_again_publishes_nothing():
    trees = nursery_of(6)
    with transaction.atomic():
        roll_up(trees, today=TODAY, head=lock_head())
    before = list(FeedRow.objects.filter(topic="tree").values_list("key", "seq"))
    assert roll_up_all(TODAY) == 6
    assert list(FeedRow.objects.filter(topic="tree").values_list("key", "seq")) == before
    assert len(before) == 6


def test_a_tree_alone_stands_as_it_does_among_others():
    trees = nursery_of(9)
    roll_up(trees, today=TODAY, head=None)
    among = list(Standing.objects.order_by("tree").values())
    for tree in trees:
        roll_up([tree], today=TODAY, head=None)
    assert list(Standing.objects.order_by("tree").values()) == among


def test_a_tree_that_is_not_there_is_published_as_gone():
    tree = TreeFactory()
    key = str(tree.id)
    tree.standing.delete()
    Tree.objects.filter(id=tree.id).delete()
    with transaction.atomic():
        roll_up([tree.id], today=TODAY, head=lock_head())
    assert FeedRow.objects.get(topic="tree", key=key).data is None


def test_the_command_says_what_it_did_and_refuses_no_day():
    nursery_of(2)
    out = StringIO()
    call_command("rollup", "--today", "2026-06-01", stdout=out)
    assert out.getvalue() == "Standings made of 2 trees.\n"
    assert set(Standing.objects.values_list("as_of", flat=True)) == {date(2026, 6, 1)}
    with pytest.raises(CommandError, match="no day"):
        call_command("rollup", "--today", "June")
