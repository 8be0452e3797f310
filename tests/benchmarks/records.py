"""An invented nursery and its checks, for the benchmarks: same seed, same records but for their ids."""

from __future__ import annotations

import itertools
import uuid
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

Record = dict[str, Any]
START = datetime(2026, 6, 10, 6, tzinfo=UTC)
PER_BENCH = 200
SPECIES = "japanese-black-pine"
_count = itertools.count(1)


def record(kind: str, body: dict[str, Any], *, tree: str | None = None) -> Record:
    """A record in the wire form, stamped a second after the last one."""
    number = next(_count)
    at = START + timedelta(seconds=number)
    return {
        "id": new_id(at),
        "device_seq": number,
        "kind": kind,
        "v": 1,
        "tree": tree,
        "run": None,
        "observed_at": at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "utc_offset_min": 60,
        "hlc": f"{int(at.timestamp() * 1000):015d}-0000",
        "body": body,
    }


def new_id(at: datetime = START) -> str:
    """A UUIDv7: time first, as phones make them."""
    random = uuid.uuid4().int & ((1 << 76) - 1)
    value = (int(at.timestamp() * 1000) << 80) | (7 << 76) | random
    return str(uuid.UUID(int=(value & ~(3 << 62)) | (2 << 62)))


def nursery(trees: Sequence[str]) -> Iterator[Record]:
    """Benches, trees on them with a target, and a wire on each."""
    site = new_id()
    yield record("site_set", {"site": site, "name": "Lower field"})
    for number, tree in enumerate(trees):
        place = number % PER_BENCH
        if place == 0:
            bench = new_id()
            name = f"Bench {number // PER_BENCH + 1}"
            yield record("bench_set", {"bench": bench, "site": site, "name": name, "rows": 10, "places": 20})
        new = {"tag": f"K{number + 1}", "species": SPECIES, "sown_year": 2019, "phase": "trunk"}
        yield record("tree_new", new, tree=tree)
        on = {"bench": bench, "row": place // 20 + 1, "place": place % 20 + 1}
        yield record("tree_move", on, tree=tree)
        yield record("target_set", {"base_mm": 30, "height_mm": 180}, tree=tree)
        yield record("wire_on", {"part": "trunk", "wire_mm": 2.5}, tree=tree)


def checks(trees: Sequence[str], count: int) -> list[tuple[str, dict[str, Any], str]]:
    """(kind, body, tree) of a walk: wire, soil and buds of one tree after another."""
    words = itertools.cycle(("moist", "dry", "moist", "moist", "wet"))
    made: list[tuple[str, dict[str, Any], str]] = []
    for tree in itertools.cycle(trees):
        made += [
            ("wire_look", {"state": "snug"}, tree),
            ("soil_check", {"state": next(words)}, tree),
            ("bud_check", {"state": "few"}, tree),
        ]
        if len(made) >= count:
            return made[:count]
    return made
