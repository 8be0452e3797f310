"""Two benches that ask for a walk: ``python -m tests.browser.fill_plan`` with the server's environment.

South bench has 8 pines in the trunk phase, the 1st and 5th of them wired half a year ago and never looked
at, the 2nd and 8th grown to their target, whose low buds nobody looked at. On North bench stand 3, and the
last was dry yesterday.
"""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import django

#: What is known of a trunk that is done.
GROWN: tuple[tuple[str, dict[str, Any]], ...] = (
    ("target_set", {"base_mm": 40, "height_mm": 240}),
    ("caliper", {"mm": 46}),
    ("caliper", {"mm": 30, "height_mm": 100}),
    ("wire_on", {"part": "trunk", "wire_mm": 3}),
    ("wire_off", {"scars": "none"}),
)


def two_benches() -> None:
    from nursery.journal import compose, take_in
    from nursery.science.tags import make

    now = datetime.now(UTC)
    then = now - timedelta(days=200)
    site, south, north = (str(uuid.uuid4()) for _ in range(3))
    records = [compose("site_set", {"site": site, "name": "Hillside", "time_zone": "UTC"}, at=then)]
    for order, (bench, name) in enumerate(((south, "South bench"), (north, "North bench"))):
        body: dict[str, Any] = {"bench": bench, "site": site, "name": name, "rows": 2, "places": 4}
        records.append(compose("bench_set", {**body, "walk_order": order}, at=then))
    for n in range(11):
        tree = uuid.uuid4()
        born = {"tag": make("K", n + 1), "species": "japanese-black-pine", "sown_year": now.year - 5}
        place = {"bench": south if n < 8 else north, "row": n % 8 // 4 + 1, "place": n % 4 + 1}
        records += [
            compose("tree_new", {**born, "phase": "trunk"}, tree=tree, at=then),
            compose("tree_move", place, tree=tree, at=then),
        ]
        if n in (0, 4):
            records.append(compose("wire_on", {"part": "trunk", "wire_mm": 3}, tree=tree, at=then))
        if n in (1, 7):
            records += [compose(kind, body, tree=tree, at=now - timedelta(days=40)) for kind, body in GROWN]
        if n == 10:
            records.append(compose("soil_check", {"state": "dry"}, tree=tree, at=now - timedelta(days=1)))
    results = take_in(records)
    assert all(r.outcome == "stored" for r in results), [r for r in results if r.outcome != "stored"]


if __name__ == "__main__":
    django.setup()
    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    two_benches()
