"""A picture comes piece by piece, once, and is given out to those who may see it."""

import io
import os
import threading
import time
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from PIL import Image

from nursery import photos
from nursery.models import FeedHead, PhotoFile
from nursery.photos import parts
from nursery.photos.folder import writing
from tests.api.phone import Phone
from tests.shed import visitor

from . import hostile as h
from .conftest import Sender

pytestmark = pytest.mark.django_db


def _files(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_a_picture_comes_in_pieces_and_is_kept_by_its_hash(phone: Phone, folder: Path) -> None:
    file = Sender(phone, h.with_gps())
    half = len(file.data) // 2
    assert file.told(0, b"") == ("coming", 0)
    assert file.told(0, file.data[:half]) == ("coming", half)
    assert PhotoFile.objects.count() == 0
    assert file.told(half, file.data[half:]) == ("kept", len(file.data))
    row = PhotoFile.objects.get(pk=file.id)
    assert (row.bytes, row.width, row.height, row.device) == (len(file.data), 64, 48, phone.device.id)  # type: ignore[union-attr]
    assert row.name == f"{row.sha256[:2]}/{row.sha256}.jpg"
    # The part is gone, and what is kept has no place in it.
    assert _files(folder) == ["photos.lock", f"photos/{row.name}", f"photos/{row.small_name}"]
    assert all(h.PLACE not in (folder / name).read_bytes() for name in _files(folder))


def test_a_phone_goes_on_where_the_shed_is_whatever_it_believes(phone: Phone) -> None:
    file = Sender(phone, h.saved(h.scene(200, 200)))
    assert file.told(0, file.data[:100]) == ("coming", 100)
    # The answer was lost: the same piece again, a piece too far, and one from the middle change nothing.
    assert file.told(0, file.data[:100]) == ("coming", 100)
    assert file.told(150, file.data[150:200]) == ("coming", 100)
    assert file.told(50, file.data[50:90]) == ("coming", 100)
    assert file.told(100, file.data[100:]) == ("kept", len(file.data))
    assert file.told(100, file.data[100:]) == ("kept", len(file.data))
    assert file.told(0, b"") == ("kept", len(file.data))
    assert PhotoFile.objects.count() == 1


def test_no_picture_comes_into_a_folder_that_a_restore_replaces(phone: Phone, folder: Path) -> None:
    file = Sender(phone, h.saved(h.scene()))
    with photos.replacing():
        answer = file.whole()
        assert (answer.status_code, answer.headers["Retry-After"]) == (503, "2")
        assert answer.json()["error"]["code"] == "busy"
        assert not (folder / "photos").exists()
    assert file.told(0, b"") == ("kept", len(file.data))


def test_a_picture_is_kept_for_the_site_that_was_there_when_it_came(phone: Phone, monkeypatch: Any) -> None:
    FeedHead.objects.update(epoch="before")
    receive = photos.receive

    def restored_meanwhile(*args: Any, **more: Any) -> photos.State:
        told = receive(*args, **more)
        FeedHead.objects.update(epoch="after")
        return told

    monkeypatch.setattr(photos, "receive", restored_meanwhile)
    answer = Sender(phone, h.saved(h.scene())).whole().json()
    # A phone offers again what it handed to a site of another epoch.
    assert (answer["state"], answer["epoch"]) == ("kept", "before")


def test_a_restore_waits_for_the_picture_that_is_being_written(folder: Path) -> None:
    began = threading.Event()

    def restore() -> None:
        with photos.replacing():
            began.set()

    with writing():
        waiting = threading.Thread(target=restore)
        waiting.start()
        assert not began.wait(0.2)
    waiting.join(30)
    assert began.is_set()


def test_a_file_damaged_on_its_way_begins_again(phone: Phone) -> None:
    file = Sender(phone, h.saved(h.scene()))
    assert file.told(0, b"\0" * 50 + file.data[50:]) == ("coming", 0)
    assert PhotoFile.objects.count() == 0
    assert file.told(0, file.data) == ("kept", len(file.data))


def test_a_file_whose_last_answer_was_a_busy_database_is_completed_by_asking(
    phone: Phone, folder: Path
) -> None:
    file = Sender(phone, h.saved(h.scene()))
    file.told(0, file.data[:10])
    # As a shed leaves it that was killed between the last piece and the row.
    [part] = (folder / "uploads").rglob("*.part")
    part.write_bytes(file.data)
    assert file.told(0, b"") == ("kept", len(file.data))
    assert not part.exists()


def test_a_kill_that_cut_a_kept_file_short_costs_its_name_only(phone: Phone, folder: Path) -> None:
    file = Sender(phone, h.saved(h.scene()))
    file.whole()
    row = PhotoFile.objects.get()
    row.delete()
    (folder / "photos" / row.name).write_bytes(b"\xff\xd8 cut")
    assert file.told(0, file.data) == ("kept", len(file.data))
    again = PhotoFile.objects.get()
    assert again.name != row.name
    with photos.open_kept(again) as kept:
        assert Image.open(io.BytesIO(kept.read())).size == (64, 48)


def test_what_is_no_picture_is_refused_once_and_for_all(phone: Phone, folder: Path) -> None:
    file = Sender(phone, h.SVG)
    answer = file.whole().json()
    assert (answer["state"], answer["reason"]) == ("refused", "not_a_photo")
    assert answer["message"] == "This file is no JPEG, PNG or WebP picture."
    assert answer["mend"] == "Take the picture again, or delete it on the phone."
    assert file.told(0, b"") == ("refused", len(h.SVG))
    assert _files(folder) == ["photos.lock"]
    assert phone.client.get(file.address).status_code == 404


def test_another_file_under_the_same_id_is_refused_and_the_first_stays(phone: Phone) -> None:
    first = Sender(phone, h.saved(h.scene()))
    first.whole()
    answer = Sender(phone, h.saved(h.scene(90, 90)), first.id).whole()
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "id_reused")
    assert PhotoFile.objects.get().width == 64


@pytest.mark.parametrize(
    ("other", "status", "code", "field"),
    [
        ({"bytes": 13 * 2**20}, 400, "photo_too_large", "bytes"),
        ({"bytes": 0}, 400, "bad_value", "bytes"),
        ({"bytes": ""}, 400, "bad_value", "bytes"),
        ({"bytes": 5}, 400, "bad_value", "offset"),
        ({"offset": -1}, 400, "bad_value", "offset"),
        ({"offset": "x"}, 400, "bad_value", "offset"),
        ({"sha256": "AB" * 32}, 400, "bad_value", "sha256"),
        ({"sha256": "../../etc"}, 400, "bad_value", "sha256"),
    ],
)
def test_what_is_asked_wrongly_is_told_by_its_field(
    phone: Phone, other: dict[str, Any], status: int, code: str, field: str
) -> None:
    answer = Sender(phone, h.saved(h.scene())).put(0, b"123456", **other)
    error = answer.json()["error"]
    assert (answer.status_code, error["code"], error["field"]) == (status, code, field)
    assert error["mend"]


def test_no_piece_is_longer_than_512_kb(phone: Phone) -> None:
    answer = Sender(phone, b"\0" * 600_000).whole()
    assert (answer.status_code, answer.json()["error"]["code"]) == (413, "too_large")


def test_a_phone_has_at_most_ten_unfinished_files_and_none_for_ever(phone: Phone, folder: Path) -> None:
    for n in range(12):
        Sender(phone, b"%d" % n * 40).told(0, b"%d" % n)
    [device] = (folder / "uploads").iterdir()
    assert len(list(device.iterdir())) == 10
    for part in device.iterdir():
        os.utime(part, (0, time.time() - parts.PART_LIFE_S - 60))
    Sender(phone, b"new" * 9).told(0, b"new")
    assert len(list(device.iterdir())) == 1


def test_a_full_disk_takes_no_pictures_and_says_what_to_do(phone: Phone, monkeypatch: Any) -> None:
    monkeypatch.setattr(parts, "SPARE", 2**60)
    answer = Sender(phone, h.saved(h.scene())).whole()
    assert (answer.status_code, answer.json()["error"]["code"]) == (503, "no_room")
    assert "Records are still taken" in answer.json()["error"]["mend"]


def test_a_day_has_a_bound(phone: Phone, monkeypatch: Any) -> None:
    monkeypatch.setattr(parts, "MOST_A_DAY", 1)
    assert Sender(phone, h.saved(h.scene())).whole().status_code == 200
    answer = Sender(phone, h.saved(h.scene(80, 80))).whole()
    assert (answer.status_code, answer["Retry-After"]) == (429, "3600")


@pytest.mark.parametrize(
    ("role", "sends", "sees"), [("owner", 200, 200), ("helper", 200, 200), ("viewer", 403, 200)]
)
def test_who_may_send_and_see(phone: Phone, role: str, sends: int, sees: int) -> None:
    kept = Sender(phone, h.saved(h.scene()))
    kept.whole()
    other = Phone(role)
    assert Sender(other, h.saved(h.scene(80, 80))).whole().status_code == sends
    answer = other.client.get(kept.address)
    assert answer.status_code == sees
    assert answer["Content-Type"] == "image/jpeg"
    assert "no-store" in answer["Cache-Control"]


def test_a_stranger_and_a_person_without_a_phone_get_nothing_from_the_api(phone: Phone) -> None:
    kept = Sender(phone, h.saved(h.scene()))
    kept.whole()
    assert Client().get(kept.address).status_code == 401
    assert Sender(Phone(paired=False), kept.data, kept.id).whole().status_code == 401
    assert visitor("owner").get(kept.address).status_code == 401


def test_without_the_own_header_nothing_is_taken(phone: Phone) -> None:
    answer = phone.client.put(
        f"/api/photos/{uuid.uuid4()}?offset=0&bytes=3&sha256={'ab' * 32}",
        b"abc",
        content_type="application/octet-stream",
    )
    assert answer.status_code == 403
