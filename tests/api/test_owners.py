"""Settings are the owner's: no phone of a helper, and no file of one, changes them."""

from io import BytesIO

import pytest

from nursery import practice
from nursery.models import JournalRecord
from tests.api.phone import Phone
from tests.factories import TreeFactory, correction, record, take, withdrawal
from tests.shed import text, visitor

pytestmark = pytest.mark.django_db


def setting(value: float = 5) -> dict:
    return record("practice_set", {"name": "soil_days", "value": value})


def test_a_helpers_phone_changes_no_setting() -> None:
    note = record("note", {"text": "seen"}, tree=TreeFactory().id)
    before = JournalRecord.objects.count()
    answer = Phone("helper").push([note, setting()])
    assert answer.status_code == 403
    assert answer.json()["error"]["field"] == "records[1].kind"
    assert answer.json()["error"]["message"] == "Only the owner changes settings."
    assert JournalRecord.objects.count() == before
    assert Phone("owner").push([setting()]).json()["results"][0]["outcome"] == "stored"
    assert practice.current().soil_days == 5


@pytest.mark.parametrize("way", ["withdraw", "correct"])
def test_nor_does_it_by_correcting_one(way: str) -> None:
    mine = setting()
    take(mine)
    made = withdrawal(mine) if way == "withdraw" else correction(mine, {"name": "soil_days", "value": 9})
    answer = Phone("helper").push([made])
    assert (answer.status_code, answer.json()["error"]["field"]) == (403, "records[0].body.replaces")
    assert practice.current().soil_days == 5


def test_nor_does_a_file() -> None:
    from tests.keeping.test_handover import packed

    def file() -> BytesIO:
        made = BytesIO(packed([setting()]))
        made.name = "phone.json"
        return made

    refused = visitor("helper").post("/phones/hand-over/", {"file": file()})
    assert refused.status_code == 403
    assert "It changes settings, which only the owner may. Ask the owner to take it in." in text(refused)
    assert not JournalRecord.objects.exists()
    assert visitor("owner").post("/phones/hand-over/", {"file": file()}).status_code == 200
    assert practice.current().soil_days == 5
