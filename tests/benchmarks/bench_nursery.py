"""A nursery with a past for the bench app's benchmark: trees on benches, and years of looks at them."""

from __future__ import annotations

import itertools
import os
import sys
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
#: Records to a transaction.
AT_ONCE = 5000
PLACES = 50
#: Looks go round so, on one tree after the other.
LOOKS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("soil_check", {"state": "moist"}),
    ("wire_look", {"state": "snug"}),
    ("bud_check", {"state": "few"}),
    ("soil_check", {"state": "dry"}),
)


def fill(data: Path, trees: int, per_bench: int, past: int) -> int:
    """Migrate the data folder and take in the nursery by the journal; gives the number of past looks."""
    os.environ["MISHO_DATA"] = str(data)
    os.environ["DJANGO_SETTINGS_MODULE"] = "nursery.settings"
    os.environ.pop("DATABASE_URL", None)
    sys.path.insert(0, str(ROOT))
    import django

    django.setup()
    from django.core.management import call_command

    from nursery import journal
    from nursery.rollup import roll_up_all

    call_command("migrate", verbosity=0)
    ids = [str(uuid.UUID(int=(1 << 80) + number)) for number in range(trees)]
    records = _records(ids, per_bench, past)
    while made := list(itertools.islice(records, AT_ONCE)):
        journal.take_in(made, roll_up=False)
    roll_up_all()
    return past


def _records(ids: list[str], per_bench: int, past: int) -> Iterator[dict[str, Any]]:
    from nursery.journal import compose

    then = datetime.now(UTC) - timedelta(days=700)
    yield from _standing(ids, per_bench, then)
    each = max(1, past // len(ids))
    for number in range(past):
        round_, at = divmod(number, len(ids))
        # Evenly over the time since; the last ones long enough ago that all is due again.
        when = then + timedelta(days=600 * round_ // each, seconds=at)
        kind, body = LOOKS[round_ % len(LOOKS)]
        yield compose(kind, body, tree=uuid.UUID(ids[at]), at=when)


def _standing(ids: list[str], per_bench: int, then: datetime) -> Iterator[dict[str, Any]]:
    from nursery.journal import compose
    from nursery.science.tags import make

    site = str(uuid.uuid4())
    yield compose("site_set", {"site": site, "name": "Lower field"}, at=then)
    rows = -(-per_bench // PLACES)
    bench = ""
    for number, tree in enumerate(ids):
        on = number % per_bench
        if on == 0:
            bench = str(uuid.uuid4())
            body = {"bench": bench, "site": site, "name": f"Bench {number // per_bench + 1}"}
            yield compose("bench_set", {**body, "rows": rows, "places": PLACES}, at=then)
        about = partial(compose, tree=uuid.UUID(tree), at=then)
        tag = make("ABCDEFGH"[number // 9999], number % 9999 + 1)
        new = {"tag": tag, "species": "japanese-black-pine", "sown_year": then.year - 5, "phase": "trunk"}
        yield about("tree_new", new)
        place = {"bench": bench, "row": on // PLACES + 1, "place": on % PLACES + 1}
        yield about("tree_move", place)
        yield about("target_set", {"base_mm": 40, "height_mm": 240})
        if number % 2:
            yield about("wire_on", {"part": "trunk", "wire_mm": 3})
