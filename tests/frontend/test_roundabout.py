"""Addresses that only change things, opened or reloaded; one's own password; codes; the nursery's site."""

import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery import people
from nursery.journal import take_in
from nursery.models import JournalRecord, PairingCode, Site
from tests.factories import BenchFactory, DeviceFactory, TreeFactory, record
from tests.shed import PASSWORD, fate, text, visitor

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _quick_hashes(settings: pytest.FixtureRequest) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # type: ignore[attr-defined]


SOME = uuid.UUID("0b5d1f7e-0000-4000-8000-00000000beef")


@pytest.mark.parametrize(
    ("path", "page"),
    [
        ("/sign-out/", "/"),
        ("/phones/pair/", "/phones/"),
        ("/phones/codes/1/cancel/", "/phones/"),
        (f"/phones/{SOME}/rename/", "/phones/"),
        (f"/phones/{SOME}/revoke/", "/phones/"),
        ("/people/invite/", "/people/"),
        ("/people/1/role/", "/people/"),
        ("/people/1/off/", "/people/"),
        (f"/set-aside/{SOME}/keep/", "/set-aside/"),
        (f"/set-aside/{SOME}/discard/", "/set-aside/"),
        ("/set-aside/same-id/1/first/", "/set-aside/same-id/"),
        (f"/trees/{SOME}/phase/", f"/trees/{SOME}/"),
    ],
)
def test_an_address_that_changes_things_leads_to_its_page_and_changes_nothing(path: str, page: str) -> None:
    now = timezone.now()
    ends = now + timedelta(hours=1)
    code = PairingCode.objects.create(pk=1, code_hash="x", role="helper", made_at=now, ends_at=ends)
    response = visitor("owner").get(path)
    assert (response.status_code, response.headers["Location"]) == (302, page)
    code.refresh_from_db()
    assert code.ends_at > timezone.now()
    assert visitor("owner").put(path).status_code == 405


def test_the_forms_for_a_bench_and_its_trees_have_pages_of_their_own() -> None:
    client = visitor("owner")
    assert client.get("/benches/add-trees/").headers["Location"] == "/benches/add/"
    page = client.get("/benches/add/")
    assert page.status_code == 200
    said = text(page)
    assert "Add a bench" in said
    assert "fill this in" not in said
    BenchFactory(name="South")
    page = client.get("/benches/add-trees/")
    assert page.status_code == 200
    assert "Add trees" in text(page)
    assert "fill this in" not in text(page)
    assert visitor("viewer").get("/benches/add/").status_code == 403


def owner() -> Client:
    user = people.use_entry_link(people.make_entry_link("owner"), name="Ada", password=PASSWORD)
    client = Client()
    client.force_login(user)
    return client


NEW = "lichen on the south side"


def test_a_new_password_counts_at_once_and_shuts_out_other_browsers() -> None:
    client, other = owner(), Client()
    assert other.login(username="Ada", password=PASSWORD)
    assert "Change your password" in text(client.get("/people/"))
    page = client.post("/people/password/", {"old": PASSWORD, "password": NEW, "again": NEW}, follow=True)
    assert "The new password counts from now on." in text(page)
    assert client.get("/").status_code == 200
    assert other.get("/").status_code == 302
    assert not Client().login(username="Ada", password=PASSWORD)
    assert Client().login(username="Ada", password=NEW)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"old": "wrong"}, "Password until now: This is not your password until now. Type it again."),
        ({"again": "another one of mine"}, "The new password again: the two differ. Type both anew."),
        ({"password": "short", "again": "short"}, "Take a longer or less common password."),
        ({"old": ""}, "Password until now: fill this in."),
    ],
)
def test_a_password_that_will_not_do_names_its_field(given: dict[str, str], said: str) -> None:
    client = owner()
    page = client.post("/people/password/", {"old": PASSWORD, "password": NEW, "again": NEW} | given)
    assert page.status_code == 400
    assert said in text(page)
    assert Client().login(username="Ada", password=PASSWORD)


def test_an_open_browser_is_no_way_to_guess_a_password_without_end() -> None:
    client = owner()
    for _ in range(5):
        client.post("/people/password/", {"old": "a guess", "password": NEW, "again": NEW})
    page = client.post("/people/password/", {"old": PASSWORD, "password": NEW, "again": NEW})
    assert page.status_code == 429
    assert "Too many wrong tries." in text(page)


def test_a_live_code_is_listed_and_can_be_cancelled() -> None:
    client = visitor("owner")
    code = people.make_pairing_code("Green phone", "helper")
    page = client.get("/phones/")
    said = text(page)
    assert "1 code waits for its phone" in said
    assert "Green phone helper Ends in 10 minutes" in said
    assert code not in said
    key = PairingCode.objects.get().pk
    for role in ("helper", "viewer"):
        assert visitor(role).post(f"/phones/codes/{key}/cancel/").status_code == 403
        assert "code waits" not in text(visitor(role).get("/phones/"))
    page = client.post(f"/phones/codes/{key}/cancel/", follow=True)
    assert "The code is cancelled." in text(page)
    assert "code waits" not in text(page)
    with pytest.raises(people.Refused):
        people.pair(code, who="here")
    assert "was used or had ended before" in text(client.post(f"/phones/codes/{key}/cancel/", follow=True))


def test_a_revoked_phone_is_told_how_to_hand_over() -> None:
    phone = DeviceFactory(name="Old phone")
    page = visitor("owner").post(f"/phones/{phone.id}/revoke/", follow=True)
    assert "Records still on it can be handed over by file: save it there, under This phone" in text(page)
    assert 'href="/phones/hand-over/"' in page.content.decode()


def test_the_offline_page_is_ours_and_holds_no_script() -> None:
    page = Client().get("/offline/")
    assert page.status_code == 200
    body = page.content.decode()
    assert "The shed is out of reach" in body
    assert "<script" not in body
    assert "style=" not in body
    assert "script-src 'self'" in page.headers["Content-Security-Policy"]


def test_the_owner_names_and_places_the_nursery_by_a_record() -> None:
    client = visitor("owner")
    given = {"name": "Hillside", "time_zone": "Pacific/Auckland", "latitude": "-41.3", "longitude": ""}
    page = client.post("/site/", given, follow=True)
    assert "Hillside: kept." in text(page)
    assert "South of the equator" in text(page)
    site = Site.objects.get()
    assert (site.name, site.time_zone, site.latitude, site.longitude) == (
        "Hillside",
        "Pacific/Auckland",
        -41.3,
        None,
    )
    assert 'value="-41.3"' in client.get("/site/").content.decode()
    client.post("/site/", given | {"name": "Valley", "latitude": "46"})
    site = Site.objects.get()
    assert (site.name, site.latitude) == ("Valley", 46.0)
    assert JournalRecord.objects.filter(kind="site_set").count() == 2
    for role in ("helper", "viewer"):
        assert visitor(role).get("/site/").status_code == 403
        assert visitor(role).post("/site/", given).status_code == 403


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"latitude": "91"}, "Latitude: a number from -90 to 90, in degrees, or nothing."),
        ({"time_zone": "Moon/Sea"}, "Time zone: 'Moon/Sea' is not a time zone."),
        ({"name": ""}, "Name of the nursery: fill this in."),
    ],
)
def test_a_site_that_cannot_be_is_refused_by_its_field(given: dict[str, str], said: str) -> None:
    page = visitor("owner").post("/site/", {"name": "Hillside", "time_zone": "UTC"} | given)
    assert page.status_code == 400
    assert said in text(page)
    assert not JournalRecord.objects.exists()


def test_a_fault_deep_in_a_list_says_which_and_what_can_be_done() -> None:
    t = TreeFactory(tag="K1")
    roots = [{"deg": 10, "grade": 3, "level": True}, {"deg": 400, "grade": 2, "level": False}]
    bad = record("root_survey", {"roots": roots}, tree=t.id)
    take_in([bad])
    page = visitor("helper").get("/set-aside/")
    said = text(page)
    assert "Root 2 of 2: deg 400, grade 2, level no. It can't be put right in one field here." in said
    assert "Discard" in said
    assert "Or leave it here to wait." in said
    assert f'href="/trees/{t.id}/"' in page.content.decode()
    assert visitor("helper").post(f"/set-aside/{bad['id']}/discard/").status_code == 302
    assert fate(bad["id"]) == "withdrawn"
