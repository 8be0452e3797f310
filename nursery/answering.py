"""The two ends of a server's life: when it first answers, and that no worker outlives its main process."""

import http.client
import multiprocessing
import os
import socket
import ssl
import threading
from collections.abc import Callable
from multiprocessing import connection

from django.db import connections

#: Pause between two tries, and how long is tried at most [s]: a slow machine needs many seconds to start.
PAUSE_S = 0.1
PATIENCE_S = 300.0
#: An address that needs no sign-in and asks nothing of the database.
ASKED = "/manifest.json"


class Answers(threading.Thread):
    """Calls ``ready`` once, as soon as the server gives any answer; never when it gives none."""

    def __init__(self, host: str, port: int, ready: Callable[[], None], *, secure: bool) -> None:
        super().__init__(name="waiting for the first answer", daemon=True)
        # An address that means "all of this machine's" is asked by the machine's own.
        self._host = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)
        self._port, self._ready, self._secure = port, ready, secure
        self._over = threading.Event()

    def run(self) -> None:
        try:
            for _ in range(int(PATIENCE_S / PAUSE_S)):
                if answers(self._host, self._port, secure=self._secure):
                    self._ready()
                    return
                if self._over.wait(PAUSE_S):
                    return
        finally:
            connections.close_all()

    def end(self) -> None:
        self._over.set()


def answers(host: str, port: int, *, secure: bool) -> bool:
    """Whether anything that speaks http (https where ``secure``) answers there."""
    try:
        asked = _asking(host, port, secure)
        try:
            asked.request("HEAD", ASKED)
            asked.getresponse()
        finally:
            asked.close()
    except (OSError, http.client.HTTPException):
        return False
    return True


def _asking(host: str, port: int, secure: bool) -> http.client.HTTPConnection:
    if not secure:
        return http.client.HTTPConnection(host, port, timeout=30)
    # Nothing is told and nothing believed: whether it answers is all that is asked, so trust is not.
    context = ssl.create_default_context()
    context.check_hostname = False
    context.verify_mode = ssl.CERT_NONE
    return http.client.HTTPSConnection(host, port, timeout=30, context=context)


def end_with_parent() -> None:
    """In a worker: end when the main process is gone, killed outright too; a leftover would hold the port.

    Does nothing in a process that no other Python process started as its worker. What was acknowledged is on
    the disk by then, so an end at any moment loses nothing.
    """
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(
            target=_end_after, args=(parent.sentinel,), name="watching the main process", daemon=True
        ).start()


def _end_after(sentinel: int | socket.socket) -> None:
    connection.wait([sentinel])
    os._exit(1)
