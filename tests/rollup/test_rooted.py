"""Standings at the trunk gate: what the roots' survey says."""

from datetime import date

import pytest

from .standing import criterion, due, planted, roots, saw, standing

pytestmark = pytest.mark.django_db


def test_a_gap_in_the_roots_holds_back_the_trunk_gate():
    tree = planted("roots")
    survey = saw(tree, "root_survey", "2026-03-03", roots=roots(0, 140, 200, 260, 310))
    row = standing(tree)
    assert (row.gate, row.held_by, row.held_not_looked) == ("trunk", "roots_spread", False)
    held = criterion(row, "roots_spread")
    assert held["why"] == (
        "Largest gap between roots is 140 degrees, at most 110 wanted; "
        "5 of 6 sides have a root (surveyed 3 March)."
    )
    assert held["p"] == pytest.approx(0.132, abs=0.005)
    assert held["evidence"] == [{"record": survey["id"], "on": "2026-03-03", "text": "5 roots surveyed"}]
    # Level roots and no defect are asked for, too: 0.93 of it.
    assert row.readiness == pytest.approx(0.123, abs=0.005)


def test_work_on_the_roots_outdates_their_survey_by_half():
    fresh, worked = planted("roots"), planted("roots")
    for tree in (fresh, worked):
        saw(tree, "root_survey", "2025-03-03", roots=roots(0, 140, 200, 260, 310), defects=["crossing"])
        saw(tree, "work_done", "2025-03-03", task="root_pruned")  # of one sitting: that is what was surveyed
    saw(worked, "work_done", "2026-03-05", task="root_pruned")
    rows = standing(fresh), standing(worked)
    before, after = (criterion(row, "no_defect")["p"] for row in rows)
    assert after == pytest.approx((before + 0.7) / 2, abs=1e-4)
    before, after = (criterion(row, "roots_spread") for row in rows)
    # A root grown since in the gap of 140 degrees would do, if it stands well; one in two has grown one.
    assert before["p"] == pytest.approx(0.140, abs=0.01)
    assert after["p"] == pytest.approx(0.355, abs=0.01)
    assert before["why"].endswith("5 of 6 sides have a root (surveyed 3 March 2025).")
    assert after["why"] == (
        before["why"] + " The roots were worked on since, on 5 March: survey them at the next repotting."
    )
    saw(worked, "root_survey", "2026-03-05", roots=roots(0, 60, 120, 180, 240, 300))
    assert criterion(standing(worked), "roots_spread")["why"].endswith("(surveyed 5 March).")


def test_good_roots_make_it_ready():
    tree = planted("roots")
    saw(tree, "root_survey", "2026-03-03", roots=roots(0, 50, 100, 150, 200, 250, 300))
    row = standing(tree)
    assert row.readiness > 0.75
    assert (
        criterion(row, "roots_level")["why"]
        == "7 of 7 roots were called level, at least 5 wanted (surveyed 3 March)."
    )
    assert criterion(row, "no_defect")["why"] == "No defect noted on 3 March."


def test_defects_are_named():
    tree = planted("roots")
    saw(
        tree, "root_survey", "2025-03-03", roots=roots(0, 60, 120, 180, 240, 300), defects=["crossing", "rot"]
    )
    row = standing(tree)
    assert row.held_by == "no_defect"
    assert criterion(row, "no_defect")["why"] == "Crossing roots and rot noted on 3 March 2025."


def test_a_tree_that_nobody_surveyed_is_held_by_what_was_not_looked_at():
    row = standing(planted("roots"))
    assert (row.held_by, row.held_not_looked) == ("roots_spread", True)
    assert row.readiness == pytest.approx(0.4 * 0.6 * 0.7, abs=1e-4)
    assert criterion(row, "roots_spread")["why"] == "Roots not surveyed yet."
    assert "roots" not in due(row)


def test_roots_are_due_when_pots_are_open():
    row = standing(planted("roots"), date(2026, 3, 10))
    assert due(row)["roots"] == "roots never surveyed: look when repotting"
