"""A real server in a process of its own, that a test can kill and start again on the same data."""

from __future__ import annotations

import os
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg

from tests.ports import free_port
from tests.postgres.cluster import fresh_beside, on_postgresql

ROOT = Path(__file__).resolve().parents[2]
#: How long a start may take on a crowded machine before the test fails with the server's own words [s].
PATIENCE = 90
#: The static files that a server of this process collected: each further one would compress the same anew.
_COLLECTED = tempfile.TemporaryDirectory(prefix="misho-static-")


class Server:
    """``manage.py serve`` on its own data folder and port.

    ``updated``: the data folder has the static files of this version, as at every start but the first.
    """

    def __init__(self, data: Path, *, updated: bool = False) -> None:
        self.data = data
        self.updated = updated
        # Where the tests run on PostgreSQL, so do their servers: each on a database of its own.
        given = on_postgresql()
        self.url = fresh_beside(given) if given else ""
        self.port = free_port()
        self.log = data / "serve.log"
        self.process: subprocess.Popen[bytes] | None = None
        data.mkdir(parents=True, exist_ok=True)

    @property
    def env(self) -> dict[str, str]:
        kept = {k: v for k, v in os.environ.items() if not k.startswith("MISHO_") and k != "DATABASE_URL"}
        if self.url:
            kept["DATABASE_URL"] = self.url
        return {**kept, "MISHO_DATA": str(self.data), "DJANGO_SETTINGS_MODULE": "nursery.settings"}

    def manage(self, *words: str) -> str:
        """Run one command on the server's data; its output, or a failure with all that it said."""
        done = subprocess.run(
            [sys.executable, "manage.py", *words], cwd=ROOT, env=self.env, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    def fill(self, what: str) -> None:
        done = subprocess.run(
            [sys.executable, "-m", "tests.browser.fill", what],
            cwd=ROOT,
            env=self.env,
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stdout + done.stderr

    def pairing_code(self, name: str) -> str:
        found = re.search(r"\b[0-9A-Z]{4}-[0-9A-Z]{4}\b", self.manage("device", "add", name))
        assert found, "`device add` printed no code"
        return found.group()

    def start(self) -> None:
        kept, mine = Path(_COLLECTED.name) / "static", self.data / "static"
        if self.updated and kept.exists() and not mine.exists():
            shutil.copytree(kept, mine)
        self._start()
        if self.updated and not kept.exists():
            shutil.copytree(mine, kept)

    def _start(self) -> None:
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "serve", "--port", str(self.port)],
                cwd=ROOT,
                env=self.env,
                stdout=log,
                stderr=subprocess.STDOUT,
                start_new_session=True,
            )
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            if self.process.poll() is not None:
                raise AssertionError(self.log.read_text())
            try:
                with urllib.request.urlopen(f"http://localhost:{self.port}/sign-in/", timeout=5):
                    return
            except (urllib.error.URLError, OSError):
                continue
        raise AssertionError(f"no answer after {PATIENCE} s: {self.log.read_text()}")

    def kill(self) -> None:
        """SIGKILL to the whole group: as when the plug is pulled."""
        if self.process and self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        self.process = None

    def ask(self, sql: str, *values: object) -> list[tuple[Any, ...]]:
        """Read the server's real database."""
        if self.url:
            with psycopg.connect(self.url) as there:
                return there.execute(sql, values or None).fetchall()
        with closing(sqlite3.connect(f"file:{self.data / 'misho.sqlite3'}?mode=ro", uri=True)) as db:
            return db.execute(sql, values).fetchall()

    def entry_link(self) -> str:
        """The owner's one-time link that ``serve`` printed on its first start."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            found = re.search(r"/enter/[\w-]+/", self.log.read_text())
            if found:
                return found.group()
        raise AssertionError(self.log.read_text())
