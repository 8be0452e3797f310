"""Coming in: the entry link, signing in and out, and what slows guessing down."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone

from nursery import people
from nursery.models import EntryLink, Person
from tests.shed import PASSWORD, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _quick_hashes(settings: pytest.FixtureRequest) -> None:
    """Guesses must follow each other faster than the wait they cause."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # type: ignore[attr-defined]


def come_in(token: str, **more: str) -> tuple[Client, int, str]:
    client = Client()
    given = {"name": "Ada", "password": PASSWORD, "again": PASSWORD} | more
    response = client.post(f"/enter/{token}/", given)
    return client, response.status_code, text(response)


def test_the_first_owner_comes_in_by_a_link_that_works_once() -> None:
    token = people.make_entry_link("owner")
    page = Client().get(f"/enter/{token}/")
    assert page.status_code == 200
    assert "You come in as owner" in text(page)
    client, status, _ = come_in(token)
    assert status == 302
    assert client.get("/").status_code == 200
    assert Person.objects.get(user__username="Ada").role == "owner"
    _, again, said = come_in(token, name="Eve")
    assert again == 410
    assert "This link is used up or too old" in said
    assert not User.objects.filter(username="Eve").exists()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"password": "short", "again": "short"}, "Take a longer or less common password."),
        ({"again": "something else entirely"}, "The same password again: the two differ."),
        ({"name": ""}, "Your name: fill this in."),
        ({"name": "ada "}, "Your name: Somebody is called ada already. Take another name."),
    ],
)
def test_a_bad_choice_names_its_field_and_leaves_the_link_open(more: dict[str, str], said: str) -> None:
    User.objects.create_user("ADA")
    token = people.make_entry_link("helper")
    _, status, page = come_in(token, **({"name": "Bo"} | more))
    assert status == 400
    assert said in page
    link = people.entry_link_open(token)
    assert link
    assert link.role == "helper"


def test_a_link_too_old_is_closed() -> None:
    token = people.make_entry_link("helper")
    EntryLink.objects.update(ends_at=timezone.now() - timedelta(seconds=1))
    assert Client().get(f"/enter/{token}/").status_code == 410


def test_signing_in_leads_to_the_page_asked_for_and_out_again() -> None:
    come_in(people.make_entry_link("viewer"))
    client = Client()
    assert client.get("/wires/").headers["Location"] == "/sign-in/?next=/wires/"
    response = client.post("/sign-in/", {"name": "Ada", "password": PASSWORD, "next": "/wires/"})
    assert (response.status_code, response.headers["Location"]) == (302, "/wires/")
    assert client.get("/wires/").status_code == 200
    assert client.get("/sign-out/").headers["Location"] == "/"
    assert client.get("/wires/").status_code == 200
    assert client.post("/sign-out/").headers["Location"] == "/sign-in/"
    assert client.get("/wires/").status_code == 302


@pytest.mark.parametrize("elsewhere", ["https://example.org/", "//example.org", "javascript:alert(1)"])
def test_signing_in_never_leads_elsewhere(elsewhere: str) -> None:
    come_in(people.make_entry_link("viewer"))
    response = Client().post("/sign-in/", {"name": "Ada", "password": PASSWORD, "next": elsewhere})
    assert response.headers["Location"] == "/"


def test_a_wrong_password_and_an_unknown_name_look_the_same() -> None:
    come_in(people.make_entry_link("viewer"))
    wrong = Client().post("/sign-in/", {"name": "Ada", "password": "not this one"})
    unknown = Client().post("/sign-in/", {"name": "Adb", "password": "not this one"})
    assert (wrong.status_code, unknown.status_code) == (403, 403)
    assert "Name and password do not fit together. Type both again; capitals count." in text(wrong)
    assert text(wrong).replace("Ada", "") == text(unknown).replace("Adb", "")


def test_guessing_is_slowed_down_even_for_the_right_password() -> None:
    come_in(people.make_entry_link("viewer"))
    client = Client()
    for _ in range(5):
        assert client.post("/sign-in/", {"name": "Ada", "password": "a guess"}).status_code == 403
    response = client.post("/sign-in/", {"name": "Ada", "password": PASSWORD})
    assert response.status_code == 429
    assert int(response.headers["Retry-After"]) in (1, 2)
    assert "Too many wrong tries. Wait" in text(response)


def test_somebody_switched_off_is_a_stranger() -> None:
    client, _, _ = come_in(people.make_entry_link("helper"))
    User.objects.update(is_active=False)
    assert client.get("/").status_code == 302
    response = Client().post("/sign-in/", {"name": "Ada", "password": PASSWORD})
    assert response.status_code == 403
