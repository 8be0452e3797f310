"""A restore that is killed leaves the old site or the new one."""

import json
import subprocess
import sys
from pathlib import Path


def test_a_kill_at_any_moment_leaves_the_old_site_or_the_new_one(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.keeping.kills", str(tmp_path / "kills")],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    runs = [json.loads(line) for line in done.stdout.splitlines()]
    killed = [run for run in runs if run["killed"]]
    assert len(killed) >= 40
    assert [run for run in runs if run["site"] not in {"old", "new"} or run["left"]] == []
    # The commit is the one moment at which it changes; both runs without a kill end with the new site.
    by_step = {run["at"].split(": ")[1]: run["site"] for run in runs if run["at"].startswith("step")}
    assert by_step["epoch raised"] == "old"
    assert by_step["committed"] == "new"
    assert [run["site"] for run in runs if not run["killed"]] == ["new", "new"]
