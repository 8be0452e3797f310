"""The state of trees and wires: the latest stamp wins, whichever record came first."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from nursery import journal
from nursery.models import ChecklistRun, JournalRecord, Tree, WireInspection, Wiring
from tests.factories import START, BenchFactory, TreeFactory, new_id, record, take, withdrawal

pytestmark = pytest.mark.django_db


def at(day: int) -> datetime:
    return START + timedelta(days=day)


def test_the_latest_stamp_wins_in_any_order() -> None:
    tree, bench = TreeFactory(at=at(0)), BenchFactory()
    late = [
        record("tree_tag", {"tag": "B2"}, tree=tree.id, at=at(9)),
        record("tree_move", {"bench": bench.id, "row": 2, "place": 3}, tree=tree.id, at=at(9)),
        record("phase_change", {"to": "trunk"}, tree=tree.id, at=at(9)),
    ]
    early = [
        record("tree_tag", {"tag": "B1"}, tree=tree.id, at=at(5)),
        record("tree_move", {"bench": bench.id, "row": 1, "place": 1}, tree=tree.id, at=at(5)),
        record("phase_change", {"to": "roots"}, tree=tree.id, at=at(5)),
    ]
    take(*late)
    take(*early)
    tree.refresh_from_db()
    assert (tree.tag, tree.row, tree.place, tree.phase) == ("B2", 2, 3, "trunk")
    assert tree.phase_since == date(2026, 3, 10)


def test_a_target_keeps_what_a_later_record_leaves_out() -> None:
    tree = TreeFactory(target_height_mm=300, target_base_mm=50, target_style="slanting")
    take(record("target_set", {"base_mm": 60, "style": None}, tree=tree.id))
    tree.refresh_from_db()
    assert (tree.target_height_mm, tree.target_base_mm, tree.target_style) == (300, 60, "")


def test_a_tree_leaves_on_the_day_of_the_grower() -> None:
    tree = TreeFactory()
    left = record("tree_left", {"how": "culled", "why": "one root"}, tree=tree.id,
                  at=datetime(2026, 5, 1, 23, 30, tzinfo=UTC), utc_offset_min=120)  # fmt: skip
    take(left)
    tree.refresh_from_db()
    assert (tree.left_how, tree.left_on, tree.left_why) == ("culled", date(2026, 5, 2), "one root")
    take(withdrawal(left))
    tree.refresh_from_db()
    assert (tree.left_how, tree.left_on) == ("", None)


def test_off_the_bench() -> None:
    tree = TreeFactory(bench=BenchFactory())
    take(record("tree_move", {"bench": None}, tree=tree.id))
    tree.refresh_from_db()
    assert (tree.bench, tree.row, tree.place) == (None, None, None)


def test_a_walk_is_ended_by_its_end() -> None:
    bench, run = BenchFactory(), new_id()
    take(record("walk_started", {"bench": bench.id}, run=run, at=at(1)))
    assert ChecklistRun.objects.get().ended_at is None
    take(record("walk_ended", {}, run=run, at=at(1) + timedelta(minutes=20)))
    walk = ChecklistRun.objects.get()
    assert (walk.bench_id, walk.started_at) == (bench.id, at(1))
    assert walk.ended_at == at(1) + timedelta(minutes=20)


class TestWires:
    @pytest.fixture
    def tree(self) -> Tree:
        tree: Tree = TreeFactory()
        return tree

    @staticmethod
    def on(tree: Tree, day: int) -> dict[str, Any]:
        return record("wire_on", {"part": "trunk"}, tree=tree.id, at=at(day))

    @staticmethod
    def look(tree: Tree, day: int, **body: Any) -> dict[str, Any]:
        return record("wire_look", {"state": "snug", **body}, tree=tree.id, at=at(day))

    @staticmethod
    def about(look: dict[str, Any]) -> str | None:
        found = WireInspection.objects.get(id=look["id"]).wiring_id
        return str(found) if found else None

    def test_an_unnamed_look_is_about_the_newest_wiring_on(self, tree: Tree) -> None:
        first, second = self.on(tree, 1), self.on(tree, 10)
        before, between, after = self.look(tree, 0), self.look(tree, 5), self.look(tree, 15)
        take(after, before, between, first, second)
        assert [self.about(one) for one in (before, between, after)] == [None, first["id"], second["id"]]

    def test_a_wiring_that_arrives_late_takes_its_looks_over(self, tree: Tree) -> None:
        first, second = self.on(tree, 1), self.on(tree, 10)
        look, off = self.look(tree, 15), record("wire_off", {"scars": "light"}, tree=tree.id, at=at(20))
        take(first, look, off)
        assert self.about(look) == first["id"]
        take(second)
        assert self.about(look) == second["id"]
        assert [(row.off_at, row.scars) for row in Wiring.objects.all()] == [(at(20), "light")] * 2

    def test_a_taking_off_ends_only_what_was_on(self, tree: Tree) -> None:
        first, second = self.on(tree, 1), self.on(tree, 10)
        off, late = record("wire_off", {}, tree=tree.id, at=at(5)), self.look(tree, 7)
        take(second, off, first, late)
        assert Wiring.objects.get(id=first["id"]).off_at == at(5)
        assert Wiring.objects.get(id=second["id"]).off_at is None
        assert self.about(late) is None

    def test_a_named_wiring_counts_whatever_else_is_on(self, tree: Tree) -> None:
        first, second = self.on(tree, 1), self.on(tree, 2)
        look = self.look(tree, 5, wiring=first["id"])
        off = record("wire_off", {"wiring": second["id"]}, tree=tree.id, at=at(6))
        after = self.look(tree, 7)
        take(first, second, look, off, after)
        assert (self.about(look), self.about(after)) == (first["id"], first["id"])

    def test_a_withdrawn_wiring_gives_its_looks_back(self, tree: Tree) -> None:
        first, second = self.on(tree, 1), self.on(tree, 2)
        look, named = self.look(tree, 5), self.look(tree, 6, wiring=second["id"])
        take(first, second, look, named)
        take(withdrawal(second))
        assert self.about(look) == first["id"]
        assert not WireInspection.objects.filter(id=named["id"]).exists()
        assert JournalRecord.objects.get(id=named["id"]).reason == "unknown_wiring"


@pytest.mark.parametrize(
    ("minutes", "ahead"), [(4, False), (6, True), (60 * 24 * 365, True), (-60 * 24 * 365, False)]
)
def test_a_stamp_ahead_of_the_server_is_flagged_and_applied(minutes: int, ahead: bool) -> None:
    tree = TreeFactory()
    now = datetime(2026, 4, 1, 12, 0, tzinfo=UTC)
    check = record("soil_check", {"state": "dry"}, tree=tree.id, at=now + timedelta(minutes=minutes))
    [result] = journal.take_in([check], now=now)
    stored = JournalRecord.objects.get(id=check["id"])
    assert (result.outcome, stored.fate, stored.ahead) == ("stored", "applied", ahead)
