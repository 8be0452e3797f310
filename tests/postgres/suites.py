"""The tests' rooms again, on PostgreSQL: which of them, which not and why, and how they are run."""

import os
import re
import subprocess
import sys
from pathlib import Path

from tests.postgres.cluster import Cluster

ROOT = Path(__file__).resolve().parents[2]

#: Two parts of about the same length, in files of their own, so that they can run side by side.
INTAKE = (
    "tests/api",
    "tests/journal",
    "tests/importing",
    "tests/photos",
    "tests/rollup",
)
PAGES = (
    "tests/demo",
    "tests/frontend",
    "tests/house",
    "tests/keeping",
    "tests/reports",
    "tests/tagsheets",
)
#: What is not run again on PostgreSQL, and why. Single tests are left out by the marker ``sqlite_only``.
LEFT_OUT = {
    "tests/benchmarks": "measures SQLite beside other stores",
    "tests/browser": "drives a browser: what its pages and pushes ask of the database is in api and frontend",
    "tests/faults": "reads the server's SQLite file after each fault",
    "tests/frontend/test_node.py": "TypeScript: no database",
    "tests/house/test_house.py": "linters, types and documents: no database",
    "tests/house/test_serve.py": "ports, folders and static files: no database, or a broken SQLite file",
    "tests/keeping/test_kills.py": "copies the SQLite file to have the same site before each kill",
    "tests/lan": "certificates and addresses: no database",
    "tests/postgres": "these tests themselves",
    "tests/frontend/test_catalogues.py": "catalogues of words: no database",
    "tests/frontend/test_every_word.py": "words on pages: what they ask of the database is in test_pages",
    "tests/frontend/test_german.py": "how numbers and days are written: the same pages as in test_pages",
    "tests/rollup/test_calibration.py": "a computation on the same rows: how they are read is in rollup",
    "tests/tagsheets/test_sheet.py": "sheets of paper: no database",
    "tests/science": "numbers only: no database",
}

_CLOSING = re.compile(r"^(.*\d+ passed.*) in [\d.]+s", re.M)


def run(server: Cluster, name: str, rooms: tuple[str, ...]) -> dict[str, int]:
    """Run rooms in a process of their own, on a database of their own; gives what the last line counts."""
    env = {key: value for key, value in os.environ.items() if not key.startswith(("PYTEST_", "MISHO_"))}
    left_out = [f"--ignore={path}" for path in LEFT_OUT]
    words = ["-m", "pytest", "-q", "-p", "no:cacheprovider", "-m", "not sqlite_only", *left_out, *rooms]
    done = subprocess.run(
        [sys.executable, *words],
        cwd=ROOT,
        env=env | {"DATABASE_URL": server.address(name)},
        capture_output=True,
        text=True,
        timeout=1200,
    )
    closing = _CLOSING.search(done.stdout)
    assert closing, done.stdout + done.stderr
    counts = {word: int(number) for number, word in re.findall(r"(\d+) (\w+)", closing[1])}
    # Whatever else ended otherwise than passed is in the words of the inner run.
    assert set(counts) <= {"passed", "deselected", "warnings"}, done.stdout + done.stderr + server.waits()
    assert done.returncode == 0, done.stdout + done.stderr
    return counts
