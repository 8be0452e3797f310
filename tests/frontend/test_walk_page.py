"""The page that plans a walk, and the button that sends the plan to the phones."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from nursery import plans
from tests.factories import BenchFactory
from tests.shed import text, tree, visitor

pytestmark = pytest.mark.django_db
DRY = [{"what": "soil", "why": ["dry on {day:on}", {"day": "2026-05-30"}]}]


def test_the_page_answers_first_and_gives_a_reason_for_each_look() -> None:
    south = BenchFactory(name="South", rows=2, places=5, walk_order=1)
    tree("A1", bench=south, row=2, place=3, due=DRY)
    tree("A2", bench=south, row=1, place=2, wire_look_by=timezone.localdate() - timedelta(400))
    said = text(visitor("viewer").get("/walk/"))
    assert "The whole nursery, 20 minutes 2 trees to look at in 2 minutes 2 must-sees first of all." in said
    assert re.search(
        r"South Tree Stands .* A2 row 1, place 2 Look at the wire\. Must-see: wire overdue", said
    )
    assert (
        "A1 row 2, place 3 Feel the soil. Must-see: soil dry on 30 May, no watering recorded since." in said
    )
    assert "Wire ends spring back: eye protection." in said
    assert "Take this plan" not in said  # a viewer changes nothing
    assert 'href="/walk/"' in visitor("viewer").get("/").content.decode()


def test_too_few_minutes_are_told_with_what_is_needed() -> None:
    tree("A1", bench=BenchFactory(name="South"), place=1, due=DRY)
    tree("A2", bench=BenchFactory(name="North"), place=1, due=DRY)
    said = text(visitor("viewer").get("/walk/?minutes=1"))
    assert (
        "1 tree to look at in 1 minute You need at least 2 minutes for the must-sees: 1 is left out." in said
    )
    assert (
        "Left out: 1 must-see No time was left for them; the most pressing stand first. A2 Must-see:" in said
    )


def test_nothing_to_look_at_is_an_answer_too() -> None:
    tree("A1", bench=BenchFactory(name="South"))
    assert "Nothing asks for a look" in text(visitor("viewer").get("/walk/"))


@pytest.mark.parametrize(
    ("asked", "complaint"),
    [
        ("minutes=0", "Minutes: a whole number from 1 to 240."),
        ("minutes=soon", "Minutes: a whole number from 1 to 240."),
        ("bench=01900000-0000-7000-8000-00000000dead", "Along: choose a bench of the list."),
        ("bench=moss", "Along: choose a bench of the list."),
    ],
)
def test_what_cannot_be_planned_is_said_beside_its_field(asked: str, complaint: str) -> None:
    response = visitor("viewer").get(f"/walk/?{asked}")
    assert response.status_code == 400
    assert complaint in text(response)


def test_a_plan_goes_to_the_phones_and_comes_off_them() -> None:
    south = BenchFactory(name="South")
    tree("A1", bench=south, due=DRY)
    helper = visitor("helper")
    answer = helper.post("/walk/take/", {"minutes": "5", "bench": str(south.id)}, follow=True)
    assert answer.redirect_chain == [(f"/walk/?minutes=5&bench={south.id}", 302)]
    said = text(answer)
    assert "South, 1 stop: each phone takes this plan along when it next fetches." in said
    assert "On the phones South, 5 minutes, 1 stop, made today Take it off the phones" in said
    assert [(plan.name, plan.minutes) for plan in plans.on_phones()] == [("South", 5)]
    helper.post("/walk/take/", {})
    assert [plan.name for plan in plans.on_phones()] == ["South", "The whole nursery"]
    helper.post(f"/walk/drop/{south.id}/")
    helper.post("/walk/drop/")
    assert plans.on_phones() == []


def test_only_those_who_record_send_plans() -> None:
    bench = BenchFactory()
    for path in ("/walk/take/", "/walk/drop/", f"/walk/drop/{bench.id}/"):
        got = [visitor(role).post(path).status_code for role in ("", "viewer", "helper", "owner")]
        assert got == [302, 403, 302, 302], path
        assert visitor("owner").get(path).headers["Location"] == "/walk/"
    assert visitor("helper").post("/walk/take/", {"minutes": "999"}).status_code == 400
