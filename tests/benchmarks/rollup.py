"""How long the roll-up takes: all trees from nothing, and one bench after its walk.

``python -m tests.benchmarks.rollup --trees 10000 --years 25 --json``: an invented nursery with decades of
looks (a hundred records or more a tree), written past the journal, then timed by the wall clock. ``wire_fit``
holds the interval-censored fit against lifelines on ten thousand wires (``wire_fit`` says how).
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

BENCH = 60
TODAY = date(2026, 6, 10)
END = datetime(2026, 6, 9, 9, tzinfo=UTC)
PHASES = ("seedling", "roots", "trunk", "branches", "refinement", "trunk")
TREES_AT_ONCE = 500
SPECIES = "japanese-black-pine"
WIRING, WIRE, SOIL, BUDS, CALIPER, FIRM, ROOTS = range(1, 8)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--trees", type=int, default=10_000)
    options.add_argument("--years", type=int, default=25)
    options.add_argument("--json", action="store_true")
    given = options.parse_args()
    with tempfile.TemporaryDirectory(prefix="misho-rollup-") as name:
        os.environ["MISHO_DATA"] = str(Path(name))
        os.environ["DJANGO_SETTINGS_MODULE"] = "nursery.settings"
        os.environ.pop("DATABASE_URL", None)
        found = run(given.trees, given.years)
    if given.json:
        print(json.dumps(found, indent=1))
    else:
        for key, value in found.items():
            print(f"{key:12} {value}")


def run(trees: int, years: int) -> dict[str, Any]:
    """Fill, then measure. ``peak_mb`` is what the roll-up added to nothing but a freshly started process."""
    import django

    django.setup()
    from django.core.management import call_command

    from nursery.rollup import roll_up_all
    from tests.benchmarks import wire_fit

    call_command("migrate", verbosity=0)
    records = fill(trees, years)
    full, full_cpu, peak = _apart(lambda: roll_up_all(TODAY))
    bench, bench_cpu = _bench(trees)
    return {
        "trees": trees,
        "records": records,
        "full_s": round(full, 2),
        "full_cpu_s": round(full_cpu, 2),
        "bench_ms": round(bench * 1000, 1),
        "bench_cpu_ms": round(bench_cpu * 1000, 1),
        "peak_mb": round(peak),
        "wire_fit": wire_fit.run(10_000),
    }


def _apart(work: Any) -> tuple[float, float, float]:
    """Seconds, processor seconds and peak memory [MB] of work done in a child of this process."""
    from django.db import connection

    connection.close()
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        began = time.perf_counter()
        work()
        os.write(write, str(time.perf_counter() - began).encode())
        os._exit(0)
    os.close(write)
    with os.fdopen(read) as answer:
        _, status, usage = os.wait4(child, 0)
        assert status == 0
        return float(answer.read()), usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def _bench(trees: int, rounds: int = 7) -> tuple[float, float]:
    """Median seconds, by the clock and of the processor, to roll up one bench after its walk."""
    from django.db import transaction

    from nursery.feed import lock_head
    from nursery.rollup import roll_up

    spent, busy = [], []
    for number in range(rounds):
        first = number * BENCH % max(1, trees - BENCH)
        numbers = range(first, min(first + BENCH, trees))
        _write((kind, n, -1, 0, rest) for n in numbers for kind, rest in _walk(n))
        began, worked = time.perf_counter(), time.process_time()
        with transaction.atomic():
            roll_up([tree_id(n) for n in numbers], today=TODAY, head=lock_head())
        spent.append(time.perf_counter() - began)
        busy.append(time.process_time() - worked)
    return statistics.median(spent), statistics.median(busy)


def _walk(n: int) -> Iterator[tuple[int, tuple[Any, ...]]]:
    """What a walk of today sees on a tree."""
    yield WIRE, (_id(WIRING, n, 0), "marking")
    yield SOIL, ("dry",)
    yield BUDS, ("many",)


def tree_id(number: int) -> UUID:
    return UUID(int=(1 << 80) + number)


def fill(trees: int, years: int) -> int:
    """Write trees and their looks; gives the number of looks."""
    from django.db import transaction

    written = 0
    for start in range(0, trees, TREES_AT_ONCE):
        with transaction.atomic():
            written += _fill(range(start, min(start + TREES_AT_ONCE, trees)), years)
    return written


def _fill(numbers: Sequence[int], years: int) -> int:
    from nursery import bulk
    from nursery.models import Tree

    blank = dict.fromkeys(("target_style", "left_how", "left_why"), "")
    rows = [
        {"id": tree_id(n), "tag": f"K{n}", "phase": PHASES[n % len(PHASES)], "sown_year": TODAY.year - years}
        | {"species_id": SPECIES, "phase_since": TODAY, "target_base_mm": 40.0}
        | blank
        for n in numbers
    ]
    bulk.insert_rows(Tree, tuple(rows[0]), [tuple(row.values()) for row in rows])
    looks = (
        (kind, n, year, k, rest)
        for n in numbers
        for year in range(years)
        for kind, k, rest in _looks(n, year)
    )
    return _write(looks)


def _write(looks: Iterable[tuple[int, int, int, int, tuple[Any, ...]]]) -> int:
    """Rows of (kind, tree, years ago, number in the year, the kind's own columns); gives their number."""
    from nursery import bulk
    from nursery.models import BudCheck, Caliper, FirmCheck, RootSurvey, SoilCheck, WireInspection, Wiring

    models: dict[int, tuple[Any, tuple[str, ...]]] = {
        WIRING: (Wiring, ("part", "off_at", "scars")),
        WIRE: (WireInspection, ("wiring_id", "state")),
        SOIL: (SoilCheck, ("state",)),
        BUDS: (BudCheck, ("state",)),
        CALIPER: (Caliper, ("mm", "height_mm", "method")),
        FIRM: (FirmCheck, ("firm",)),
        ROOTS: (RootSurvey, ("roots", "defects")),
    }
    by_kind: dict[int, list[tuple[Any, ...]]] = {kind: [] for kind in models}
    for kind, n, year, k, rest in looks:
        at = _at(year) + timedelta(days=20 * k)
        by_kind[kind].append((_id(kind, n, year, k), tree_id(n), at, False, *rest))
    for kind, rows in by_kind.items():
        model, names = models[kind]
        bulk.insert_rows(model, ("id", "tree_id", "at", "bulk", *names), rows)
    return sum(map(len, by_kind.values()))


def _looks(n: int, year: int) -> Iterator[tuple[int, int, tuple[Any, ...]]]:
    """(kind, number in the year, the kind's own columns): more than a hundred in 25 years."""
    off = None if year == 0 else _at(year) + timedelta(days=300)
    yield WIRING, 0, ("trunk", off, "" if year == 0 else "none")
    for k in range(1, 2 + n % 2):
        yield WIRE, k, (_id(WIRING, n, year), "snug")
    for k in range(2):
        yield SOIL, k, ("moist",)
    yield BUDS, 0, ("few" if (n + year) % 3 else "none",)
    yield CALIPER, 0, (12.0 + 30.0 / (1 + year) + n % 7, None, "")
    if year % 8 == 0:
        yield FIRM, 0, (True,)
        yield ROOTS, 0, ([{"deg": deg, "grade": 2, "level": True} for deg in (0, 70, 130, 200, 290)], [])


def _at(year: int) -> datetime:
    """A moment so many years ago; -1 is today."""
    return END if year < 0 else END - timedelta(days=365 * year + 60)


def _id(kind: int, n: int, year: int, k: int = 0) -> UUID:
    return UUID(int=(kind << 72) + (n << 16) + ((year + 1) << 4) + k)


if __name__ == "__main__":
    main()
