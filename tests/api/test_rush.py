"""A code is used once and dies after ten guesses also when all come at the same moment."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_sixteen_at_once(tmp_path):
    env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    done = subprocess.run(
        [sys.executable, "-m", "tests.api.rush"],
        cwd=ROOT,
        env=env | {"MISHO_DATA": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout) == {
        "same_code": ["paired"] + ["wrong_code"] * 15,
        "phones": 1,
        "guesses": ["wrong_code"] * 16,
        "tries": 10,
        "late": "wrong_code",
    }
