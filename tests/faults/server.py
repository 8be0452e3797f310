"""The shed as a process that can be killed at any statement and is up again at once.

``python -m tests.faults.server PORT`` loads Django once and forks a child that serves; when the child dies
(by SIGKILL, as when the plug is pulled) the next is forked, which takes up what was left pending, as
``serve`` does. It prints ``up PID`` for each child. The child runs the real Django application on the real
database file with the settings of ``serve``, one request at a time, but waits shorter for a locked database.

A request may carry ``X-Faults``: ``die:N`` kills the child at the N-th statement of the request (or just
before the answer, where there are fewer); ``locked:N`` lets another connection hold the database from the
N-th transaction until the answer; ``full`` lets the database grow no further.
"""

from __future__ import annotations

import ctypes
import gc
import logging
import os
import signal
import socket
import sqlite3
import sys
import traceback
from collections.abc import Callable, Iterable
from contextlib import suppress
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer

#: How long a request waits for a locked database [s]; ``serve`` waits 20.
BUSY_S = 0.15

Environ = dict[str, Any]
Answer = Iterable[bytes]


class Trouble:
    """What this request is to suffer."""

    def __init__(self, words: str) -> None:
        kind, _, number = words.partition(":")
        self.kind = kind
        self.left = int(number or 1)
        self.other: sqlite3.Connection | None = None

    def connected(self, connection: Any) -> None:
        raw = connection.connection
        if self.kind == "full":
            [pages] = raw.execute("PRAGMA page_count").fetchone()
            raw.execute(f"PRAGMA max_page_count = {pages}")
        elif self.kind in {"die", "locked"}:
            raw.set_trace_callback(lambda sql: self.statement(sql, connection.settings_dict["NAME"]))

    def statement(self, sql: str, name: str) -> None:
        if self.kind == "locked" and not sql.startswith("BEGIN"):
            return
        self.left -= 1
        if self.left == 0:
            self.strike(name)

    def strike(self, name: str) -> None:
        if self.kind == "die":
            os.kill(os.getpid(), signal.SIGKILL)
        self.other = sqlite3.connect(name, timeout=0.1, isolation_level=None)
        with suppress(sqlite3.OperationalError):
            self.other.execute("BEGIN IMMEDIATE")

    def answered(self) -> None:
        if self.kind == "die":
            os.kill(os.getpid(), signal.SIGKILL)

    def over(self) -> None:
        if self.other is not None:
            self.other.close()


class App:
    """The real application, and the trouble of the request under way."""

    def __init__(self, real: Callable[..., Any], broken: str) -> None:
        from django.db.backends.signals import connection_created

        self.real = real
        self.trouble = Trouble("")
        self.later: list[Callable[[], object]] = []
        connection_created.connect(lambda connection, **_: self.trouble.connected(connection), weak=False)
        if broken == "ack_before_commit":
            self._answer_first()
        elif broken == "photo_before_its_file":
            self._keep_later()

    def __call__(self, environ: Environ, start: Callable[..., Any]) -> Answer:
        self.trouble = Trouble(environ.get("HTTP_X_FAULTS", ""))
        answer: Answer = self.real(environ, start)
        if not self.later:
            self.trouble.answered()
        return answer

    def after(self) -> None:
        """Once the answer has left."""
        from django.db import connection

        for work in self.later:
            with suppress(Exception):
                work()
        if self.later:
            connection.close()
            self.later.clear()
        self.trouble.over()

    def _answer_first(self) -> None:
        """A deliberate bug: acknowledge, and only then commit."""
        from nursery import journal

        take_in = journal.take_in

        def hasty(raws: list[dict[str, Any]], **rest: Any) -> list[journal.Result]:
            self.later.append(lambda: take_in(raws, **rest))
            return [journal.Result(str(raw["id"]), "stored") for raw in raws]

        journal.take_in = hasty  # type: ignore[assignment]

    def _keep_later(self) -> None:
        """A deliberate bug: say that a picture is kept, and only then write its file."""
        from nursery.photos import keep

        put = keep._put

        def hasty(name: str, data: bytes) -> str:
            # What would have struck before the answer strikes between it and the file.
            self.later += [self.trouble.answered, lambda: put(name, data)]
            return name

        keep._put = hasty


class Handler(WSGIRequestHandler):
    def log_message(self, format: str, *args: Any) -> None:
        pass


class Server(WSGIServer):
    allow_reuse_address = True
    request_queue_size = 64
    app: App

    def server_bind(self) -> None:
        # Without the reverse look-up of the base class.
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        self.socket.bind(self.server_address)
        self.server_name, self.server_port = "localhost", int(self.server_address[1])
        self.setup_environ()

    def shutdown_request(self, request: Any) -> None:
        super().shutdown_request(request)
        self.app.after()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A phone that has gone away is no fault of the shed."""


def serve(port: int) -> None:
    from django.db import connection

    from nursery import serving
    from nursery.wsgi import application

    app = App(application, os.environ.get("FAULTS_BREAK", ""))
    serving.catch_up()
    connection.close()
    connection.settings_dict["OPTIONS"]["timeout"] = BUSY_S
    server = Server(("127.0.0.1", port), Handler)
    server.app = app
    server.set_app(app)
    print("up", os.getpid(), flush=True)
    server.serve_forever()


def die_with_parent() -> None:
    """Linux: no shed outlives the simulator that started it."""
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)


def main() -> None:
    import django

    die_with_parent()
    logging.disable(logging.CRITICAL)
    django.setup()
    from django.core.handlers.wsgi import WSGIHandler

    # Warm what each child would load anew.
    WSGIHandler()
    from django.urls import get_resolver

    import nursery.wsgi

    assert nursery.wsgi.application
    assert get_resolver().url_patterns
    gc.freeze()
    while True:
        child = os.fork()
        if child == 0:
            try:
                die_with_parent()
                serve(int(sys.argv[1]))
            except BaseException:
                traceback.print_exc()
                os._exit(1)
        _, status = os.waitpid(child, 0)
        if not os.WIFSIGNALED(status):
            sys.exit(f"the shed ended by itself: {status}")


if __name__ == "__main__":
    main()
