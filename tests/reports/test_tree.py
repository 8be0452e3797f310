"""One tree: its records in time, with corrections shown, and what it is told from."""

import uuid
from datetime import UTC, datetime

import pytest

from nursery.journal import take_in
from nursery.reports import tree as report
from nursery.reports import trees
from nursery.reports.telling import tell
from tests.factories import BenchFactory, DeviceFactory, TreeFactory, correction, record, withdrawal
from tests.shed import tree

pytestmark = pytest.mark.django_db


def test_corrections_stand_beside_the_record_that_they_correct() -> None:
    t = TreeFactory(tag="K041", sown_year=2020)
    phone = DeviceFactory(name="Green phone")
    wrong = record("caliper", {"mm": 33.0}, tree=t.id)
    gone = record("bud_check", {"state": "many"}, tree=t.id)
    take_in([wrong, gone], device=phone.id)
    take_in([correction(wrong, {"mm": 23.0}), withdrawal(gone)])
    buds, caliper, new = report.records(t.id).rows
    assert (caliper.kind, caliper.first, caliper.text) == (
        "Caliper",
        "33 mm, just above the roots",
        "23 mm, just above the roots",
    )
    assert [c.text for c in caliper.changes] == ["corrected to: 23 mm, just above the roots"]
    assert (caliper.who, caliper.changes[0].who) == ("Green phone", "at the shed")
    assert (buds.kind, buds.fate, [c.text for c in buds.changes]) == ("Low buds", "withdrawn", ["withdrawn"])
    assert new.text == "K041, Japanese black pine, sown 2020, seedling"


def test_a_record_tells_the_time_on_the_observer_s_own_clock() -> None:
    t = TreeFactory()
    at = datetime(2026, 6, 1, 23, 30, tzinfo=UTC)
    take_in([record("soil_check", {"state": "dry"}, tree=t.id, at=at, utc_offset_min=120)])
    assert report.records(t.id).rows[0].at == datetime(2026, 6, 2, 1, 30)


def test_a_record_set_aside_is_told_with_its_mend() -> None:
    t = TreeFactory()
    take_in([record("caliper", {"mm": 4200}, tree=t.id)])
    entry = report.records(t.id).rows[0]
    assert (entry.fate, entry.message) == ("set_aside", "4200 is outside 0.1 to 1000")
    assert entry.mend == "Give a number from 0.1 to 1000 mm."


def test_a_move_names_its_bench() -> None:
    bench = BenchFactory(name="South bench", rows=2, places=9)
    t = TreeFactory(bench=bench, row=2, place=7)
    assert report.records(t.id).rows[0].text == "South bench, row 2, place 7"


def test_criteria_keep_not_looked_apart_from_failed() -> None:
    criteria = [
        {"name": "at_target", "p": 0.4, "looked": True, "why": "31 mm of 40", "evidence": [
            {"record": "r1", "on": "2026-05-02", "text": "31 mm"}]},
        {"name": "low_buds", "p": 0.5, "looked": False, "why": "", "evidence": []},
    ]  # fmt: skip
    t = tree("K1", gate="branches", readiness=0.2, held_by="at_target", criteria=criteria)
    st = report.tree(t.id).standing
    assert st is not None
    assert [(c.words, c.p, c.looked) for c in st.criteria] == [
        ("trunk at its target", 0.4, True),
        ("live buds low down", 0.5, False),
    ]
    assert st.held == "trunk short of its target"
    assert st.why == "31 mm of 40"
    assert st.criteria[0].evidence[0].on is not None
    assert st.criteria[0].evidence[0].on.isoformat() == "2026-05-02"


def test_twins_and_crowds_are_named() -> None:
    bench = BenchFactory(rows=2, places=2)
    a = TreeFactory(tag="K1", bench=bench, row=1, place=1)
    b = TreeFactory(tag="K1", bench=bench, row=1, place=2)
    c = TreeFactory(tag="K3", bench=bench, row=1, place=1)
    page = report.tree(a.id)
    assert page.twins == [(b.id, "Japanese black pine")]
    assert page.crowd == [(c.id, "K3")]


def test_trees_are_found_by_the_start_of_the_tag_in_any_case() -> None:
    for tag in ("K041", "K042", "M041"):
        TreeFactory(tag=tag)
    assert [r.tag for r in trees.find("k04").rows] == ["K041", "K042"]
    assert len(trees.exactly("m041")) == 1
    assert trees.exactly("K04") == []


@pytest.mark.parametrize(
    ("kind", "body", "said"),
    [
        ("wire_on", {"part": "trunk", "wire_mm": 2.5}, "trunk, 2.5 mm wire"),
        ("wire_look", {"state": "sunk_in"}, "sunk in"),
        ("wire_off", {"scars": "light"}, "all wire off, scars: light"),
        ("caliper", {"mm": 12, "height_mm": 100}, "12 mm, 100 mm up"),
        (
            "caliper",
            {"mm": 14.2, "method": "photo", "sd_mm": 0.3},
            "14.2 mm, just above the roots, from a photo, give or take 0.3 mm",
        ),
        ("photo", {"caption": "leader from the south"}, "leader from the south"),
        ("root_survey", {"roots": [{}], "defects": ["one_sided"]}, "1 root; one sided"),
        (
            "target_set",
            {"height_mm": 300.0, "base_mm": 50, "style": "broom"},
            "300 mm tall, base 50 mm, broom",
        ),
        ("target_set", {"height_mm": None}, "no target"),
        ("tree_move", {"bench": None}, "off the benches"),
        ("tree_left", {"how": "given", "why": "to a school"}, "given away: to a school"),
        ("firm_check", {"firm": False}, "loose in its pot"),
        ("moss_check", {"depth": 3.0}, "depth 3"),
        ("wire_look", {"state": "odd"}, "odd"),
        ("caliper", ["not", "an", "object"], ""),
    ],
)
def test_records_are_told_in_a_grower_s_words(kind: str, body: object, said: str) -> None:
    assert tell(kind, body, {}) == said


def test_an_unknown_tree_is_no_tree() -> None:
    with pytest.raises(report.Tree.DoesNotExist):
        report.tree(uuid.uuid4())
