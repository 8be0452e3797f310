"""How fast a phone's records get to the server for good, beside PouchDB and beside raw SQLite.

``python -m tests.benchmarks.sync --json [--records 10000]``: one run, all on this machine, on real Chromium.

Ours: the bench app's own store (IndexedDB, strict durability) -> push by its own sync -> the server as served
(granian, SQLite, synchronous FULL) -> acknowledged in the store. Theirs: PouchDB on the same browser's
IndexedDB (its own, relaxed durability) -> replication -> express-pouchdb on leveldb -> checkpoint in the
store. Both have stored the records before the clock starts; both read them from their store, send them, and
note in it that they are over. Rounds of all contenders are run in turns, each with new records and new local
stores, and medians compared. ``ratio_cpu_*`` compare the processor time of client and server together up to
the last acknowledgement: other work on the machine does not move them much.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from tests.benchmarks import cpu

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
#: PouchDB's batch size where none is named, and those among which its best is looked for.
DEFAULT, BATCHES = 0, (500, 1000, 2000)
#: Records to a transaction of the local store, before the clock starts.
AT_ONCE = 200
PATIENCE_S = 600.0


def main() -> None:
    options = _options()
    with tempfile.TemporaryDirectory(prefix="misho-sync-") as name:
        folder = Path(name)
        os.environ["MISHO_DATA"] = str(folder / "data")
        os.environ["DJANGO_SETTINGS_MODULE"] = "nursery.settings"
        os.environ.pop("DATABASE_URL", None)
        found = run(folder, options.records, options.trees, options.rounds)
    if options.json:
        print(json.dumps(found, indent=1))
    else:
        for key, value in found.items():
            print(f"{key:24} {value}")


def _options() -> argparse.Namespace:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--json", action="store_true")
    options.add_argument("--records", type=int, default=10_000)
    options.add_argument("--trees", type=int, default=20_000, help="trees of the nursery, all pulled afresh")
    options.add_argument("--rounds", type=int, default=3)
    return options.parse_args()


def run(folder: Path, records: int, trees: int, rounds: int) -> dict[str, Any]:
    from tests.browser.server import Server

    checked = _seed(trees)[: max(1, records // 3)]
    raw = _raw(folder, checked, records)
    sides = _bundle(folder)
    server = Server(folder / "data")
    with ExitStack() as last:
        server.start()
        last.callback(server.kill)
        pouch = last.enter_context(_PouchServer(folder / "leveldb"))
        browser = last.enter_context(_Browser(folder / "browser"))
        busy: list[float] = []
        ours = browser.page(f"http://localhost:{server.port}/sign-in/", sides["phone"])
        theirs = browser.page(f"{pouch.url}/", sides["pouch"])
        code = server.pairing_code("bench phone")
        said = ours.evaluate("([name, code]) => driver.pair(name, code)", ["first", code])
        assert said == "ok", said
        ours.expose_function("noteCpu", lambda: busy.append(cpu.below()))
        seen = _rounds(ours, theirs, checked, records, rounds, busy)
        fresh = _fresh(ours)
        idle = _idle(ours)
    return _told(seen, raw) | {"fresh_pull_s": round(fresh, 2), "fresh_trees": trees, "idle_bytes": idle}


def _seed(trees: int) -> list[str]:
    """Migrate, and take a nursery in; gives the trees' ids."""
    sys.path.insert(0, str(ROOT))
    import django

    django.setup()
    from nursery import journal, serving
    from nursery.rollup import roll_up_all
    from tests.benchmarks.records import new_id, nursery

    serving.set_up()  # as the server's own start does, which then finds all done
    ids = [new_id() for _ in range(trees)]
    made = list(nursery(ids))
    for start in range(0, len(made), 5000):
        journal.take_in(made[start : start + 5000], roll_up=False)
    roll_up_all()
    return ids


def _raw(folder: Path, trees: list[str], records: int) -> dict[str, float]:
    from nursery.rollup import roll_up_all
    from tests.benchmarks import raw
    from tests.benchmarks.records import checks, record

    made = [record(kind, body, tree=tree) for kind, body, tree in checks(trees, records)]
    spent = raw.compare(folder / "data" / "misho.sqlite3", folder, made)
    roll_up_all()
    return spent


def _bundle(folder: Path) -> dict[str, str]:
    """Install the other side's packages, and bundle both sides for the browser."""
    from frontend import node

    node.install(root=HERE)
    node.install()
    vite = node.FRONTEND / "node_modules" / "vite" / "bin" / "vite.js"
    out = folder / "bundles"
    for side in ("phone", "pouch"):
        env = {"MISHO_SIDE": side, "MISHO_OUT": str(out)}
        node.node(vite, "build", "--config", str(HERE / "vite.config.mjs"), root=HERE, env=env)
    return {side: (out / f"{side}.js").read_text() for side in ("phone", "pouch")}


class _PouchServer:
    """express-pouchdb in a Node of its own."""

    def __init__(self, folder: Path) -> None:
        from tests.browser.server import free_port

        folder.mkdir(parents=True)
        self.folder, self.port = folder, free_port()
        self.url = f"http://localhost:{self.port}"

    def __enter__(self) -> _PouchServer:
        from frontend import node

        program = str(node.node_home() / "bin" / "node")
        script = [program, str(HERE / "pouch_server.mjs"), str(self.folder), str(self.port)]
        self.process = subprocess.Popen(script, cwd=self.folder, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == "ready\n"
        return self

    def __exit__(self, *_: object) -> None:
        self.process.terminate()
        self.process.wait()


class _Browser:
    """Chromium with its storage on the disk, as a phone has it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __enter__(self) -> _Browser:
        from playwright.sync_api import sync_playwright

        from tests.browser.conftest import CHROMIUM, FLAGS

        self.playwright = sync_playwright().start()
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.folder), executable_path=CHROMIUM, args=FLAGS
        )
        self.context.set_default_timeout(PATIENCE_S * 1000)
        return self

    def page(self, url: str, script: str) -> Any:
        page = self.context.new_page()
        page.goto(url)
        page.evaluate(script)
        return page

    def __exit__(self, *_: object) -> None:
        self.context.close()
        self.playwright.stop()


Seen = dict[str, list[dict[str, float]]]


def _rounds(ours: Any, theirs: Any, trees: list[str], records: int, rounds: int, busy: list[float]) -> Seen:
    """Every contender once in each round, each on new records in a new local store."""
    seen: Seen = {}
    for number in range(rounds):
        for batch in (DEFAULT, *BATCHES):
            seen.setdefault(f"pouch_{batch}", []).append(
                _theirs(theirs, f"r{number}b{batch}", trees, records, batch)
            )
        # Ours comes as often as each of theirs, between them.
        seen.setdefault("ours", []).append(_ours(ours, f"r{number}", trees, records, busy))
    return seen


def _ours(page: Any, name: str, trees: list[str], records: int, busy: list[float]) -> dict[str, float]:
    from tests.benchmarks.records import checks

    drafts = [{"kind": kind, "tree": tree, "body": body} for kind, body, tree in checks(trees, records)]
    page.evaluate("name => driver.join(name, 'first')", name)
    page.evaluate("name => driver.sync(name)", name)  # the mirror is filled before the clock starts
    wrote = page.evaluate("([name, drafts, n]) => driver.capture(name, drafts, n)", [name, drafts, AT_ONCE])
    busy.clear()
    before = cpu.below()
    result: dict[str, Any] = page.evaluate("name => driver.sync(name)", name)
    result["cpu_pull_s"] = cpu.below() - before
    result["cpu_s"] = busy[-1] - before  # at the last acknowledgement
    assert (result.pop("state"), result.pop("pushed")) == ("done", records), result
    return {**result, "capture_s": wrote}


def _theirs(page: Any, name: str, trees: list[str], records: int, batch: int) -> dict[str, float]:
    from tests.benchmarks.records import checks, record

    made = [record(kind, body, tree=tree) for kind, body, tree in checks(trees, records)]
    docs = [{"_id": one.pop("id"), **one} for one in made]
    wrote = page.evaluate("([name, docs, n]) => driver.capture(name, docs, n)", [name, docs, AT_ONCE])
    before = cpu.below()
    result: dict[str, Any] = page.evaluate("([name, batch]) => driver.sync(name, batch)", [name, batch])
    result["cpu_s"] = cpu.below() - before
    assert result.pop("pushed") == records, result
    return {**result, "capture_s": wrote}


def _fresh(page: Any) -> float:
    """Seconds for a new phone to fetch all trees."""
    page.evaluate("() => driver.join('fresh', 'first')")
    result = page.evaluate("() => driver.sync('fresh')")
    assert result["state"] == "done", result
    return float(result["round_s"])


def _idle(page: Any) -> int:
    """Bytes both ways, headers and all, of a sync with nothing new; it must be one request."""
    asked: list[Any] = []
    page.on("requestfinished", lambda request: asked.append(request))
    result = page.evaluate("() => driver.sync('fresh')")
    assert result["state"] == "done", result
    end = time.monotonic() + 10
    while not asked and time.monotonic() < end:
        page.wait_for_timeout(50)
    assert len(asked) == 1, [request.url for request in asked]
    return int(sum(asked[0].sizes().values()))


def _told(seen: Seen, raw: dict[str, float]) -> dict[str, Any]:
    def median(who: str, what: str) -> float:
        return statistics.median(one[what] for one in seen[who])

    mine = median("ours", "acknowledged_s")
    default = median(f"pouch_{DEFAULT}", "acknowledged_s")
    best, batch = min((median(f"pouch_{size}", "acknowledged_s"), size) for size in BATCHES)
    up = median("ours", "bytes_up")
    their_up = min(median(who, "bytes_up") for who in seen if who != "ours")
    return {
        "ratio_pouch_default": round(default / mine, 2),
        "ratio_pouch_best": round(best / mine, 2),
        "ratio_raw": round(raw["ours_s"] / raw["raw_s"], 2),
        "ratio_raw_bare": round(raw["ours_s"] / raw["bare_s"], 2),
        "ratio_cpu_default": round(median(f"pouch_{DEFAULT}", "cpu_s") / median("ours", "cpu_s"), 2),
        "ratio_cpu_best": round(
            min(median(f"pouch_{size}", "cpu_s") for size in BATCHES) / median("ours", "cpu_s"), 2
        ),
        "cpu_s": round(median("ours", "cpu_s"), 2),
        "cpu_with_pull_s": round(median("ours", "cpu_pull_s"), 2),
        "bytes_up": int(up),
        "pouch_bytes_up": int(their_up),
        "ours_s": round(mine, 2),
        "ours_with_pull_s": round(median("ours", "round_s"), 2),
        "ours_away_s": round(median("ours", "away_s"), 2),
        "pouch_default_s": round(default, 2),
        "pouch_best_s": round(best, 2),
        "pouch_best_batch": batch,
        "capture_s": round(median("ours", "capture_s"), 2),
        "pouch_capture_s": round(median(f"pouch_{DEFAULT}", "capture_s"), 2),
        "take_in_s": round(raw["ours_s"], 2),
        "raw_s": round(raw["raw_s"], 2),
        "raw_bare_s": round(raw["bare_s"], 2),
    }


if __name__ == "__main__":
    main()
