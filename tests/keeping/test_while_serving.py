"""A backup taken while phones hand over: one moment of the journal, and nobody is kept waiting."""

import http.client
import json
import subprocess
import sys
import threading
import urllib.error
import urllib.request
from collections.abc import Iterator
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any

import pytest

from tests.browser.server import ROOT, Server
from tests.factories import record


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    it = Server(tmp_path / "site", updated=True)
    yield it
    it.kill()


class Pusher(threading.Thread):
    """A phone that hands over one record after the other until told to stop."""

    def __init__(self, server: Server) -> None:
        super().__init__(daemon=True)
        self.port, self.done, self.answers = server.port, threading.Event(), []
        self.reached, self.goal = threading.Event(), 0
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
            try:
                answer = self.post("/api/sync/push", {"records": [sent]}, cookie=self.cookie)
                self.answers.append(answer.status)
            except urllib.error.HTTPError as fault:
                self.answers.append(fault.code)
            if len(self.answers) >= self.goal:
                self.reached.set()

    def more(self, count: int) -> bool:
        """Wait until so many more records have been answered."""
        self.reached.clear()
        self.goal = len(self.answers) + count
        return self.reached.wait(120)


def test_a_backup_while_a_phone_hands_over(server: Server, tmp_path: Path) -> None:
    server.start()
    phone = Pusher(server)
    phone.start()
    assert phone.more(10)
    before = len(phone.answers)
    server.manage("backup", str(tmp_path / "now.zip"))
    phone.done.set()
    phone.join()
    assert set(phone.answers) == {200}
    assert len(phone.answers) > before + 1  # it went on meanwhile

    other = Server(tmp_path / "other", updated=True)
    other.manage("restore", str(tmp_path / "now.zip"))
    seqs = [row[0] for row in other.ask("SELECT device_seq FROM nursery_journalrecord ORDER BY device_seq")]
    assert seqs == list(range(1, len(seqs) + 1))
    assert before <= len(seqs) <= len(phone.answers)
    assert other.ask("SELECT name FROM nursery_device") == [("green phone",)]
    assert other.ask("SELECT epoch FROM nursery_feedhead") != server.ask("SELECT epoch FROM nursery_feedhead")


FINGERPRINT = "from nursery import journal; print('is', journal.fingerprint())"


def test_a_restore_while_a_phone_hands_over(server: Server, tmp_path: Path) -> None:
    server.start()
    phone = Pusher(server)
    server.manage("backup", str(tmp_path / "then.zip"))
    phone.start()
    assert phone.more(10)
    server.manage("restore", str(tmp_path / "then.zip"), "--replace")
    assert phone.more(5)
    phone.done.set()
    phone.join()
    assert set(phone.answers) <= {200, 503}  # served, or told to come again; never broken
    assert phone.answers[-1] == 200
    kept = server.ask("SELECT count(*) FROM nursery_journalrecord WHERE fate = 'pending'")
    assert kept == [(0,)]
    # What came in around the restore stands as a rebuild would have it.
    before = server.manage("shell", "-v0", "-c", FINGERPRINT)
    server.manage("rebuild")
    assert server.manage("shell", "-v0", "-c", FINGERPRINT) == before


@pytest.mark.sqlite_only(reason="damages the database's file")
def test_a_damaged_database_is_told_and_a_backup_takes_its_place_once_it_is_moved_away(
    server: Server, tmp_path: Path
) -> None:
    server.manage("migrate", "-v0")
    server.manage("backup", str(tmp_path / "good.zip"))
    database = server.data / "misho.sqlite3"
    database.write_bytes(b"not a database at all" * 1000)
    words = [sys.executable, "manage.py", "restore", str(tmp_path / "good.zip"), "--replace"]
    done = subprocess.run(words, cwd=ROOT, env=server.env, capture_output=True, text=True)
    assert done.returncode == 1
    assert done.stderr == (
        "CommandError: The database refused: file is not a database. Stop serve and try again."
        " If the database itself is damaged, move its file away first.\n"
    )
    database.unlink()
    server.manage("restore", str(tmp_path / "good.zip"))
    assert server.ask("SELECT count(*) FROM nursery_species") == [(7,)]
