"""Three hundred seeded runs in which nothing is lost, and four bugs made on purpose that are caught.

Each is the command of ``DEVELOPERS.md`` in a process of its own; its output on a failure names the seeds,
each of which plays again alone by ``--only SEED``.
"""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from typing import Any, cast

import pytest
from django.utils import timezone

from frontend import node
from nursery import journal
from nursery.models import Standing
from nursery.rollup import roll_up
from tests.factories import TreeFactory, record
from tests.faults.__main__ import BREAKS
from tests.faults.lane import ROOT
from tests.faults.plan import make
from tests.faults.shed import Shed
from tests.faults.verdict import judge


def storm(*words: str) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults", "--json", "--lanes", "2", *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.stdout, done.stderr
    told: dict[str, Any] = json.loads(done.stdout)
    told["said"] = done.stderr
    return told


def test_nothing_is_lost_doubled_or_stuck_and_all_agree() -> None:
    told = storm("--runs", "300", "--seed", "1", "--kills", "0.2")
    counts = {key: told[key] for key in ("runs", "lost", "doubled", "diverged", "stuck")}
    assert counts == {"runs": 300, "lost": 0, "doubled": 0, "diverged": 0, "stuck": 0}, told["said"]
    # The storm was one: each fault of the way struck, the server was killed, and much was saved all the same.
    assert {
        "bad_gateway", "captive", "cut", "die", "edit", "full", "kill", "late", "locked", "lose_answer",
        "lose_request", "lost", "lost_late", "poison", "quota", "revoke_after", "revoke_before", "slow",
        "slow_down", "too_large", "twice",
    } == set(told["struck"])  # fmt: skip
    assert told["with_kills"] > 30
    assert told["saved"] > 2000


@pytest.mark.parametrize("bug", BREAKS)
def test_a_bug_made_on_purpose_is_caught(bug: str) -> None:
    told = storm("--runs", "200", "--seed", "1", "--kills", "0.5", "--break", bug)
    assert told["failing"]
    assert told["lost"] > 0
    assert told["runs"] <= 200


def test_a_seed_makes_the_same_plan_again() -> None:
    assert make(7, 0.5) == make(7, 0.5)
    assert make(7, 0.5).wire != make(8, 0.5).wire


def test_the_phones_types_hold() -> None:
    node.install(tests=True)
    project = ROOT / "tests" / "faults" / "phones"
    assert node.node(node.FRONTEND / "node_modules/typescript/bin/tsc", "--noEmit", "-p", str(project)) == ""


@pytest.mark.django_db
def test_standings_of_yesterday_are_no_divergence_and_a_wrong_one_is() -> None:
    """A run that passes midnight; ``serve`` makes the standings anew then, and so is it judged."""
    tree = TreeFactory()
    yesterday = timezone.localdate() - timedelta(days=1)
    roll_up([tree.id], today=yesterday)
    nobody = {"phones": [], "stuck": []}
    assert judge(nobody, cast(Any, None)).diverged == []
    Standing.objects.update(readiness=0.123)
    assert judge(nobody, cast(Any, None)).diverged == ["a rebuilt shed is another"]


@pytest.mark.django_db
def test_a_standing_that_waits_for_a_phone_is_made_by_the_shed_before_it_is_judged(tmp_path: Path) -> None:
    """All phones revoked: nobody fetches, and the shed catches up by itself."""
    tree = TreeFactory()
    roll_up([tree.id], today=timezone.localdate())
    nobody = {"phones": [], "stuck": []}
    journal.take_in([record("bud_check", {"state": "few"}, tree=tree.id)], roll_up=False)
    assert Standing.objects.get(tree=tree).last == {}
    Shed(tmp_path).settle()
    assert judge(nobody, cast(Any, None)).diverged == []
    assert list(Standing.objects.get(tree=tree).last) == ["buds"]
