"""How the bench app feels in the hand: real Chromium at 390x844, its processor slowed four times.

``python -m tests.benchmarks.bench_app --trees 5000 --json``: all trees on one bench (``--per-bench`` for
smaller ones), 100,000 past looks on the server, the app paired and its mirror filled before the clock starts.

``tap_p95_ms``: from the tap's own time stamp, a finger's leaving, until the key shows itself pressed, which
it does only when the record is on the disk (strict durability). The finger lay on the glass for 60 ms before.
``instant_tap_p95_ms``: of taps without that. No finger makes them, and the browser's tools stamp the leaving
and then keep it back until the frame that the arrival asked for is drawn: 11 ms of an instant tap (by the
browser's own trace, on a quiet machine, slowed or not), 3 to 6 of the other, are the tool's.
``next_ms``: from the tap on Next until the next tree is painted. ``open_ms``: from the start of the
navigation, server gone and browser newly started, until bench and keys are painted; the app had been left
before, as by a phone's home key. ``open_killed_ms``: the same after an app that was killed without a word.
Several of each a round, in turns; the first of them have to compile the app, as after an update.
``open_tap_ms``: until a tap made at that very moment is on the disk: the app's memory is loaded and opened
between.
``longest_task_ms``: on the main thread, during a walk of 100 trees with the server there.
``tap_cpu_ms``, ``tree_cpu_ms``: what the page's main thread itself worked for a tap (with its repaint and
what follows at once), and for a whole tree of the walk; others on the machine do not stretch it.
``bare_write_ms``: one small strict write of the same browser past the app, between the taps.
``floor_tap_ms``, ``floor_tap_p95_ms``, ``floor_open_ms``: the same of an app of three keys that only writes
what is tapped, as the finger leaves, once a round. Nothing that keeps its taps can be quicker on this machine
at this hour: a bound that the floor itself misses is missed by the machine; any other by the app and the
machine together.
``heap_mb``: after that walk, garbage collected. ``js_kb``: the JavaScript that a walk needs to begin, as gzip
makes it; ``first_js_kb``: of it, what is needed until bench and keys are painted.

Medians of several runs. The same is told without the slow-down (``plain_*``), and how much slower a fixed
piece of arithmetic ran under it (``slowed``). ``crowded`` is what that arithmetic took by the clock over what
it took of a processor, not slowed: 1 on a quiet machine. Where it is 5, others took four fifths of the
machine, and all times above are about so much too long.
"""

from __future__ import annotations

import argparse
import gzip
import json
import statistics
import tempfile
from pathlib import Path
from typing import Any

from tests.benchmarks import bench_floor, cpu
from tests.benchmarks.bench_nursery import fill
from tests.benchmarks.bench_thumb import Phone, Thumb

SLOWED = 4.0
TAPS, WALK, PLAIN_WALK = 40, 100, 30
#: A round opens so often: one opening differs from the next by more than one app from another.
OPENINGS = 4
#: What draws the first screen, and what opens the phone's memory.
ENTRY, MEMORY = "bench/app/main.tsx", "bench/store/open.ts"


def main() -> None:
    options = _options()
    with tempfile.TemporaryDirectory(prefix="misho-bench-app-") as name:
        found = run(options, Path(options.keep or name))
    if options.json:
        print(json.dumps(found, indent=1))
    else:
        for key, value in found.items():
            print(f"{key:20} {value}")


def _options() -> argparse.Namespace:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--json", action="store_true")
    options.add_argument("--trees", type=int, default=5000)
    options.add_argument("--per-bench", type=int, default=0, help="all on one bench unless said")
    options.add_argument("--past", type=int, default=100_000, help="looks that the server holds already")
    options.add_argument("--rounds", type=int, default=3)
    options.add_argument("--keep", default="", help="a folder whose nursery is made once and used again")
    return options.parse_args()


def run(options: argparse.Namespace, folder: Path) -> dict[str, Any]:
    """Fill, pair, then measure: rounds of opening, tapping and walking."""
    from tests.browser.server import Server

    data = folder / "data"
    if not (data / "misho.sqlite3").exists():
        fill(data, options.trees, options.per_bench or options.trees, options.past)
    server = Server(data)
    rounds: list[dict[str, Any]] = []
    try:
        server.start()
        with tempfile.TemporaryDirectory(prefix="misho-phone-") as profile:
            phone = Phone(Path(profile, "app"), f"http://localhost:{server.port}")
            phone.pair(server.pairing_code("bench phone"))
            with bench_floor.served() as origin:
                floor = Phone(Path(profile, "floor"), origin)
                floor.learn()
            for _ in range(options.rounds):
                rounds.append(_floor(floor) | _round(server, phone))
    finally:
        server.kill()
    return _told(rounds, options)


def _floor(floor: Phone) -> dict[str, Any]:
    """Opening and tapping of what no app can be quicker than, slowed and plain. [ms]"""
    seen: dict[str, Any] = {}
    for rate, key in ((SLOWED, ""), (1.0, "plain_")):
        opened = seen[f"{key}floor_open_ms"] = []
        for _ in range(OPENINGS):
            with floor.opened(rate) as page:
                opened.append(page.opening())
                if len(opened) == OPENINGS:
                    seen[f"{key}floor_tap_ms"] = [page.answer(held=True) for _ in range(TAPS)]
    return seen


def _round(server: Any, phone: Phone) -> dict[str, Any]:
    """One opening without a server, then taps and a walk with it; slowed and plain."""
    seen: dict[str, Any] = {}
    server.kill()
    for rate, key in ((SLOWED, ""), (1.0, "plain_")):
        seen |= _openings(phone, rate, key)
    server.start()
    for rate, key in ((SLOWED, ""), (1.0, "plain_")):
        with phone.opened(rate) as page:
            before = cpu.below()
            seen[f"{key}sum_ms"] = page.arithmetic()
            seen[f"{key}sum_cpu_ms"] = (cpu.below() - before) * 1000
            taps, busy = _taps(page, held=True)
            seen[f"{key}tap_ms"], seen[f"{key}bare_ms"] = [tap for tap, _ in taps], [bare for _, bare in taps]
            seen[f"{key}tap_cpu_ms"] = busy
            # After them: what a newly started browser is slow at counts with the taps of a finger.
            seen[f"{key}instant_tap_ms"] = [tap for tap, _ in _taps(page, held=False)[0]]
            page.forget_tasks()
            trees = WALK if rate > 1 else PLAIN_WALK
            before = page.busy()
            seen[f"{key}next_ms"] = page.walk(trees)
            seen[f"{key}tree_cpu_ms"] = (page.busy() - before) / trees
            seen[f"{key}longest_task_ms"] = page.longest_task()
            seen[f"{key}heap_mb"] = page.heap()
    return seen


def _openings(phone: Phone, rate: float, key: str) -> dict[str, list[float]]:
    """Openings of an app that was left, and of one that was killed, in turns; each is tapped once. [ms]"""
    left, killed, tapped = list[float](), list[float](), list[float]()
    for _ in range(OPENINGS):
        with phone.opened(rate, killed=True) as page:
            left.append(page.opening())
            tapped.append(page.first())
        with phone.opened(rate) as page:
            killed.append(page.opening())
            page.first()
    return {f"{key}open_ms": left, f"{key}open_killed_ms": killed, f"{key}open_tap_ms": tapped}


def _taps(page: Thumb, *, held: bool) -> tuple[list[tuple[float, float]], float]:
    """Each tap, beside it a bare write of the disk, and the main thread's own time for a tap. [ms]"""
    taps, spent = [], []
    for number in range(TAPS):
        before = page.busy()
        tap = page.tap(number, held=held)
        spent.append(page.busy() - before)
        taps.append((tap, page.bare()))
    return taps, statistics.median(spent)


def _p95(values: list[float]) -> float:
    return statistics.quantiles(values, n=20)[-1]


def _told(rounds: list[dict[str, Any]], options: argparse.Namespace) -> dict[str, Any]:
    def median(key: str) -> float:
        return round(float(statistics.median(one[key] for one in rounds)), 1)

    def all_of(key: str) -> float:
        return round(float(statistics.median(v for one in rounds for v in one[key])), 1)

    told: dict[str, Any] = {}
    for key in ("", "plain_"):
        for tap in (f"{key}tap", f"{key}instant_tap", f"{key}floor_tap"):
            told[f"{tap}_p95_ms"] = round(statistics.median(_p95(one[f"{tap}_ms"]) for one in rounds), 1)
            told[f"{tap}_ms"] = all_of(f"{tap}_ms")
        for opening in ("open", "open_killed", "open_tap", "floor_open"):
            told[f"{key}{opening}_ms"] = all_of(f"{key}{opening}_ms")
        nexts = [statistics.median(one[f"{key}next_ms"]) for one in rounds]
        told[f"{key}next_ms"] = round(statistics.median(nexts), 1)
        told[f"{key}next_p95_ms"] = round(statistics.median(_p95(one[f"{key}next_ms"]) for one in rounds), 1)
        told[f"{key}bare_write_ms"] = all_of(f"{key}bare_ms")
        told[f"{key}tap_cpu_ms"] = median(f"{key}tap_cpu_ms")
        told[f"{key}tree_cpu_ms"] = median(f"{key}tree_cpu_ms")
        told[f"{key}longest_task_ms"] = median(f"{key}longest_task_ms")
        told[f"{key}heap_mb"] = median(f"{key}heap_mb")
    slowed = statistics.median(one["sum_ms"] / one["plain_sum_ms"] for one in rounds)
    return told | {
        "js_kb": script_kb(ENTRY, MEMORY),
        "first_js_kb": script_kb(ENTRY),
        "slowed": round(slowed, 2),
        "crowded": round(
            statistics.median(one["plain_sum_ms"] / one["plain_sum_cpu_ms"] for one in rounds), 2
        ),
        "trees": options.trees,
        "per_bench": options.per_bench or options.trees,
        "past": options.past,
        "rounds": options.rounds,
    }


def script_kb(*parts: str) -> float:
    """These parts of the build and all that they load at once, compressed [KB of 1024 bytes]."""
    from frontend.node import FRONTEND

    dist = FRONTEND / "dist"
    manifest = json.loads((dist / ".vite" / "manifest.json").read_text())
    names, todo = set[str](), list(parts)
    while todo:
        one = manifest[todo.pop()]
        if one["file"] not in names:
            names.add(one["file"])
            todo += one.get("imports", [])
    return round(sum(len(gzip.compress((dist / name).read_bytes())) for name in names) / 1024, 1)


if __name__ == "__main__":
    main()
