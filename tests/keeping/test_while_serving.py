"""A backup taken while phones hand over: one moment of the journal, and nobody is kept waiting."""

import http.client
import json
import threading
import urllib.request
from collections.abc import Iterator
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any

import pytest

from tests.browser.server import Server
from tests.factories import record


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    it = Server(tmp_path / "site")
    yield it
    it.kill()


class Pusher(threading.Thread):
    """A phone that hands over one record after the other until told to stop."""

    def __init__(self, server: Server) -> None:
        super().__init__(daemon=True)
        self.port, self.done, self.answers = server.port, threading.Event(), []
        self.under_way = threading.Event()
        answer = self.post("/api/devices/pair", {"code": server.pairing_code("green phone")}, cookie="")
        self.cookie = SimpleCookie(answer.headers["Set-Cookie"])["misho_phone"].OutputString().split(";")[0]

    def post(self, path: str, body: Any, *, cookie: str) -> http.client.HTTPResponse:
        asked = urllib.request.Request(
            f"http://localhost:{self.port}{path}",
            json.dumps(body).encode(),
            {"Content-Type": "application/json", "X-Misho": "1", "Cookie": cookie},
        )
        answer: http.client.HTTPResponse = urllib.request.urlopen(asked, timeout=60)
        return answer

    def run(self) -> None:
        while not self.done.is_set():
            sent = record("note", {"text": "x"}, device_seq=len(self.answers) + 1)
            self.answers.append(self.post("/api/sync/push", {"records": [sent]}, cookie=self.cookie).status)
            if len(self.answers) >= 10:
                self.under_way.set()


def test_a_backup_while_a_phone_hands_over(server: Server, tmp_path: Path) -> None:
    server.start()
    phone = Pusher(server)
    phone.start()
    assert phone.under_way.wait(60)
    before = len(phone.answers)
    server.manage("backup", str(tmp_path / "now.zip"))
    phone.done.set()
    phone.join()
    assert set(phone.answers) == {200}
    assert len(phone.answers) > before + 1  # it went on meanwhile

    other = Server(tmp_path / "other")
    other.manage("restore", str(tmp_path / "now.zip"))
    seqs = [row[0] for row in other.ask("SELECT device_seq FROM nursery_journalrecord ORDER BY device_seq")]
    assert seqs == list(range(1, len(seqs) + 1))
    assert before <= len(seqs) <= len(phone.answers)
    assert other.ask("SELECT name FROM nursery_device") == [("green phone",)]
    assert other.ask("SELECT epoch FROM nursery_feedhead") != server.ask("SELECT epoch FROM nursery_feedhead")
