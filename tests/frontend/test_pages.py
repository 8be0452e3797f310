"""The shed's pages: what each answers first, who sees it, and what it costs the database."""

import re
import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from frontend.views import errors
from nursery.journal import take_in
from nursery.models import Bench
from tests.factories import BenchFactory, DeviceFactory, TreeFactory, record
from tests.shed import stand, text, tree, visitor

pytestmark = pytest.mark.django_db
NOBODY = uuid.UUID("01900000-0000-7000-8000-00000000dead")

PAGES = [
    "/",
    "/ready/",
    "/ready/trunk/",
    "/held-back/",
    "/held-back/roots_spread/",
    "/wires/",
    "/walk/",
    "/benches/",
    "/trees/",
    "/trees/?tag=K",
    "/set-aside/",
    "/set-aside/same-id/",
    "/set-aside/doubles/",
    "/set-aside/clocks/",
    "/phones/",
    "/people/",
    "/practice/",
    "/practice/kept-word/",
]
INLINE = re.compile(r"<style|\sstyle=|\son[a-z]+=|<script(?![^>]*\bsrc=)|javascript:", re.I)


def grow(bench: Bench, start: int, count: int) -> None:
    """Trees of every sort on a bench, each with a record set aside, one twice, and one ahead of time."""
    today = timezone.localdate()
    phone = DeviceFactory()
    for n in range(start, start + count):
        t = tree(
            f"K{n // 2:03d}",
            bench=bench,
            row=n // 20 + 1,
            place=n % 20 // 2 + 1,
            gate="trunk",
            readiness=0.9 if n % 3 == 0 else 0.4,
            held_by="roots_spread",
            wire_on_since=today,
            wire_look_by=today + timedelta(n % 5 - 2),
            due=[{"what": "soil", "why": "likely dry"}],
        )
        note = record("note", {"text": "seen"}, tree=t.id)
        late = record("note", {"text": "fast"}, tree=t.id, at=timezone.now() + timedelta(hours=1))
        take_in([record("caliper", {"mm": 4200}, tree=t.id), note, late], device=phone.id, roll_up=False)
        take_in([{**note, "body": {"text": "other"}}], device=phone.id, roll_up=False)


@pytest.fixture
def full() -> Bench:
    bench: Bench = BenchFactory(name="South", rows=10, places=10)
    grow(bench, 0, 6)
    return bench


def test_pages_ask_as_much_of_the_database_for_twice_the_trees(full: Bench) -> None:
    client = visitor("owner")
    one = str(TreeFactory(tag="Z1", bench=full, row=10, place=10).id)
    pages = [*PAGES, f"/benches/{full.id}/", f"/trees/{one}/"]

    def cost() -> dict[str, int]:
        counts = {}
        for page in pages:
            with CaptureQueriesContext(connection) as asked:
                assert client.get(page).status_code == 200, page
            counts[page] = len(asked)
        return counts

    cost()  # what is asked once in a process (content types, ...) is not the page's
    before = cost()
    grow(full, 6, 6)
    assert cost() == before
    assert max(before.values()) <= 27


@pytest.mark.parametrize("role", ["", "viewer", "helper", "owner"])
def test_every_page_is_for_those_who_are_let_in(role: str, full: Bench) -> None:
    client = visitor(role)
    one = TreeFactory(tag="Z1")
    for page in [*PAGES, f"/benches/{full.id}/", f"/trees/{one.id}/"]:
        response = client.get(page)
        if role:
            assert response.status_code == 200, page
            assert "private" in response.headers["Cache-Control"], page
        else:
            assert response.status_code == 302, page
            assert response.headers["Location"].startswith("/sign-in/?next=/"), page


#: What each role gets for each request that changes things: stranger, viewer, helper, owner. 400 and 404 are
#: answers to an empty form or an unknown id: the door was open.
RIGHTS = [
    ("/benches/add/", 302, 403, 400, 400),
    ("/benches/add-trees/", 302, 403, 400, 400),
    (f"/trees/{NOBODY}/phase/", 302, 403, 404, 404),
    (f"/trees/{NOBODY}/target/", 302, 403, 404, 404),
    (f"/trees/{NOBODY}/move/", 302, 403, 404, 404),
    (f"/trees/{NOBODY}/tag/", 302, 403, 404, 404),
    (f"/trees/{NOBODY}/left/", 302, 403, 404, 404),
    (f"/set-aside/{NOBODY}/correct/", 302, 403, 404, 404),
    (f"/set-aside/{NOBODY}/keep/", 302, 403, 404, 404),
    (f"/set-aside/{NOBODY}/discard/", 302, 403, 404, 404),
    ("/set-aside/same-id/999/first/", 302, 403, 404, 404),
    ("/phones/pair/", 302, 403, 403, 400),
    (f"/phones/{NOBODY}/rename/", 302, 403, 403, 404),
    (f"/phones/{NOBODY}/revoke/", 302, 403, 403, 404),
    ("/people/invite/", 302, 403, 403, 400),
    ("/people/999999/role/", 302, 403, 403, 404),
    ("/people/999999/off/", 302, 403, 403, 404),
    ("/practice/soil_days/", 302, 403, 403, 400),
]


@pytest.mark.parametrize(("page", "stranger", "viewer", "helper", "owner"), RIGHTS)
def test_who_may_change_what(page: str, stranger: int, viewer: int, helper: int, owner: int) -> None:
    got = [visitor(role).post(page, {}).status_code for role in ("", "viewer", "helper", "owner")]
    assert got == [stranger, viewer, helper, owner]


def test_a_refusal_says_who_may() -> None:
    owner = visitor("owner")
    response = visitor("helper").post("/phones/pair/")
    assert response.status_code == 403
    said = text(response)
    name = re.search(r"(owner-\w+), owner", text(owner.get("/ready/")))
    assert name
    assert f"You may not pair or rename phones Nothing was changed. Only an owner may. Ask {name[1]}." in said


def test_a_viewer_is_shown_no_form_that_would_refuse(full: Bench) -> None:
    client = visitor("viewer")
    one = TreeFactory(tag="Z1")
    for page in [*PAGES, f"/benches/{full.id}/", f"/trees/{one.id}/"]:
        forms = re.findall(r'<form[^>]*action="([^"]*)"', client.get(page).content.decode())
        assert set(forms) == {"/trees/", "/sign-out/", "/language/"}, page


def test_no_page_carries_inline_script_or_style(full: Bench) -> None:
    client = visitor("owner")
    one = TreeFactory(tag="Z1")
    pages = [
        *PAGES,
        f"/benches/{full.id}/",
        f"/trees/{one.id}/",
        "/nowhere/",
        "/set-aside/same-id/999/first/",
    ]
    for page in pages:
        response = client.get(page)
        assert not INLINE.search(response.content.decode()), page
        policy = response.headers["Content-Security-Policy"]
        assert "default-src 'self'" in policy, page
        assert "unsafe-inline" not in policy, page
        assert response.headers["X-Content-Type-Options"] == "nosniff", page
        assert response.headers["X-Frame-Options"] == "DENY", page
    assert not INLINE.search(client.post("/phones/pair/", {"role": "helper"}).content.decode())


def test_ready_says_how_many_first_and_why_the_others_are_not() -> None:
    bench = BenchFactory(name="South", rows=2, places=5)
    tree("K01", bench=bench, place=3, gate="trunk", readiness=0.91)
    tree("K02", gate="trunk", readiness=0.08, held_by="roots_spread", criteria=[
        {"name": "roots_spread", "why": "a gap of 140 degrees"}])  # fmt: skip
    tree("K03", gate="trunk", readiness=0.6, held_by="no_defect", held_not_looked=True)
    said = text(visitor("viewer").get("/ready/trunk/"))
    assert "2 trees" not in said
    assert "1 of 3 trees has roots good enough to feed hard for thickness. 1 more waits on a look." in said
    assert "K01 Japanese black pine 91% nothing Move to a grow box at the next repotting" in said
    assert "South, row 1, place 3" in said
    assert "8% roots not on all sides A gap of 140 degrees. Keep in the root pot" in said


def test_held_back_names_the_commonest_reason_first() -> None:
    for n in range(3):
        tree(f"K0{n}", gate="branches", readiness=0.2, held_by="at_target", held_not_looked=n == 0)
    tree("K09", gate="branches", readiness=0.3, held_by="low_buds")
    said = text(visitor("viewer").get("/held-back/"))
    assert "4 trees are held back; for 1 of them nobody has looked Most wait on: trunk at its target" in said
    assert "trunk short of its target 3 2 1 Keep feeding" in said


def test_wires_say_which_today() -> None:
    today = timezone.localdate()
    tree("W01", wire_on_since=today, wire_look_by=today, wire_state="biting", wire_why="seen biting")
    tree("W02", wire_on_since=today, wire_look_by=today + timedelta(3), wire_state="snug")
    said = text(visitor("viewer").get("/wires/"))
    assert "1 wire to look at today 1 tree was seen with wire biting or sunk in: have it off first." in said
    assert "1 more in the 6 days after." in said
    assert "biting: have it off" in said
    assert "eye protection" in said


def test_today_answers_first() -> None:
    today = timezone.localdate()
    bench = BenchFactory(name="South", rows=2, places=5)
    tree(
        "A1",
        bench=bench,
        due=[{"what": "soil", "why": ["dry on {day:on}", {"day": "2026-06-01"}]}],
        wire_look_by=today,
        as_of=today,
    )
    said = text(visitor("viewer").get("/"))
    assert "1 tree on 1 bench 1 wire to look at, 1 pot seen dry" in said
    assert "Walk these benches" in said
    assert "South 1 1 1 1 0 never" in said


def test_the_bench_is_drawn_as_it_stands() -> None:
    bench = BenchFactory(name="South", rows=2, places=2)
    tree("A1", bench=bench, row=2, place=2, due=[{"what": "buds", "why": ""}])
    page = visitor("viewer").get(f"/benches/{bench.id}/").content.decode()
    rows = re.findall(r"<tr><th scope=\"row\">.*?</tr>", page, re.S)
    assert [len(re.findall(r"<td>", row)) for row in rows] == [2, 2]
    assert re.findall(r'class="peg (\w+)"[^>]*><b>(\w+)</b><i>([^<]*)', rows[1]) == [
        ("due", "A1", "low buds")
    ]
    assert "peg" not in rows[0]


def test_a_tag_leads_to_its_tree() -> None:
    t = TreeFactory(tag="K041")
    client = visitor("viewer")
    response = client.get("/trees/?tag=k041")
    assert (response.status_code, response.headers["Location"]) == (302, f"/trees/{t.id}/")
    said = text(client.get("/trees/?tag=X9"))
    assert "No tree has a tag like X9" in said


def test_a_tree_tells_its_standing_and_what_that_rests_on() -> None:
    t = TreeFactory(tag="K041", sown_year=2020, target_base_mm=40)
    look = record("bud_check", {"state": "few"}, tree=t.id)
    take_in([look])
    stand(t, gate="branches", readiness=0.3, held_by="at_target", criteria=[
        {"name": "at_target", "p": 0.4, "looked": True, "why": "31 mm of 40", "evidence": []},
        {"name": "low_buds", "p": 0.999, "looked": True, "why": "", "evidence": [
            {"record": look["id"], "on": "2026-03-01", "text": "few low buds"}]},
        {"name": "taper", "p": 0.5, "looked": False, "why": "", "evidence": []},
    ])  # fmt: skip
    response = visitor("viewer").get(f"/trees/{t.id}/")
    said = text(response)
    assert "K041 Held back: trunk short of its target Keep feeding" in said
    assert "30% that it is ready. 31 mm of 40." in said
    assert "Trunk at its target 40%" in said
    assert "Trunk tapers not looked at" in said
    assert "Live buds low down >99%" in said
    assert f'<a href="#r-{look["id"]}">few low buds</a>' in response.content.decode()
    assert "base 40\u00a0mm" in response.content.decode()


@pytest.mark.parametrize(
    "page", ["/nowhere/", f"/trees/{NOBODY}/", f"/benches/{NOBODY}/", "/ready/moss/", "/held-back/moss/"]
)
def test_nothing_at_an_address_is_said_with_a_next_step(page: str) -> None:
    response = visitor("viewer").get(page)
    assert response.status_code == 404
    assert "There is nothing at this address" in text(response)
    assert 'href="/"' in response.content.decode()


def test_a_fault_of_the_server_leaks_nothing() -> None:
    response = errors.broken(None)  # type: ignore[arg-type]
    assert response.status_code == 500
    said = response.content.decode()
    assert "What phones recorded is safe" in said
    assert not INLINE.search(said)


def test_a_form_without_its_secret_is_refused_kindly() -> None:
    client = Client(enforce_csrf_checks=True)
    response = client.post("/sign-in/", {"name": "a", "password": "b"})
    assert response.status_code == 403
    assert "This form was too old" in text(response)
