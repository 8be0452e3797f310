"""The boards' answers, on made rows."""

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from nursery.models import Tree
from nursery.reports import boards, words
from tests.factories import TreeFactory
from tests.shed import stand, tree

pytestmark = pytest.mark.django_db
DAY = date(2026, 6, 10)
DOUBTS = json.loads((Path(__file__).parents[1] / "vectors" / "doubt.json").read_text())
TOLD = {
    "": ("roots not on all sides", "Keep in the root pot; a graft or a layer can fill the gap"),
    "unsure": ("roots on all sides: not sure enough", "Scrape back the top soil and look: 2 minutes"),
    "not_looked": ("roots on all sides: not looked at", "Scrape back the top soil and look: 2 minutes"),
}


@pytest.mark.parametrize("case", DOUBTS)
def test_only_what_was_seen_to_fail_is_said_to_fail(case: dict[str, Any]) -> None:
    """The phone tells it by the same cases."""
    p, blind = case["p"], case["not_looked"]
    held = words.held_words("roots_spread", blind, p)
    assert (held, words.next_step("trunk", False, "roots_spread", blind, p)) == TOLD[case["doubt"]]


def three_before_the_trunk() -> None:
    tree("K01", gate="trunk", readiness=0.79, held_by="roots_spread")
    tree("K02", gate="trunk", readiness=0.91, held_by="roots_level")
    tree("K03", gate="trunk", readiness=0.8, held_by="no_defect")
    tree("K04", gate="trunk", readiness=0.3, held_by="roots_spread", held_not_looked=True)


def test_a_wire_that_is_off_is_not_to_be_had_off_and_a_tree_without_a_target_needs_one() -> None:
    tree("K01", gate="branches", readiness=0.73, held_by="wire_done")
    tree("K02", gate="branches", readiness=0.02, held_by="wire_done", wire_on_since=DAY)
    tree("K03", gate="branches", readiness=0.3, held_by="at_target", held_not_looked=True)
    on_its_way = tree("K04", gate="branches", readiness=0.02, held_by="at_target")
    Tree.objects.filter(pk=on_its_way.pk).update(target_height_mm=240)
    assert {r.tag: r.do for r in boards.ready("branches").rows} == {
        "K01": "Its wire is off: let the scars grow out, then decide",
        "K02": "Finish the first wire and have it off before it marks",
        "K03": "Say how thick its trunk shall be, and measure it",
        "K04": "Keep feeding and let the leader run; measure again in autumn",
    }


def test_gates_count_ready_and_unseen_trees_and_name_empty_gates() -> None:
    three_before_the_trunk()
    gone = TreeFactory(tag="K05", left_how="sold")
    stand(gone, gate="trunk", readiness=0.99)
    found = [(g.gate.name, g.trees, g.ready, g.not_looked) for g in boards.gates()]
    assert found == [("roots", 0, 0, 0), ("trunk", 4, 2, 1), ("branches", 0, 0, 0), ("refinement", 0, 0, 0)]


def test_the_readiest_tree_comes_first_and_each_says_what_to_do() -> None:
    three_before_the_trunk()
    rows = boards.ready("trunk").rows
    assert [(r.tag, r.ready, r.held) for r in rows] == [
        ("K02", True, ""),
        ("K03", True, ""),
        ("K01", False, "roots on all sides: not sure enough"),
        ("K04", False, "roots on all sides: not looked at"),
    ]
    assert rows[0].do == "Move to a grow box at the next repotting and let the leader run"
    assert rows[3].do == "Scrape back the top soil and look: 2 minutes"


def test_the_reason_is_that_of_the_criterion_that_holds_it_back() -> None:
    criteria = [
        {"name": "roots_level", "why": "level"},
        {"name": "roots_spread", "why": "a gap of 140 degrees"},
    ]
    tree("K01", gate="trunk", readiness=0.1, held_by="roots_spread", criteria=criteria)
    assert boards.ready("trunk").rows[0].why == "a gap of 140 degrees"


def test_held_back_counts_leave_ready_trees_out() -> None:
    three_before_the_trunk()
    tree("B01", gate="branches", readiness=0.2, held_by="at_target")
    found = [(c.criterion.name, c.trees, c.not_looked, c.seen) for c in boards.held_counts()]
    assert found == [("roots_spread", 2, 1, 1), ("at_target", 1, 0, 1)]
    assert [r.tag for r in boards.held("roots_spread").rows] == ["K01", "K04"]
    assert [r.held for r in boards.held("at_target").rows] == ["trunk short of its target"]


def wired() -> None:
    for tag, days, state in [("W1", -2, "snug"), ("W2", 0, "biting"), ("W3", 6, "loose"), ("W4", 20, "")]:
        tree(tag, wire_on_since=DAY, wire_look_by=DAY + timedelta(days), wire_state=state)
    tree("W5", wire_on_since=DAY)
    tree("N1")


def test_wires_are_listed_by_the_day_to_look_by() -> None:
    wired()
    rows = boards.wires(DAY).rows
    assert [(r.tag, r.days, r.late, r.harm, r.state_word) for r in rows] == [
        ("W1", -2, True, False, "snug"),
        ("W2", 0, True, True, "biting"),
        ("W3", 6, False, False, "loose"),
        ("W4", 20, False, False, "not looked at"),
        ("W5", None, False, False, "not looked at"),
    ]


def test_wires_are_counted_by_week() -> None:
    wired()
    counts = boards.wire_counts(DAY)
    assert (counts.on, counts.due, counts.soon, counts.harm) == (5, 2, 1, 1)
    assert counts.first == date(2026, 6, 8)
    assert [w.trees for w in counts.weeks] == [2, 1, 0, 1, 0, 0, 0, 0, 0]
    assert [w.bar for w in counts.weeks][:4] == [100, 50, 0, 50]
    assert counts.weeks[1].until == date(2026, 6, 16)


def test_a_long_list_is_cut_into_pages_of_a_hundred() -> None:
    base = tree("A000", gate="roots", readiness=0.5)
    for n in range(1, 102):
        twin = Tree(
            id=f"00000000-0000-4000-8000-{n:012d}",
            tag=f"A{n:03d}",
            species_id=base.species_id,
            phase_since=base.phase_since,
        )
        twin.save()
        stand(twin, gate="roots", readiness=0.5)
    first, second, past = (boards.ready("roots", n) for n in (1, 2, 9))
    assert (first.total, first.pages, first.first, first.last, first.after) == (102, 2, 1, 100, 2)
    assert (second.first, second.last, second.before, second.after) == (101, 102, 1, 0)
    assert [r.tag for r in second.rows] == ["A100", "A101"]
    assert past.number == 2
