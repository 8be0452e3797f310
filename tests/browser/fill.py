"""Fill a test server's database with a bench, through the journal as every other writer does.

Run as ``python -m tests.browser.fill bench44`` with the server's environment.
"""

from __future__ import annotations

import sys
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import django


def bench44() -> None:
    """One bench of 4 rows by 11 places with 44 black pines in the trunk phase; every fourth one wired."""
    _bench(4, 11, looks=())


def bench60() -> None:
    """4 rows by 15 places, as above, each tree looked over lately: only soil and wires are due."""
    looks = (
        ("soil_check", {"state": "moist"}, 30),
        ("bud_check", {"state": "few"}, 10),
        ("caliper", {"mm": 18.5}, 10),
    )
    _bench(4, 15, looks=looks)


def bench800() -> None:
    """20 rows by 40 places: more than a screen holds."""
    _bench(20, 40, looks=())


#: Kind, body, days ago.
Look = tuple[str, dict[str, Any], int]


def _bench(rows: int, places: int, *, looks: tuple[Look, ...]) -> None:
    from nursery.journal import compose, take_in

    now = datetime.now(UTC)
    then = now - timedelta(days=120)
    site, bench = uuid.uuid4(), uuid.uuid4()
    about = {"bench": str(bench), "site": str(site), "name": "South bench", "rows": rows, "places": places}
    records = [
        compose("site_set", {"site": str(site), "name": "Hillside", "time_zone": "UTC"}, at=then),
        compose("bench_set", about, at=then),
    ]
    for n in range(rows * places):
        tree = uuid.uuid4()
        place = {"bench": str(bench), "row": n // places + 1, "place": n % places + 1}
        records += [compose(kind, body, tree=tree, at=then) for kind, body in _young(n, now.year, place)]
        records += [compose(kind, body, tree=tree, at=now - timedelta(days=ago)) for kind, body, ago in looks]
    results = take_in(records)
    assert all(r.outcome == "stored" for r in results), [r for r in results if r.outcome != "stored"]


def _young(n: int, year: int, place: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """A pine of five years in its place."""
    from nursery.science.tags import make

    tag = make("K", n + 1)
    yield (
        "tree_new",
        {"tag": tag, "species": "japanese-black-pine", "sown_year": year - 5, "phase": "trunk"},
    )
    yield "tree_move", place
    yield "target_set", {"base_mm": 40, "height_mm": 240}
    if n % 4 == 0:
        yield "wire_on", {"part": "trunk", "wire_mm": 3}


def main() -> None:
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    {"bench44": bench44, "bench60": bench60, "bench800": bench800}[sys.argv[1]]()


if __name__ == "__main__":
    main()
