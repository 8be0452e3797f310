"""The end state is a function of the set of records: any order, any batching, any replays, any rebuild."""

import hashlib
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from nursery import journal
from nursery.models import FeedRow, Tree
from tests.factories import START, correction, record, withdrawal

pytestmark = pytest.mark.django_db
TODAY = date(2026, 6, 1)

SITE, BENCHES, LOTS = uuid.UUID(int=1), [uuid.UUID(int=n) for n in (11, 12)], [uuid.UUID(int=21)]
TREES = [uuid.UUID(int=n) for n in (101, 102, 103)]
RUNS = [uuid.UUID(int=n) for n in (31, 32)]

#: What a step may be: (kind, small number a, small number b, minute of its stamp).
Step = tuple[str, int, int, int]
KINDS = [
    "site_set", "bench_set", "lot_set", "sowing", "tree_new", "tree_new", "tree_new", "tree_tag",
    "target_set",
    "tree_move", "tree_move", "phase_change", "tree_left", "walk_started", "walk_ended", "wire_on", "wire_on",
    "wire_look", "wire_look", "wire_off", "soil_check", "caliper", "moon_phase", "correct", "correct",
    "withdraw", "withdraw",
]  # fmt: skip
#: What most nurseries have, so that later steps find something to change, take away or make twice.
BASE: list[Step] = [
    ("site_set", 1, 0, 1),
    ("bench_set", 0, 1, 2),
    ("bench_set", 1, 2, 2),
    ("lot_set", 1, 0, 1),
    ("tree_new", 0, 1, 3),
    ("tree_new", 1, 1, 3),
    ("tree_new", 2, 4, 3),
]
steps = st.lists(
    st.tuples(st.sampled_from(KINDS), st.integers(0, 5), st.integers(0, 5), st.integers(0, 12)),
    min_size=4,
    max_size=30,
)


def _id(n: int) -> str:
    """An id whose order has nothing to do with the order of making."""
    return str(uuid.UUID(bytes=hashlib.sha256(b"%d" % n).digest()[:16], version=4))


def _body(kind: str, a: int, b: int, wirings: list[str]) -> dict[str, Any]:
    bench, lot = str(BENCHES[a % 2]), str(LOTS[0])
    wiring = wirings[b % len(wirings)] if wirings and a % 2 else None
    return {
        "site_set": lambda: {"site": str(SITE), "name": f"ground {a}"},
        "bench_set": lambda: {"bench": bench, "site": str(SITE), "name": f"B{b}", "rows": 2, "places": 9},
        "lot_set": lambda: {"lot": lot, "code": f"L{a}", "species": "chinese-elm" if a else "no-such"},
        "sowing": lambda: {"lot": lot, "on": "2026-03-01", "seeds": 40 + a},
        "tree_new": lambda: {
            "tag": f"N{a}", "species": "trident-maple", **({"lot": lot} if b > 3 else {}),
        },
        "tree_tag": lambda: {"tag": f"T{b}"},
        "target_set": lambda: {"base_mm": 10 + b} if a % 2 else {"height_mm": None, "style": "slanting"},
        "tree_move": lambda: {"bench": bench, "row": 1, "place": b + 1} if b else {"bench": None},
        "phase_change": lambda: {"to": ["roots", "trunk", "branches"][b % 3]},
        "tree_left": lambda: {"how": ["died", "sold"][b % 2]},
        "walk_started": lambda: {"bench": bench},
        "walk_ended": dict,
        "wire_on": lambda: {"part": "trunk", "wire_mm": 2 + b},
        "wire_look": lambda: {"state": ["loose", "snug", "biting"][b % 3], "wiring": wiring},
        "wire_off": lambda: {"wiring": wiring, "scars": ["none", "light"][b % 2]},
        "soil_check": lambda: {"state": ["wet", "dry"][b % 2]},
        "caliper": lambda: {"mm": 10 * b},  # 0 is impossible
        "moon_phase": lambda: {"phase": b},
    }[kind]()  # fmt: skip


def build(plan: list[Step]) -> list[dict[str, Any]]:
    """The records of a plan. Corrections name any earlier step, be it a correction too."""
    made: list[dict[str, Any]] = []
    wirings: list[str] = []
    for n, (kind, a, b, minute) in enumerate(plan):
        rest = {"id": _id(n), "at": START + timedelta(minutes=minute)}
        if kind in ("correct", "withdraw"):
            # Half of them are about the base, whose loss is felt widely.
            target = made[(7 * a + b) % (len(made) if b % 2 else min(len(made), 7))]
            first = target["kind"] if target["kind"] != "correction" else "caliper"
            body = _body(first, b, a, wirings)
            made.append(correction(target, body, **rest) if kind == "correct" else withdrawal(target, **rest))
            continue
        run = RUNS[a % 2] if kind.startswith("walk") else None
        tree = None if run or kind in ("site_set", "bench_set", "lot_set", "sowing") else TREES[a % 3]
        made.append(record(kind, _body(kind, a, b, wirings), tree=tree, run=run, **rest))
        if kind == "wire_on":
            wirings.append(rest["id"])
    return made


@contextmanager
def forgotten() -> Iterator[None]:
    """What happens inside is rolled back."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def take_in_batches(records: list[dict[str, Any]], cuts: list[int]) -> None:
    start = 0
    for cut in [*sorted({cut % (len(records) + 1) for cut in cuts}), len(records)]:
        journal.take_in(records[start:cut], today=TODAY)
        start = cut
    connection.check_constraints()


@settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    phases=[Phase.generate],  # each try costs a database: shrink by hand
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(plan=steps, data=st.data())
def test_any_order_any_batches_any_replays(plan: list[Step], data: st.DataObject) -> None:
    records = build([*BASE, *plan])
    shuffled = data.draw(
        st.permutations([*records, *data.draw(st.lists(st.sampled_from(records), max_size=8))])
    )
    cuts = data.draw(st.lists(st.integers(0, 60), max_size=6))
    with forgotten():
        journal.take_in(records, today=TODAY)
        expected = journal.fingerprint()
    with forgotten():
        take_in_batches(shuffled, cuts)
        assert journal.fingerprint() == expected
        seq = FeedRow.objects.order_by("-seq").values_list("seq", flat=True).first()
        journal.rebuild(today=TODAY, chunk=3)
        assert journal.fingerprint() == expected
        journal.rebuild(today=TODAY)
        assert journal.fingerprint() == expected
        assert FeedRow.objects.order_by("-seq").values_list("seq", flat=True).first() == seq


def test_the_fingerprint_sees_a_changed_row() -> None:
    journal.take_in(build([("tree_new", 1, 1, 1)]), today=TODAY)
    before = journal.fingerprint()
    Tree.objects.update(tag="other")
    assert journal.fingerprint() != before
    journal.rebuild(today=TODAY)
    assert journal.fingerprint() == before
