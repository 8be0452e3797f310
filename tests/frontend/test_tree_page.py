"""A tree's page: its first lines, what contradicts, and what is surveyed and changed there."""

import html
import re
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery.models import BranchSurvey, GrowthFit, JournalRecord, RootSurvey, Tree, WireFit
from nursery.science.growth_model import from_practice
from tests.factories import TreeFactory, record, take
from tests.shed import text, visitor

pytestmark = pytest.mark.django_db
NOW = timezone.now()


def ago(days: float) -> datetime:
    return NOW - timedelta(days=days)


def on(days: float) -> str:
    day = timezone.localdate(ago(days))
    return f"{day.day} {day:%b %Y}"


def roots(*degrees: float, level: bool = True) -> dict[str, object]:
    return {"roots": [{"deg": deg, "grade": 3, "level": level} for deg in degrees]}


def page(client: Client, tree: Tree) -> str:
    return text(client.get(f"/trees/{tree.id}/"))


def opening(client: Client, tree: Tree) -> tuple[str, str, str]:
    """The heading, the first sentence in bold, and the lines after it."""
    found = client.get(f"/trees/{tree.id}/").content.decode()
    top = found[found.index("<h1") : found.index('class="halves"')]
    told = [html.unescape(re.sub(r"<[^>]+>", "", part)).strip() for part in top.split("</p>")]
    title = re.search(r"<h1[^>]*>(.*?)</h1>", top)
    act = re.search(r'<p class="lead"><b>(.*?)</b>', top)
    assert title
    assert act
    return html.unescape(title[1]), html.unescape(act[1]), " ".join(told)


def trunk_tree(**more: object) -> Tree:
    """A tree at the branches gate whose trunk is as it should be, unwired and with buds."""
    tree: Tree = TreeFactory(phase="trunk", sown_year=NOW.year - 9, target_base_mm=30, at=ago(900), **more)
    wire = record("wire_on", {"part": "trunk"}, tree=tree.id, at=ago(800))
    take(
        record("caliper", {"mm": 35}, tree=tree.id, at=ago(30)),
        record("caliper", {"mm": 18, "height_mm": 150}, tree=tree.id, at=ago(29.9)),
        wire,
        record("wire_off", {"wiring": wire["id"], "scars": "none"}, tree=tree.id, at=ago(600)),
        record("bud_check", {"state": "many"}, tree=tree.id, at=ago(20)),
    )
    return tree


class TestFiveTreesInTrouble:
    """Each tells in its heading what holds it back, and in the next words what to do."""

    def test_roots_on_one_side(self) -> None:
        tree = TreeFactory(phase="roots", at=ago(900))
        take(record("root_survey", roots(20, 60, 100, 140), tree=tree.id, at=ago(40)))
        title, act, more = opening(visitor("viewer"), tree)
        assert title == "Held back: roots not on all sides"
        assert act == "Keep in the root pot; a graft or a layer can fill the gap."
        assert "Largest gap between roots is 240 degrees, at most 110 wanted" in more
        assert "No root at the right: that is the side to fill." in more

    def test_roots_that_are_nearly_sure(self) -> None:
        """What was seen rather says that they are met: no heading may say that they fail."""
        tree = TreeFactory(phase="roots", at=ago(900))
        take(record("root_survey", roots(0, 104, 160, 215, 265, 310), tree=tree.id, at=ago(40)))
        title, act, more = opening(visitor("viewer"), tree)
        assert title == "Not sure enough: roots on all sides"
        assert act == "Scrape back the top soil and look: 2 minutes."
        assert "Largest gap between roots is 104 degrees, at most 110 wanted" in more

    def test_a_trunk_too_thin(self) -> None:
        tree = trunk_tree()
        take(record("target_set", {"base_mm": 90}, tree=tree.id, at=ago(10)))
        title, act, more = opening(visitor("viewer"), tree)
        assert title == "Held back: trunk short of its target"
        assert act == "Keep feeding and let the leader run; measure again in autumn."
        assert "35 mm on" in more
        assert "target 90 mm." in more
        assert re.search(r"As it grows now it is (there about \w+ 20\d\d|not likely there)", more)

    def test_wire_sunk_in_comes_before_everything(self) -> None:
        tree = trunk_tree()
        take(
            record("wire_on", {"part": "branch", "wire_mm": 3}, tree=tree.id, at=ago(300)),
            record("wire_look", {"state": "sunk_in"}, tree=tree.id, at=ago(5)),
        )
        title, act, more = opening(visitor("viewer"), tree)
        assert title == "Wire sunk in: have it off now"
        assert act == "Cut it off in short pieces, without unwinding, and record how deep the scars are."
        assert f"The branch wire, on since {on(300)}, was seen sunk in on {on(5)}." in more
        assert "After that it is held back: first wire not done." in more
        said = page(visitor("viewer"), tree)
        assert re.search(r"sunk in on \d+ \w+( 20\d\d)?: see to it now\. Have it off\.", said)
        assert "Likely bites" not in said

    def test_no_low_buds(self) -> None:
        tree = trunk_tree()
        take(*(record("bud_check", {"state": "none"}, tree=tree.id, at=ago(n)) for n in (12, 8, 4)))
        title, act, more = opening(visitor("viewer"), tree)
        assert title == "Held back: too few live buds low down"
        assert act == "Let light reach the trunk, feed, and look again next season."
        assert "No low buds seen on" in more

    def test_not_looked_at(self) -> None:
        tree = TreeFactory(phase="roots", at=ago(900))
        title, act, more = opening(visitor("viewer"), tree)
        assert title == "Not looked at yet: roots on all sides"
        assert act == "Scrape back the top soil and look: 2 minutes."
        assert "Then: roots level, not looked at yet; no root defect, not looked at yet." in more


class TestWhatContradicts:
    """Kept as it was recorded, and told at the top of the page with what to check."""

    def test_wire_that_was_sunk_in_and_then_loose(self) -> None:
        tree = trunk_tree()
        take(
            record("wire_on", {"part": "branch"}, tree=tree.id, at=ago(300)),
            record("wire_look", {"state": "sunk_in"}, tree=tree.id, at=ago(60)),
            record("wire_look", {"state": "loose"}, tree=tree.id, at=ago(9)),
        )
        said = page(visitor("viewer"), tree)
        told = (
            f"Check: The branch wire of {on(300)}: sunk in on {on(60)}, then loose on {on(9)}: "
            "can't both be right: wire does not get slack by itself, and no new wire is recorded between. "
            "Look at the wire today, and correct the record that is wrong. All is kept as it was recorded"
        )
        assert told in said

    def test_a_wire_that_is_long_off_is_checked_too(self) -> None:
        tree = TreeFactory(phase="trunk", at=ago(900))
        wire = record("wire_on", {"part": "trunk"}, tree=tree.id, at=ago(800))
        take(
            wire,
            record("wire_look", {"state": "biting"}, tree=tree.id, at=ago(500)),
            record("wire_look", {"state": "snug"}, tree=tree.id, at=ago(490)),
            record("wire_off", {"wiring": wire["id"], "scars": "none"}, tree=tree.id, at=ago(400)),
        )
        said = page(visitor("viewer"), tree)
        assert f"biting on {on(500)}, then snug on {on(490)}:" in said
        assert "The wire is off: look for its scars, and correct the record that is wrong." in said

    def test_unwiring_between_is_no_contradiction(self) -> None:
        tree = TreeFactory(phase="trunk", at=ago(900))
        first = record("wire_on", {"part": "trunk"}, tree=tree.id, at=ago(800))
        take(
            first,
            record("wire_look", {"state": "sunk_in"}, tree=tree.id, at=ago(500)),
            record("wire_off", {"wiring": first["id"], "scars": "deep"}, tree=tree.id, at=ago(499)),
            record("wire_on", {"part": "trunk"}, tree=tree.id, at=ago(400)),
            record("wire_look", {"state": "loose"}, tree=tree.id, at=ago(300)),
        )
        assert "Check:" not in page(visitor("viewer"), tree)

    def test_sunk_in_and_off_without_a_scar(self) -> None:
        tree = TreeFactory(phase="trunk", at=ago(900))
        wire = record("wire_on", {"part": "trunk"}, tree=tree.id, at=ago(800))
        take(
            wire,
            record("wire_look", {"state": "sunk_in"}, tree=tree.id, at=ago(500)),
            record("wire_off", {"wiring": wire["id"], "scars": "none"}, tree=tree.id, at=ago(499)),
        )
        assert "was seen sunk in, yet came off without a scar: look at the bark" in page(
            visitor("viewer"), tree
        )

    @pytest.mark.parametrize(
        ("last", "told"),
        [
            (245.0, "245 mm just above the roots on {} looks ten times too large: check the decimal point"),
            (2.45, "2.45 mm just above the roots on {} looks ten times too small: check the decimal point"),
            (18.0, "18 mm just above the roots on {} is thinner than a reading before it: measure again"),
        ],
    )
    def test_calipers(self, last: float, told: str) -> None:
        tree = TreeFactory(phase="trunk", sown_year=NOW.year - 7, target_base_mm=60, at=ago(1500))
        for days, mm in ((1200, 18.0), (900, 20.0), (600, 22.0), (300, 23.5)):
            take(record("caliper", {"mm": mm}, tree=tree.id, at=ago(days)))
        odd = record("caliper", {"mm": last}, tree=tree.id, at=ago(20))
        take(odd)
        said = page(visitor("viewer"), tree)
        assert f"Check: {told.format(on(20))}" in said
        assert "It counts for little until then. All is kept as it was recorded" in said
        assert JournalRecord.objects.get(pk=odd["id"]).fate == "applied"
        # Down-weighted: the trunk is still about what the other readings say.
        about = re.search(r"About ([\d.]+) mm now", said)
        assert about
        assert 20.0 < float(about[1]) < 30.0


def test_figures_that_do_not_settle_are_told_on_the_page_and_the_boards() -> None:
    tree = trunk_tree()
    take(record("wire_on", {"part": "branch"}, tree=tree.id, at=ago(30)))
    client = visitor("viewer")
    wire, trunk = (
        "The figures of your own wires do not settle",
        "The figures of your own trunks do not settle",
    )
    boards = {"/wires/": wire, "/ready/branches/": trunk, "/held-back/at_target/": trunk}
    said = page(client, tree)
    assert wire not in said
    assert trunk not in said
    WireFit.objects.create(made_on=NOW, n=9, bitten=3, sunk=0, converged=False, parameters={})
    GrowthFit.objects.create(
        made_on=NOW,
        trees=3,
        readings=9,
        converged=False,
        parameters={"eta": from_practice([5.0]).eta.tolist(), "width": [1, 1], "species": {}, "lots": {}},
    )
    said = page(client, tree)
    assert wire in said
    assert trunk in said
    for address, told in boards.items():
        assert told in text(client.get(address)), address


class TestRootSurvey:
    def test_rows_make_the_record_that_a_phone_makes(self) -> None:
        tree = TreeFactory(phase="roots", at=ago(900))
        given = {
            "deg_1": "300",
            "grade_1": "5",
            "level_1": "yes",
            "deg_2": "30.5",
            "grade_2": "2",
            "level_2": "no",
            "deg_3": "",
            "grade_3": "3",
            "level_3": "yes",
            "deg_7": "360",
            "defects": ["crossing", "rot"],
        }
        client = visitor("helper")
        response = client.post(f"/trees/{tree.id}/roots/", given, follow=True)
        assert "Root survey recorded." in text(response)
        assert JournalRecord.objects.get(kind="root_survey").body == {
            "roots": [
                {"deg": 0.0, "grade": 3, "level": True},
                {"deg": 30.5, "grade": 2, "level": False},
                {"deg": 300.0, "grade": 5, "level": True},
            ],
            "defects": ["crossing", "rot"],
        }
        assert RootSurvey.objects.get().tree_id == tree.id
        said = text(response)
        assert "Held back: roots not on all sides" in said
        assert "Too wide a gap: 270° without a root at the back" in said
        assert "Noted: crossing roots, rot." in said

    @pytest.mark.parametrize(
        ("given", "told"),
        [
            ({}, "Nothing is marked: mark a root round the trunk, or a defect."),
            (
                {"deg_4": "400"},
                "Root 4, degrees: a number from 0 to 360, clockwise from the front, seen from above.",
            ),
            ({"deg_1": "10", "grade_1": "9"}, "Root 1, thickness: choose one of the list."),
            ({"defects": ["moss"]}, "Defects: choose from the list."),
        ],
    )
    def test_what_cannot_be_is_refused_and_what_was_typed_stays(
        self, given: dict[str, object], told: str
    ) -> None:
        tree = TreeFactory(phase="roots")
        response = visitor("helper").post(
            f"/trees/{tree.id}/roots/", {"deg_2": "77", **given} if given else {}
        )
        assert response.status_code == 400
        assert told in text(response)
        assert not RootSurvey.objects.exists()
        if given:
            assert 'value="77"' in response.content.decode()

    def test_the_page_draws_the_rose_and_tells_it_in_a_table(self) -> None:
        tree = TreeFactory(phase="roots", at=ago(900))
        # Six roots every 60 degrees: no direction, no gap above 60, and Rayleigh's and Rao's p are 1.
        take(record("root_survey", roots(0, 60, 120, 180, 240, 300), tree=tree.id, at=ago(3)))
        response = visitor("viewer").get(f"/trees/{tree.id}/")
        found = response.content.decode()
        assert (
            'aria-label="6 roots round the trunk, seen from above with the front below; the largest gap is '
            in found
        )
        said = text(response)
        assert "The largest gap is 60°" in said
        assert "6 of 6 sides have a root." in said
        assert "(mean resultant length) 0.00" in said
        assert "as much to one side (Rayleigh) >99%" in said
        assert "stand as unevenly (Rao) >99%" in said
        assert "Level roots 6 of 6" in said

    def test_a_survey_without_roots_is_told_and_draws_nothing(self) -> None:
        tree = TreeFactory(phase="roots", at=ago(900))
        take(record("root_survey", {"roots": [], "defects": ["rot"]}, tree=tree.id, at=ago(3)))
        said = page(visitor("viewer"), tree)
        assert "0 roots found: a tree needs them on all sides. Noted: rot." in said


class TestBranches:
    def test_brackets_give_the_order_and_the_style_gives_the_need(self) -> None:
        tree = TreeFactory(phase="branches", target_style="broom", target_height_mm=250, at=ago(900))
        given = {"primaries": "4", "secondaries": "9", "internode_mm": "14", "shape": "(()(()()))"}
        said = text(visitor("helper").post(f"/trees/{tree.id}/branches/", given, follow=True))
        survey = BranchSurvey.objects.get()
        assert (survey.primaries, survey.secondaries, survey.internode_mm, survey.order) == (4, 9, 14.0, 2)
        assert (
            "Lacking: 1 more from the trunk, 6 more from those, internodes under 10 mm, finer branching."
            in said
        )
        assert "From those 9 15" in said
        assert "Needed for broom: common practice, not measured." in said
        assert "4 primary and 9 secondary branches, 5 and 15 wanted for broom" in said

    @pytest.mark.parametrize(
        ("given", "told"),
        [
            ({"secondaries": "3"}, "From the trunk: fill this in."),
            (
                {"primaries": "3", "secondaries": "3", "shape": "(()"},
                "each bracket that is opened must be closed",
            ),
            (
                {"primaries": "3", "secondaries": "3", "shape": "(()())", "order": "3"},
                "Order of branching: the brackets give 2. Leave one of the two out.",
            ),
        ],
    )
    def test_refused(self, given: dict[str, str], told: str) -> None:
        tree = TreeFactory(phase="branches")
        response = visitor("helper").post(f"/trees/{tree.id}/branches/", given)
        assert response.status_code == 400
        assert told in text(response)
        assert not BranchSurvey.objects.exists()


def test_a_changed_target_changes_gate_and_forecast_on_the_page_that_follows() -> None:
    tree = trunk_tree()
    client = visitor("helper")
    before = page(client, tree)
    assert "Ready for branches" in before
    assert "at its target of 30 mm" in before
    after = text(client.post(f"/trees/{tree.id}/target/", {"base_mm": "70", "style": "broom"}, follow=True))
    assert "Target set." in after
    assert "Held back: trunk short of its target" in after
    assert "target 70 mm" in after
    assert re.search(r"target of 70 mm (by about|is not likely within)", after)
    assert "Ready for branches" not in after


def test_wires_are_told_with_the_window_that_is_coming() -> None:
    tree = trunk_tree()
    take(
        record("wire_on", {"part": "branch", "wire_mm": 3}, tree=tree.id, at=ago(40)),
        record("wire_look", {"state": "loose"}, tree=tree.id, at=ago(2)),
    )
    response = visitor("viewer").get(f"/trees/{tree.id}/")
    said = text(response)
    assert re.search(r"Likely bites about \d+ \w+ 20\d\d \(80% sure: \d+ \w+ 20\d\d to ", said)
    assert re.search(r"one in ten such wires has sunk in by \d+ \w+ 20\d\d\. Look by \d+ \w+ 20\d\d\.", said)
    assert f"branch, 3 mm: {on(40)}, still on" in said
    assert f"trunk: {on(800)} to {on(600)}" in said
    assert f"branch, 3 mm {on(40)}, still on loose, {on(2)}" in said
    assert f"trunk {on(800)} to {on(600)}; scars: none never looked at" in said
    assert "style=" not in response.content.decode()
