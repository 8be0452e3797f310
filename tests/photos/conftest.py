"""A shed with a data folder of its own, and phones that hand pictures over."""

import hashlib
import uuid
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest

from tests.api.phone import Phone


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: Any) -> Path:
    settings.DATA_DIR = tmp_path
    settings.MEDIA_ROOT = tmp_path / "photos"
    return tmp_path


class Sender:
    """One phone that sends one file by hand, piece after piece."""

    def __init__(self, phone: Phone, data: bytes, id: uuid.UUID | None = None) -> None:
        self.phone = phone
        self.data = data
        self.id = id or uuid.uuid4()
        self.address = f"/api/photos/{self.id}"

    def put(self, at: int, piece: bytes, **other: Any) -> Any:
        asked = {
            "offset": at,
            "bytes": len(self.data),
            "sha256": hashlib.sha256(self.data).hexdigest(),
        } | other
        return self.phone.client.put(
            f"{self.address}?{urlencode(asked)}",
            piece,
            content_type="application/octet-stream",
            headers={"X-Misho": "1"},
        )

    def told(self, at: int, piece: bytes) -> tuple[str, int]:
        answer = self.put(at, piece)
        assert answer.status_code == 200, answer.content
        return answer.json()["state"], answer.json()["have"]

    def whole(self) -> Any:
        return self.put(0, self.data)


@pytest.fixture
def phone(db: None) -> Phone:
    return Phone("helper")
