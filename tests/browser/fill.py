"""Fill a test server's database with a bench, through the journal as every other writer does.

Run as ``python -m tests.browser.fill bench44`` with the server's environment.
"""

from __future__ import annotations

import sys
import uuid
from datetime import UTC, datetime, timedelta

import django


def bench44() -> None:
    """One bench of 4 rows by 11 places with 44 black pines in the trunk phase; every fourth one wired."""
    from nursery.journal import compose, take_in
    from nursery.science.tags import make

    now = datetime.now(UTC)
    then = now - timedelta(days=120)
    site, bench = uuid.uuid4(), uuid.uuid4()
    records = [
        compose("site_set", {"site": str(site), "name": "Hillside", "time_zone": "UTC"}, at=then),
        compose(
            "bench_set",
            {"bench": str(bench), "site": str(site), "name": "South bench", "rows": 4, "places": 11},
            at=then,
        ),
    ]
    for n in range(44):
        tree = uuid.uuid4()
        records += [
            compose(
                "tree_new",
                {
                    "tag": make("K", n + 1),
                    "species": "japanese-black-pine",
                    "sown_year": now.year - 5,
                    "phase": "trunk",
                },
                tree=tree,
                at=then,
            ),
            compose(
                "tree_move",
                {"bench": str(bench), "row": n // 11 + 1, "place": n % 11 + 1},
                tree=tree,
                at=then,
            ),
            compose("target_set", {"base_mm": 40, "height_mm": 240}, tree=tree, at=then),
        ]
        if n % 4 == 0:
            records.append(compose("wire_on", {"part": "trunk", "wire_mm": 3}, tree=tree, at=then))
    results = take_in(records)
    assert all(r.outcome == "stored" for r in results), [r for r in results if r.outcome != "stored"]


def main() -> None:
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    {"bench44": bench44}[sys.argv[1]]()


if __name__ == "__main__":
    main()
