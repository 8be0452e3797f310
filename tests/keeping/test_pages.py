"""The shed's pages about files, backups and trust."""

import datetime
import json
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from nursery import keeping, lan
from nursery.models import JournalRecord, Person, SoilCheck
from tests.factories import record

from .conftest import TODAY, Nursery
from .test_handover import packed


def signed_in(role: str) -> Client:
    user = get_user_model().objects.create_user(f"a-{role}", password="a long password")
    Person.objects.create(user=user, role=role)
    client = Client()
    client.force_login(user)
    return client


def give(client: Client, data: bytes, **more: str) -> Any:
    return client.post("/phones/hand-over/", {"file": SimpleUploadedFile("phone.json", data), **more})


@pytest.mark.parametrize(("role", "get"), [("owner", 200), ("helper", 200), ("viewer", 403)])
def test_who_may_hand_over_by_file(nursery: Nursery, role: str, get: int) -> None:
    client = signed_in(role)
    before = JournalRecord.objects.count()
    assert client.get("/phones/hand-over/").status_code == get
    data = packed([record("soil_check", {"state": "dry"}, tree=nursery.trees[0].id)])
    assert give(client, data).status_code == get
    assert JournalRecord.objects.count() - before == (1 if get == 200 else 0)


def test_strangers_are_sent_to_sign_in(nursery: Nursery) -> None:
    for path in ("/phones/hand-over/", "/backups/", "/phones/trust/"):
        assert Client().get(path)["Location"] == f"/sign-in/?next={path}"
    assert give(Client(), packed([])).status_code == 302


def test_the_page_tells_what_became_of_the_records(nursery: Nursery) -> None:
    tree = nursery.trees[0].id
    records = [record("soil_check", {"state": "dry"}, tree=tree) for _ in range(3)]
    records.append(record("soil_check", {"state": "damp"}, tree=tree))
    records.append({"id": "no"})
    page = give(signed_in("helper"), packed(records)).content.decode()
    assert "3 records taken in from Ada&#x27;s phone" in page
    assert "0 records were known already. 1 record was set aside" in page
    assert "Not records at all" in page


def test_the_page_tells_it_in_german(nursery: Nursery) -> None:
    tree = nursery.trees[0].id
    records = [record("soil_check", {"state": "damp"}, tree=tree), {"id": "no"}, 7]
    client = signed_in("helper")
    client.cookies["django_language"] = "de"
    page = give(client, packed(records)).content.decode()
    assert "1 Eintrag wurde ganz zurückgelegt" in page
    assert "Kind: kind ist kein Wort von 1 bis 40 Buchstaben." in page
    assert "Der Eintrag ist kein Objekt." in page


def test_a_damaged_file_is_refused_then_taken_in_as_far_as_it_can_be_read(nursery: Nursery) -> None:
    tree = nursery.trees[0].id
    data = packed([record("soil_check", {"state": "moist"}, tree=tree) for _ in range(5)], count=True)
    cut = data[: data.rindex(b'"hlc"')]
    client = signed_in("helper")
    told = give(client, cut)
    assert told.status_code == 400
    assert "4 of 5 records could be read: the file ends early. Export it again" in told.content.decode()
    assert SoilCheck.objects.filter(state="moist").count() == 0
    assert "4 records taken in" in give(client, cut, readable="1").content.decode()
    assert SoilCheck.objects.filter(state="moist").count() == 4


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "it is empty. Export it again from the phone."),
        (json.dumps({"misho": "backup"}).encode(), "This is no hand-over file of Misho."),
        (b" " * (20 * 1024 * 1024 + 1), "The file is longer than 20 MB"),
        (b" " * (21 * 1024 * 1024), "<title>"),  # refused by its announced length, before it is read
    ],
)
def test_other_files_are_refused_on_the_page(nursery: Nursery, data: bytes, said: str) -> None:
    told = give(signed_in("helper"), data)
    assert told.status_code == 400
    assert said in told.content.decode()


def test_the_shed_tells_the_age_of_the_last_good_backup(nursery: Nursery) -> None:
    client = signed_in("viewer")
    assert "No backup has been made yet" in client.get("/backups/").content.decode()
    assert "No backup yet</a>" in client.get("/phones/").content.decode()
    keeping.daily(TODAY)
    page = client.get("/backups/").content.decode()
    assert "The last good backup: just now" in page
    assert "misho-2026-06-01.zip" in page
    assert str(nursery.folder) not in page
    assert str(nursery.folder / "backups") in signed_in("owner").get("/backups/").content.decode()


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "just now"),
        (1, "1 minute ago"),
        (59, "59 minutes ago"),
        (60, "1 hour ago"),
        (2879, "1 day ago"),
        (2880, "2 days ago"),
    ],
)
def test_an_age_in_words(minutes: int, words: str) -> None:
    assert keeping.age_words(datetime.timedelta(minutes=minutes)) == words


def test_the_trust_page_shows_the_fingerprint_and_where_a_phone_starts(
    nursery: Nursery, empty_site: Path
) -> None:
    client = signed_in("viewer")
    page = client.get("/phones/trust/").content.decode()
    assert "Phones need https" in page
    assert Client().get("/phones/trust/misho.cer").status_code == 404
    secure = lan.Secure(empty_site, "127.0.0.1", 8443, 0)
    secure.begin()
    try:
        page = client.get("/phones/trust/").content.decode()
        der = Client().get("/phones/trust/misho.cer")
        shown = page.split('<pre translate="no">')[1].split("</pre>")[0]
        assert shown.replace("\n", ":") == secure.mark
        assert [len(line) for line in shown.split("\n")] == [23, 23, 23, 23]
        assert secure.plain_address in page
    finally:
        secure.end()
    assert der["Content-Type"] == "application/x-x509-ca-cert"
    assert lan.fingerprint(der.content) == secure.mark
    assert "The page for phones is not served now" in client.get("/phones/trust/").content.decode()
