"""Standings of real rows: what holds a tree back, what is due, and in which words."""

from datetime import UTC, date, datetime

import pytest

from nursery.models import FeedRow
from tests.factories import record, take

from .standing import at, criterion, due, planted, roots, saw, standing

pytestmark = pytest.mark.django_db


def test_a_biting_wire_is_due_today_and_holds_the_gate():
    tree = planted("trunk", target_base_mm=30)
    wiring = saw(tree, "wire_on", "2026-04-04", part="trunk", wire_mm=3)
    look = saw(tree, "wire_look", "2026-06-01", state="biting")
    row = standing(tree)
    assert row.wire_state == "biting"
    assert row.wire_on_since == date(2026, 4, 4)
    assert row.wire_look_by == date(2026, 6, 1)
    assert row.wire_why == "trunk wire on since 4 April, biting on 1 June: see to it now"
    assert row.due[0] == {"what": "wire", "why": "wire biting on 1 June: see to it now"}
    assert row.held_by == "wire_done"
    done = criterion(row, "wire_done")
    assert done["p"] == 0.01
    assert done["why"] == "Trunk wire on since 4 April, biting on 1 June."
    assert [entry["record"] for entry in done["evidence"]] == [look["id"], wiring["id"]]


def test_a_new_wire_is_due_a_week_before_its_last_safe_day():
    tree = planted("trunk", species="chinese-elm")
    saw(tree, "wire_on", "2026-04-04", part="trunk")
    row = standing(tree)
    assert row.wire_state == ""
    assert row.wire_look_by == date(2026, 4, 20)
    assert "wire" not in due(standing(tree, date(2026, 4, 12)))
    row = standing(tree, date(2026, 4, 13))
    assert due(row)["wire"] == "wire on since 4 April: look by 20 April"
    assert due(standing(tree, date(2026, 5, 1)))["wire"] == "wire on since 4 April: overdue since 20 April"
    assert row.wire_why == (
        "trunk wire on since 4 April, never looked at; "
        "timed so that at most 1% of wires ever sink in; "
        "by practice such wire bites after 0.2 to 1.0 growth-years"
    )


def test_of_two_wires_the_worst_state_and_the_first_day_are_told():
    tree = planted("trunk")
    trunk = saw(tree, "wire_on", "2025-05-01", part="trunk")
    branch = saw(tree, "wire_on", "2026-05-01", part="branch")
    saw(tree, "wire_look", "2026-06-02", state="marking", wiring=trunk["id"])
    saw(tree, "wire_look", "2026-06-03", state="loose", wiring=branch["id"])
    row = standing(tree)
    assert row.wire_state == "marking"
    assert row.wire_on_since == date(2025, 5, 1)
    assert date(2026, 6, 2) < row.wire_look_by <= date(2026, 6, 23)


def test_a_wire_taken_off_is_done_with_its_scars():
    tree = planted("trunk")
    saw(tree, "wire_on", "2025-05-01", part="trunk")
    saw(tree, "wire_off", "2026-05-03", scars="none")
    row = standing(tree)
    assert (row.wire_state, row.wire_on_since, row.wire_look_by, row.wire_why) == ("", None, None, "")
    done = criterion(row, "wire_done")
    assert (done["p"], done["why"]) == (0.95, "Trunk wire off since 3 May, no scars.")


def test_a_wire_on_the_sacrifice_leader_does_not_hold_the_gate():
    tree = planted("trunk")
    saw(tree, "wire_on", "2026-05-01", part="leader")
    row = standing(tree)
    assert row.wire_look_by == date(2026, 5, 25)
    assert criterion(row, "wire_done")["why"] == "No wire recorded yet."


def test_a_look_at_a_wire_that_nobody_recorded_is_not_passed_over():
    tree = planted("trunk")
    saw(tree, "wire_look", "2026-06-08", state="biting")
    row = standing(tree)
    assert row.wire_look_by == date(2026, 6, 8)
    assert row.wire_on_since is None
    assert due(row)["wire"] == "wire biting on 8 June: see to it now"
    saw(tree, "wire_on", "2026-06-09", part="trunk")
    saw(tree, "wire_off", "2026-06-10")
    assert standing(tree).wire_look_by is None


def test_low_buds_move_from_the_prior_with_what_is_seen():
    tree = planted("trunk")
    before = criterion(standing(tree), "low_buds")
    assert (before["p"], before["looked"]) == (0.5, False)
    saw(tree, "bud_check", "2026-05-20", state="many")
    saw(tree, "bud_check", "2026-06-05", state="many")
    row = standing(tree)
    after = criterion(row, "low_buds")
    assert after["p"] > 0.8
    assert row.buds_p == after["p"]
    assert after["why"] == "Many low buds seen on 5 June."
    assert [entry["on"] for entry in after["evidence"]] == ["2026-06-05", "2026-05-20"]
    saw(tree, "bud_check", "2026-06-08", state="none")
    assert criterion(standing(tree), "low_buds")["p"] < after["p"]


def test_buds_are_due_after_sixty_days_of_the_growing_season():
    tree = planted("trunk")
    assert due(standing(tree))["buds"] == "buds never looked at"
    saw(tree, "bud_check", "2026-04-11", state="few")
    assert due(standing(tree))["buds"] == "buds not looked at since 11 April"
    assert "buds" not in due(standing(tree, date(2026, 6, 9)))
    assert "buds" not in due(standing(tree, date(2026, 12, 20)))
    assert due(standing(tree, date(2027, 6, 1)))["buds"] == "buds not looked at since April 2026"
    late = standing(tree, date(2033, 6, 1))
    assert due(late)["buds"] == "buds not looked at since April 2026"
    low = criterion(late, "low_buds")
    assert (low["why"], low["looked"]) == ("Low buds not looked at since April 2026.", False)


def test_thickness_against_the_target():
    tree = planted("trunk", target_base_mm=30)
    guess = criterion(standing(tree), "at_target")
    assert guess["why"] == (
        "Never measured; by its age and its kin about 14 mm (80% sure: 7 to 27), target 30 mm."
    )
    assert guess["looked"] is False
    saw(tree, "caliper", "2025-06-10", mm=26.5)
    row = standing(tree)
    now = criterion(row, "at_target")
    assert now["why"] == "26.5 mm on 10 June 2025, about 33 mm (80% sure: 28 to 38) now; target 30 mm."
    assert 0.6 < now["p"] < 0.9
    assert row.caliper_mm == 26.5
    assert due(row)["caliper"] == "not measured since June 2025"
    saw(tree, "caliper", "2026-06-10", mm=34)
    row = standing(tree)
    assert criterion(row, "at_target")["p"] > 0.98
    assert "caliper" not in due(row)


def test_a_tree_without_a_target_says_so_and_a_height_stands_in():
    tree = planted("trunk")
    saw(tree, "caliper", "2026-06-01", mm=26.5)
    row = criterion(standing(tree), "at_target")
    assert (row["p"], row["looked"]) == (0.3, False)
    assert row["why"] == "No target set: say how thick the trunk shall be."
    saw(tree, "target_set", "2026-06-02", height_mm=150)
    assert criterion(standing(tree), "at_target")["why"].endswith("target 25 mm.")


def test_taper_needs_two_heights():
    tree = planted("trunk", target_base_mm=30)
    saw(tree, "caliper", "2026-06-01", mm=50)
    assert criterion(standing(tree), "taper")["why"] == "Not measured both at the base and higher up."
    saw(tree, "caliper", "2026-06-02", mm=20, height_mm=400)
    row = criterion(standing(tree), "taper")
    assert row["why"] == (
        "50 mm at the base and 20 mm at 400 mm up (2 June): 7.5 mm thinner each 100 mm, at least 8.3 wanted."
    )
    assert row["p"] < 0.1
    saw(tree, "caliper", "2026-06-03", mm=50, height_mm=400)
    assert criterion(standing(tree), "taper")["p"] == 0.001  # no look is surer than that


def test_soil_is_due_when_dry_or_not_looked_at_for_a_week():
    tree = planted("seedling")
    assert due(standing(tree))["soil"] == "soil never looked at"
    saw(tree, "soil_check", "2026-06-08", state="moist")
    assert "soil" not in due(standing(tree))
    saw(tree, "soil_check", "2026-06-09", state="dry")
    assert due(standing(tree))["soil"] == "dry on 9 June"
    saw(tree, "work_done", "2026-06-10", task="watered")
    assert "soil" not in due(standing(tree))
    assert due(standing(tree, date(2026, 6, 16)))["soil"] == "soil not looked at since 9 June"


@pytest.mark.parametrize(
    ("felt", "day", "is_due"),
    # Common practice, no source: November to February a pot that was not dry keeps for three weeks.
    [
        ("2026-11-10", date(2026, 11, 30), False),
        ("2026-11-09", date(2026, 11, 30), True),
        ("2027-02-01", date(2027, 2, 21), False),
        ("2027-02-20", date(2027, 3, 1), True),
        ("2026-10-22", date(2026, 10, 29), True),
    ],
)
def test_a_resting_pot_is_felt_every_third_week_only(felt, day, is_due):
    tree = planted("trunk")
    saw(tree, "soil_check", felt, state="moist")
    assert ("soil" in due(standing(tree, day))) is is_due


def test_a_pot_seen_dry_is_due_in_winter_too():
    tree = planted("trunk")
    saw(tree, "soil_check", "2026-12-20", state="dry")
    assert due(standing(tree, date(2026, 12, 21)))["soil"] == "dry on 20 December"


def test_a_seedling_after_its_first_season():
    tree = planted("seedling", sown_year=2025)
    saw(tree, "firm_check", "2026-06-01", firm=True)
    row = standing(tree)
    assert row.gate == "roots"
    assert criterion(row, "alive")["why"] == "Last looked at on 1 June."
    assert criterion(row, "season_old")["why"] == "Sown in 2025; its first season is over."
    assert criterion(row, "firm")["why"] == "Stood firm on 1 June."
    assert row.readiness > 0.85
    assert "firm" not in due(row)
    young = planted("seedling", sown_year=2026)
    row = standing(young)
    assert row.held_by == "season_old"
    assert due(row)["firm"] == "never checked whether it stands firm"


def test_a_loose_seedling_is_held():
    tree = planted("seedling", sown_year=2024)
    saw(tree, "firm_check", "2026-06-01", firm=False)
    assert standing(tree).held_by == "firm"


def test_refinement_gate_reads_the_branch_survey():
    tree = planted("branches", target_height_mm=300)
    assert due(standing(tree))["branches"] == "branches never looked at"
    saw(tree, "branch_survey", "2026-06-01", primaries=6, secondaries=14, internode_mm=8, order=2)
    row = standing(tree)
    assert (row.gate, row.held_by) == ("refinement", "order")
    assert criterion(row, "primaries")["why"] == (
        "6 primary and 14 secondary branches, 5 and 10 wanted (surveyed 1 June)."
    )
    assert criterion(row, "internodes")["why"] == (
        "Internodes of 8 mm at the tips, at most 12 mm wanted (surveyed 1 June)."
    )
    assert criterion(row, "order")["why"] == "Branching of order 2, 3 wanted (surveyed 1 June)."
    assert "branches" not in due(row)


def test_a_refined_tree_has_no_gate_left_but_is_still_watered():
    row = standing(planted("refinement"))
    assert (row.gate, row.readiness, row.held_by, row.criteria) == ("", None, "", [])
    assert "soil" in due(row)


def test_a_tree_that_left_asks_for_nothing():
    tree = planted("trunk")
    saw(tree, "wire_on", "2025-05-01", part="trunk")
    saw(tree, "tree_left", "2026-05-01", how="sold")
    row = standing(tree)
    assert (row.gate, row.readiness, row.due, row.criteria) == ("", None, [], [])
    assert (row.wire_look_by, row.wire_state, row.wire_why) == (None, "", "")


def test_a_withdrawn_look_leaves_the_standing():
    tree = planted("roots")
    survey = saw(tree, "root_survey", "2026-03-03", roots=roots(0, 140, 200, 260, 310))
    take(
        record("correction", {"replaces": survey["id"], "withdraw": True}, tree=tree.id, at=at("2026-03-04"))
    )
    assert standing(tree).held_not_looked is True


def test_the_phone_mirrors_the_standing():
    tree = planted("roots", sown_year=2020)
    saw(tree, "soil_check", "2026-06-08", state="dry")
    row = FeedRow.objects.get(topic="tree", key=str(tree.id))
    assert row.data["phase"] == "roots"
    assert row.data["sown"] == 2020
    st = row.data["st"]
    assert set(st) == {
        *("gate", "p", "held", "not_looked", "due", "wire", "buds_p", "last", "caliper_mm", "as_of"),
    }
    assert (st["gate"], st["held"], st["not_looked"], st["wire"]) == ("trunk", "roots_spread", True, None)
    assert st["last"]["soil"] == ["dry", "2026-06-08"]


def test_days_are_those_of_the_house_clock(settings):
    settings.TIME_ZONE = "Europe/Rome"
    tree = planted("seedling")
    late = datetime(2026, 6, 8, 22, 30, tzinfo=UTC)  # half past midnight on the 9th in Rome
    take(record("soil_check", {"state": "dry"}, tree=tree.id, at=late))
    assert due(standing(tree))["soil"] == "dry on 9 June"


def test_a_look_from_a_clock_that_runs_ahead_counts_as_todays():
    tree = planted("trunk")
    saw(tree, "bud_check", "2026-06-12", state="many")
    row = standing(tree)
    assert row.last["buds"] == ["many", "2026-06-10"]
    assert 0.9 < row.buds_p < 1


def test_looks_of_one_moment_are_taken_in_the_order_of_their_ids():
    tree = planted("seedling")
    first, second = "018f0000-0000-7000-8000-000000000001", "018f0000-0000-7000-8000-000000000002"
    take(record("soil_check", {"state": "moist"}, tree=tree.id, at=at("2026-06-09"), id=second))
    take(record("soil_check", {"state": "dry"}, tree=tree.id, at=at("2026-06-09"), id=first))
    assert standing(tree).last["soil"] == ["moist", "2026-06-09"]
