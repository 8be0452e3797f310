"""What must hold also when all come at the same moment."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.postgres.cluster import fresh_beside, on_postgresql

ROOT = Path(__file__).resolve().parents[2]
ON_POSTGRESQL = on_postgresql()


@pytest.fixture(scope="module")
def rush(tmp_path_factory):
    env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    if ON_POSTGRESQL:
        env["DATABASE_URL"] = fresh_beside(ON_POSTGRESQL)
    done = subprocess.run(
        [sys.executable, "-m", "tests.api.rush"],
        cwd=ROOT,
        env=env | {"MISHO_DATA": str(tmp_path_factory.mktemp("rush"))},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_sixteen_with_one_code_make_one_phone(rush):
    assert rush["same_code"] == ["paired"] + ["wrong_code"] * 15
    assert rush["phones"] == 1


def test_sixteen_guesses_at_once_kill_the_code_at_ten(rush):
    assert rush["guesses"] == ["wrong_code"] * 16
    assert rush["tries"] == 10
    assert rush["late"] == "wrong_code"


def test_while_another_writer_holds_the_database_the_phone_is_asked_to_come_again(rush):
    assert rush["held"] == {
        "status": 503,
        "wait": "2",
        "body": {
            "error": {
                "code": "busy",
                "message": "The shed's database is busy.",
                "field": "",
                "mend": "The phone tries again by itself.",
            }
        },
        "stored": 0,
        "again": "stored",
        # Reading goes on; SQLite, where a writer holds all, leaves out when the phone was last seen.
        "pulled": 200,
        "unseen": 0 if ON_POSTGRESQL else 1,
    }
