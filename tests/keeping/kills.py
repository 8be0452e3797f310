"""Kill a restore with SIGKILL at every step and every change of a file, and see which site is left.

``python -m tests.keeping.kills FOLDER`` prints one JSON object a kill: ``{"at", "killed", "site", "left"}``,
where ``site`` is "old", "new" or "neither" and ``left`` are folders that should not be there. Each restore
runs in a process of its own, on its own copy of a site; an audit hook (PEP 578) sees each file operation just
before it happens.
"""

import datetime
import json
import os
import shutil
import signal
import sys
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TODAY = datetime.date(2026, 6, 1)
WATCHED = {"os.rename", "os.remove", "os.rmdir", "os.mkdir", "os.link", "os.truncate"}


@dataclass(frozen=True)
class State:
    """What a site is: rows, photos, epoch."""

    rows: str
    photos: tuple[tuple[str, int], ...]
    epoch: str


def use(folder: Path) -> None:
    """Point this process at a site's folder."""
    from django.conf import settings
    from django.db import connection

    connection.close()
    settings.DATA_DIR = folder
    settings.MEDIA_ROOT = folder / "photos"
    connection.settings_dict["NAME"] = str(folder / "misho.sqlite3")


def look() -> State:
    from nursery import journal
    from nursery.models import FeedHead

    root = Path(os.fspath(_settings().MEDIA_ROOT))
    found = sorted(p for p in root.rglob("*") if p.is_file())
    photos = tuple((p.relative_to(root).as_posix(), zlib.crc32(p.read_bytes())) for p in found)
    return State(journal.fingerprint(), photos, FeedHead.objects.get().epoch)


def _settings() -> Any:
    from django.conf import settings

    return settings


def prepare(folder: Path) -> tuple[Path, State, State]:
    """Make an old site and a backup of a younger state of it; returns the backup and both states."""
    from django.core.management import call_command

    from nursery import journal, keeping
    from tests.factories import BenchFactory, TreeFactory, record, take

    site = folder / "site"
    site.mkdir(parents=True)
    use(site)
    call_command("migrate", interactive=False, verbosity=0)
    bench = BenchFactory()
    trees = [TreeFactory(bench=bench, place=place) for place in range(1, 9)]
    take(*(record("soil_check", {"state": "dry"}, tree=tree.id) for tree in trees))
    _photos(site, {"a.jpg": b"one", "deep/b.jpg": b"two"})
    journal.rebuild(TODAY)
    keeping.back_up(folder / "backup.zip")
    new = look()
    take(*(record("wire_on", {"part": "trunk"}, tree=tree.id) for tree in trees))
    shutil.rmtree(site / "photos")
    _photos(site, {"c.jpg": b"three", "deep/b.jpg": b"other", "deep/d.jpg": b"four"})
    journal.rebuild(TODAY)
    return folder / "backup.zip", look(), new


def _photos(site: Path, photos: dict[str, bytes]) -> None:
    for name, data in photos.items():
        path = site / "photos" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


def in_a_process(work: Callable[[], None]) -> int:
    """Run in a fork; returns its wait status."""
    child = os.fork()
    if child == 0:
        try:
            work()
        except BaseException as fault:
            print(fault, file=sys.stderr)
            os._exit(1)
        os._exit(0)
    return os.waitpid(child, 0)[1]


def restore_until(site: Path, backup: Path, *, step: int | None = None, change: int | None = None) -> None:
    """Restore, and die at the given step told or the given change of a file (both from 0)."""
    from nursery import keeping

    use(site)
    counts = {"step": 0, "change": 0}

    def reached(what: str, limit: int | None, name: str) -> None:
        if counts[what] == limit:
            (site.parent / "at").write_text(name)
            os.kill(os.getpid(), signal.SIGKILL)
        counts[what] += 1

    def heard(event: str, args: tuple[Any, ...]) -> None:
        writing = event == "open" and isinstance(args[2], int) and args[2] & (os.O_WRONLY | os.O_RDWR)
        if (event in WATCHED or writing) and not str(args[0]).endswith("/at"):
            reached("change", change, f"{event} {args[0]}".replace(str(site), ""))

    if change is not None:
        sys.addaudithook(heard)
    keeping.restore(backup, replace=True, today=TODAY, say=lambda said: reached("step", step, said))


def judge(site: Path, old: State, new: State) -> tuple[str, list[str]]:
    """Which site is there after the next start, and what is left lying about."""
    from nursery import keeping

    use(site)
    keeping.settle()
    found = look()
    name = "neither"
    if found == old:
        name = "old"
    elif (found.rows, found.photos) == (new.rows, new.photos) and found.epoch not in {old.epoch, new.epoch}:
        name = "new"
    return name, sorted(path.name for path in site.glob("photos.*") if path.name != "photos.lock")


def kills(folder: Path, every: int = 1) -> Iterator[dict[str, Any]]:
    """Every step, then every ``every``-th change of a file, until a restore runs to its end."""
    from django.db import connection

    backup, old, new = prepare(folder)
    connection.close()
    case = folder / "case"
    for what, stride in (("step", 1), ("change", every)):
        at, killed = 0, True
        while killed:
            shutil.rmtree(case, ignore_errors=True)
            shutil.copytree(folder / "site", case)
            (folder / "at").write_text("the end")
            point = {what: at}
            status = in_a_process(lambda point=point: restore_until(case, backup, **point))  # type: ignore[misc]
            killed = os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
            site, left = judge(case, old, new)
            failed = not killed and status != 0
            yield {
                "at": f"{what} {at}: {(folder / 'at').read_text()}",
                "killed": killed,
                "site": "failed" if failed else site,
                "left": left,
            }
            at += stride


def main() -> None:
    folder = Path(sys.argv[1])
    os.environ["MISHO_DATA"] = str(folder / "unused")
    os.environ.pop("DATABASE_URL", None)
    os.environ["DJANGO_SETTINGS_MODULE"] = "nursery.settings"
    import django

    django.setup()
    for line in kills(folder):
        print(json.dumps(line), flush=True)


if __name__ == "__main__":
    main()
