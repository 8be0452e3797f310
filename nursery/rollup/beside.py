"""Standings made anew beside a request: whoever changed what they all rest on does not wait for them."""

import logging
import threading

from django.db import connection, transaction

from .stale import settle_stale

log = logging.getLogger(__name__)
_lock = threading.Lock()
_busy: threading.Thread | None = None


def settle_beside() -> None:
    """After the commit, roll up the trees that wait, a chunk to a transaction, in a thread of their own.

    One thread at a time. What it leaves, because the process ends or the database is held, waits for the next
    pull or the daily job: ``Stale`` says which trees.
    """
    transaction.on_commit(_start)


def _start() -> None:
    global _busy
    with _lock:
        if _busy is not None and _busy.is_alive():
            return
        _busy = threading.Thread(target=_work, name="standings", daemon=True)
        _busy.start()


def _work() -> None:
    try:
        settle_stale()
    except Exception:
        log.exception("standings wait for the daily roll-up")
    finally:
        connection.close()


def wait() -> None:
    """Until no thread is at work: for tests, and for an orderly end."""
    if _busy is not None:
        _busy.join()
