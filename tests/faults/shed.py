"""What a person does at the shed during a run: by the product's own functions, on the same database file."""

from __future__ import annotations

import shutil
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction

from nursery import journal, keeping, people, serving
from nursery.models import Device, FeedHead, JournalRecord

from .scene import BENCHES, LOT, PINE, SITE, TREES


def first_records() -> Iterator[dict[str, Any]]:
    yield journal.compose("site_set", {"site": str(SITE), "name": "Field", "time_zone": "UTC"})
    for n, bench in enumerate(BENCHES):
        body = {"bench": str(bench), "site": str(SITE), "name": f"Bench {n + 1}", "rows": 3, "places": 6}
        yield journal.compose("bench_set", body)
    yield journal.compose("lot_set", {"lot": str(LOT), "code": "L1", "species": PINE})
    for n, tree in enumerate(TREES):
        body = {"tag": f"T{n}", "species": PINE, "sown_year": 2022, "phase": "trunk"}
        yield journal.compose("tree_new", body, tree=tree)
        place = {"bench": str(BENCHES[n % 2]), "row": 1, "place": n + 1}
        yield journal.compose("tree_move", place, tree=tree)


class Shed:
    """One nursery on one database file, cleared between runs by putting a fresh copy in its place."""

    def __init__(self, folder: Path) -> None:
        self.file = Path(settings.DATABASES["default"]["NAME"])
        self.fresh = folder / "fresh.sqlite3"
        self.backup = folder / "backup.zip"
        self._slow: tuple[threading.Thread, threading.Event] | None = None

    def found(self) -> None:
        """Make the nursery that all runs begin with."""
        from django.core.management import call_command

        call_command("migrate", interactive=False, verbosity=0)
        results = journal.take_in(list(first_records()))
        assert {result.outcome for result in results} == {"stored"}, results
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.close()
        shutil.copyfile(self.file, self.fresh)

    def begin(self) -> None:
        """A fresh nursery, and no backup. Nobody may have the database open."""
        connection.close()
        for tail in ("-wal", "-shm"):
            self.file.with_name(self.file.name + tail).unlink(missing_ok=True)
        copy = self.fresh.with_name("copy.sqlite3")
        shutil.copyfile(self.fresh, copy)
        copy.replace(self.file)
        self.backup.unlink(missing_ok=True)

    def code(self) -> dict[str, Any]:
        return {"code": people.make_pairing_code("", "helper")}

    def revoke(self, device: str | None) -> None:
        phone = Device.objects.filter(pk=device).first() if device else None
        if phone is not None:
            people.revoke(phone)

    def make_backup(self) -> None:
        self.backup.unlink(missing_ok=True)
        keeping.back_up(self.backup)

    def restore(self) -> None:
        """Last night's backup is put back, if there is one."""
        if self.backup.exists():
            keeping.restore(self.backup, replace=True, keep_old=False)

    def edit(self, n: int) -> None:
        """Somebody at the shed moves, renames, or takes back what is there."""
        journal.take_in([self._edit(n)])

    def _edit(self, n: int) -> dict[str, Any]:
        tree = TREES[n % len(TREES)]
        at = n // len(TREES) % 4
        if at == 0:
            body = {"bench": str(BENCHES[n % 2]), "row": 2, "place": n % 6 + 1}
            return journal.compose("tree_move", body, tree=tree)
        if at == 1:
            return journal.compose("tree_tag", {"tag": f"S{n}"}, tree=tree)
        ids = list(JournalRecord.objects.exclude(kind="correction").order_by("id").values_list("id", "tree"))
        if at == 2:  # of a new tree, where there is one: all that hangs on it is set aside
            ids = list(JournalRecord.objects.filter(kind="tree_new").order_by("id").values_list("id", "tree"))
        id, tree_of = ids[n % len(ids)]
        return journal.compose("correction", {"replaces": str(id), "withdraw": True}, tree=tree_of)

    def slow_begin(self, n: int) -> None:
        """Begin an edit and hold it uncommitted, its numbers of the feed given out."""
        if self._slow is not None:
            return
        ready, go = threading.Event(), threading.Event()

        def work() -> None:
            try:
                with transaction.atomic():
                    self.edit(n)
                    ready.set()
                    go.wait(10)
            finally:
                ready.set()
                connection.close()

        thread = threading.Thread(target=work)
        thread.start()
        ready.wait(30)
        self._slow = (thread, go)

    def slow_commit(self) -> None:
        if self._slow is not None:
            thread, go = self._slow
            go.set()
            thread.join()
            self._slow = None

    def settle(self) -> dict[str, Any]:
        """What ``serve`` does each minute: take up what a fault left pending, and the standings that wait
        for a phone which never came again.
        """
        serving.catch_up()
        head = FeedHead.objects.get(pk=1)
        return {"seq": f"{head.epoch}:{head.seq}"}

    def hand_over(self, text: str) -> dict[str, Any]:
        return {"counts": keeping.handover.take(keeping.handover.read(text.encode())).count}

    def quick_check(self) -> str:
        """SQLite's own word on the file."""
        with closing(sqlite3.connect(self.file)) as db:
            return str(db.execute("PRAGMA quick_check").fetchone()[0])
