"""What is recorded and settled from the shed's pages."""

import re
import uuid

import pytest

from nursery import people
from nursery.errors import Refused
from nursery.journal import take_in
from nursery.models import Bench, Caliper, Contested, Device, JournalRecord, Person, SoilCheck, Tree
from tests.factories import BenchFactory, DeviceFactory, TreeFactory, correction, record
from tests.shed import fate, text, visitor

pytestmark = pytest.mark.django_db


def test_the_first_day_begins_with_a_bench_and_its_trees() -> None:
    client = visitor("owner")
    assert "Begin with a bench" in text(client.get("/"))
    response = client.post("/benches/add/", {"name": "South", "rows": 2, "places": 2}, follow=True)
    assert "South is in. Now put trees on it." in text(response)
    assert "Now the trees" in text(response)
    bench = Bench.objects.get()
    assert (bench.name, bench.rows, bench.places, bench.walk_order, bench.site.name) == (
        "South",
        2,
        2,
        1,
        "Nursery",
    )
    given = {
        "species": "japanese-black-pine",
        "count": 3,
        "letters": "k",
        "bench": bench.id,
        "phase": "roots",
    }
    response = client.post("/benches/add-trees/", given | {"sown_year": 2024}, follow=True)
    trees = Tree.objects.order_by("tag")
    assert [t.tag[:4] for t in trees] == ["K001", "K002", "K003"]
    assert [(t.row, t.place) for t in trees] == [(1, 1), (1, 2), (2, 2)]
    assert {(t.phase, t.sown_year) for t in trees} == {("roots", 2024)}
    assert f"3 trees are in: {trees[0].tag} to {trees[2].tag}." in text(response)
    assert "3 trees on 1 bench" in text(client.get("/"))


def test_tags_go_on_from_the_highest_in_use_even_of_a_tree_that_left() -> None:
    from nursery.science import tags

    bench = BenchFactory(rows=2, places=2)
    TreeFactory(tag=tags.make("K", 41), left_how="sold")
    TreeFactory(tag="K999")  # a grower's own tag, not one of ours
    given = {"species": "chinese-elm", "count": 1, "letters": "K", "bench": bench.id, "phase": "seedling"}
    visitor("helper").post("/benches/add-trees/", given)
    assert Tree.objects.get(bench=bench).tag == tags.make("K", 42)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("count", 5, "How many: Small has 4 free places."),
        ("count", 0, "How many: a whole number from 1 to 500."),
        ("letters", "KI", "Tags begin with: use letters of"),
        ("species", "moss", "Species: choose one of the list."),
        ("sown_year", 2190, "Year sown: not after this year."),
        ("bench", "0b5d1f7e-0000-4000-8000-00000000beef", "On the bench: choose one of the list."),
    ],
)
def test_trees_are_refused_by_the_field_at_fault(field: str, value: object, said: str) -> None:
    bench = BenchFactory(name="Small", rows=2, places=2)
    given = {"species": "chinese-elm", "count": 1, "letters": "K", "bench": bench.id, "phase": "seedling"}
    response = visitor("owner").post("/benches/add-trees/", given | {field: value})
    assert response.status_code == 400
    assert said in text(response)
    assert not Tree.objects.exists()


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"name": "", "rows": 2, "places": 2}, "Name of the bench: fill this in."),
        ({"name": "S", "rows": 201, "places": 2}, "Rows: a whole number from 1 to 200."),
        ({"name": "S", "rows": 2, "places": "many"}, "Places in a row: a whole number from 1 to 200."),
        ({"name": "x" * 61, "rows": 2, "places": 2}, "Name of the bench: at most 60 characters."),
    ],
)
def test_a_bench_is_refused_by_the_field_at_fault(given: dict[str, object], said: str) -> None:
    response = visitor("owner").post("/benches/add/", given)
    assert response.status_code == 400
    assert said in text(response)
    assert not Bench.objects.exists()


def test_a_helper_records_target_phase_move_tag_and_leaving() -> None:
    bench = BenchFactory(rows=3, places=4)
    t = TreeFactory(tag="K1", phase="roots")
    client = visitor("helper")
    steps = {
        "target": {"height_mm": "300", "base_mm": "50", "style": "broom"},
        "phase": {"to": "trunk", "why": "roots all round"},
        "move": {"bench": bench.id, "row": 3, "place": 4},
        "tag": {"tag": "K2"},
        "left": {"how": "given", "why": "to a school"},
    }
    for what, given in steps.items():
        assert client.post(f"/trees/{t.id}/{what}/", given).status_code == 302, what
    t.refresh_from_db()
    assert (t.target_height_mm, t.target_base_mm, t.target_style) == (300.0, 50.0, "broom")
    assert (t.phase, t.tag, t.bench, t.row, t.place) == ("trunk", "K2", bench, 3, 4)
    assert (t.left_how, t.left_why) == ("given", "to a school")
    assert JournalRecord.objects.get(kind="phase_change").body == {"to": "trunk", "why": "roots all round"}
    said = text(client.get(f"/trees/{t.id}/"))
    assert "K2 Given away on" in said
    assert "Record the phase" not in said


def test_an_empty_target_clears_it_and_no_bench_takes_the_tree_off() -> None:
    t = TreeFactory(bench=BenchFactory(rows=2, places=2), place=1, target_base_mm=40, target_style="broom")
    client = visitor("owner")
    client.post(f"/trees/{t.id}/target/", {"height_mm": "", "base_mm": "", "style": ""})
    client.post(f"/trees/{t.id}/move/", {"bench": "", "row": "1", "place": "1"})
    t.refresh_from_db()
    assert (t.target_base_mm, t.target_style, t.bench, t.row) == (None, "", None, None)


@pytest.mark.parametrize(
    ("what", "given", "said"),
    [
        ("target", {"base_mm": "-3"}, "Base diameter: a number from 1 to 1000, in millimetres."),
        ("target", {"height_mm": "tall"}, "Height: a number from 20 to 5000, in millimetres."),
        ("phase", {"to": "moss"}, "Phase from now on: choose one of the list."),
        ("move", {"row": "9", "place": "1"}, "Row: Small has 1 to 2."),
        ("move", {"row": "", "place": "1"}, "Row: say which, 1 to 2."),
        ("tag", {"tag": ""}, "New tag: fill this in."),
        ("tag", {"tag": "x" * 17}, "New tag: at most 16 characters."),
        ("left", {"how": "lost"}, "How it left: choose one of the list."),
    ],
)
def test_a_bad_value_is_refused_beside_its_field(what: str, given: dict[str, str], said: str) -> None:
    bench = BenchFactory(name="Small", rows=2, places=2)
    t = TreeFactory(tag="K1")
    before = JournalRecord.objects.count()
    more = {"bench": str(bench.id)} if what == "move" else {}
    response = visitor("owner").post(f"/trees/{t.id}/{what}/", given | more)
    assert response.status_code == 400
    assert said in text(response)
    assert re.search(r"<details[^>]* open>", response.content.decode())
    assert JournalRecord.objects.count() == before


def test_cautions_stand_where_work_can_hurt() -> None:
    t = TreeFactory(tag="K1", phase="trunk")
    said = text(visitor("owner").get(f"/trees/{t.id}/"))
    assert "eye protection, gloves, and cut away from the hand that holds" in said
    assert "A wet pot is heavy" in said


def test_a_wrong_value_is_corrected_and_then_counts() -> None:
    t = TreeFactory(tag="K1")
    bad = record("caliper", {"mm": 4200}, tree=t.id)
    take_in([bad])
    client = visitor("helper")
    assert "1 record set aside" in text(client.get("/set-aside/"))
    page = f"/set-aside/{bad['id']}/correct/"
    refused = client.post(page, {"value": "9999"})
    assert refused.status_code == 400
    assert "mm: 9999 is outside 0.1 to 1000. Give a number from 0.1 to 1000 mm." in text(refused)
    assert fate(bad["id"]) == "set_aside"
    said = text(client.post(page, {"value": "42,5"}, follow=True))
    assert "Caliper corrected: 42,5." in said
    assert "No record is set aside" in said
    assert Caliper.objects.get().mm == 42.5
    assert JournalRecord.objects.get(pk=bad["id"]).body == {"mm": 4200}


def test_a_wrong_word_is_corrected_by_a_word() -> None:
    t = TreeFactory(tag="K1")
    bad = record("soil_check", {"state": "soggy"}, tree=t.id)
    take_in([bad])
    visitor("owner").post(f"/set-aside/{bad['id']}/correct/", {"value": "wet"})
    assert SoilCheck.objects.get().state == "wet"


def test_a_record_is_discarded_but_kept() -> None:
    bad = record("soil_check", {"state": "dry"}, tree=uuid.uuid4())
    take_in([bad])
    client = visitor("helper")
    said = text(client.post(f"/set-aside/{bad['id']}/discard/", follow=True))
    assert "Discarded. The record itself is kept." in said
    assert fate(bad["id"]) == "withdrawn"
    assert client.post(f"/set-aside/{bad['id']}/discard/").status_code == 404


def test_a_refused_correction_is_settled_by_confirming_the_record_as_it_stands() -> None:
    t = TreeFactory(tag="K1")
    first = record("caliper", {"mm": 12.5}, tree=t.id)
    bad = correction(first, {"mm": 4200})
    take_in([first, bad])
    client = visitor("helper")
    assert "1 record set aside" in text(client.get("/set-aside/"))
    said = text(client.post(f"/set-aside/{bad['id']}/keep/", follow=True))
    assert "Confirmed as it stands." in said
    assert "No record is set aside" in said
    assert Caliper.objects.get().mm == 12.5
    assert fate(bad["id"]) == "set_aside"


@pytest.mark.parametrize(("choice", "mm"), [("first", 12.5), ("second", 21.5)])
def test_one_id_with_two_contents_is_settled_either_way(choice: str, mm: float) -> None:
    t = TreeFactory()
    first = record("caliper", {"mm": 12.5}, tree=t.id)
    take_in([first])
    take_in([{**first, "body": {"mm": 21.5}}])
    twice = Contested.objects.get()
    client = visitor("helper")
    response = client.post(f"/set-aside/same-id/{twice.pk}/{choice}/", follow=True)
    assert "No id came with two contents" in text(response)
    assert Caliper.objects.get().mm == mm
    assert client.post(f"/set-aside/same-id/{twice.pk}/{choice}/").status_code == 404


def test_a_second_content_that_cannot_be_stays_unsettled() -> None:
    t = TreeFactory()
    first = record("caliper", {"mm": 12.5}, tree=t.id)
    take_in([first])
    take_in([{**first, "body": {"mm": 4200}}])
    twice = Contested.objects.get()
    said = text(visitor("helper").post(f"/set-aside/same-id/{twice.pk}/second/", follow=True))
    assert "4200 is outside 0.1 to 1000" in said
    assert "1 record came twice, not alike" in said
    assert not JournalRecord.objects.filter(kind="correction").exists()
    assert Caliper.objects.get().mm == 12.5


def test_a_pairing_code_is_shown_once_and_pairs_a_phone() -> None:
    client = visitor("owner")
    response = client.post("/phones/pair/", {"name": "Green phone", "role": "helper"})
    assert "no-store" in response.headers["Cache-Control"]
    page = response.content.decode()
    code = re.search(r"[2-9A-HJKMNP-Z]{4}-[2-9A-HJKMNP-Z]{4}", text(response))
    assert code
    assert "data:image/svg+xml" in page
    device, _ = people.pair(code[0], who="test")
    assert (device.name, device.role) == ("Green phone", "helper")
    with pytest.raises(Refused):
        people.pair(code[0], who="test")
    assert "Green phone helper" in text(client.get("/phones/"))


def test_a_phone_is_renamed_and_shut_out() -> None:
    client = visitor("owner")
    phone, other = DeviceFactory(name="Green"), DeviceFactory(name="Red")
    assert "Now called Blue." in text(
        client.post(f"/phones/{phone.id}/rename/", {"name": "Blue"}, follow=True)
    )
    taken = client.post(f"/phones/{phone.id}/rename/", {"name": "Red"}, follow=True)
    assert "Another phone is called Red. Take another name." in text(taken)
    said = text(client.post(f"/phones/{phone.id}/revoke/", follow=True))
    assert "Blue is shut out. Records still on it can be handed over by file" in said
    assert Device.objects.get(pk=phone.id).revoked_at is not None
    assert Device.objects.get(pk=other.id).revoked_at is None


def test_an_owner_lets_a_helper_in_changes_the_role_and_switches_off() -> None:
    owner = visitor("owner")
    response = owner.post("/people/invite/", {"role": "helper"})
    link = re.search(r"http://testserver(/enter/[\w-]+/)", response.content.decode())
    assert link
    assert "no-store" in response.headers["Cache-Control"]
    guest = visitor("")
    guest.post(link[1], {"name": "Bo", "password": "moss on stones", "again": "moss on stones"})
    person = Person.objects.get(user__username="Bo")
    assert person.role == "helper"
    owner.post(f"/people/{person.user_id}/role/", {"role": "viewer"})
    person.refresh_from_db()
    assert person.role == "viewer"
    assert guest.post("/benches/add/").status_code == 403
    owner.post(f"/people/{person.user_id}/off/")
    assert guest.get("/").status_code == 302
    owner.post(f"/people/{person.user_id}/on/")
    person.user.refresh_from_db()
    assert person.user.is_active


def test_an_owner_cannot_lock_the_last_door() -> None:
    client = visitor("owner")
    me = Person.objects.get()
    for page in (f"/people/{me.user_id}/off/", f"/people/{me.user_id}/role/"):
        said = text(client.post(page, {"role": "viewer"}, follow=True))
        assert "This is you. Ask another owner" in said
    me.refresh_from_db()
    assert (me.role, me.user.is_active) == ("owner", True)
