"""Nobody who follows the feed misses a row, however many write at once."""

import json
import os
import subprocess
import sys
from typing import Any

from tests.postgres.cluster import Cluster
from tests.postgres.suites import ROOT


def told(server: Cluster, *words: str) -> Any:
    """What a command says in the end, run on a new database of the server."""
    done = subprocess.run(
        [sys.executable, "-m", *words],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": server.address("postgres")},
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.stdout, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


def test_a_reader_misses_nothing_of_sixteen_writers(server: Cluster) -> None:
    found = told(server, "tests.postgres.writers", "--records", "480", "--json")
    assert found.pop("polls") > 50
    assert found == {"written": 480, "seen": 480, "missed": 0, "refused": 0, "done_over": 0}


def test_without_the_head_lock_rows_are_missed(server: Cluster) -> None:
    """So the lock is what the test above tests. Behind it stands the rule that numbers are unique."""
    assert told(server, "tests.postgres.interleaved") == {
        "locked": {"first": [], "missed": [], "refused": {}},
        "unlocked": {
            "first": ["unlocked early"],
            "missed": ["unlocked late"],
            "refused": {"unlocked late": "IntegrityError"},
        },
        "bare": {"first": ["bare early"], "missed": ["bare late"], "refused": {}},
    }
