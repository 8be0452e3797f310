"""``python -m tests.faults --runs N --seed S --json``: see the package's first line."""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from dataclasses import asdict
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import Any

from frontend import node
from tests.ports import free_port

from .lane import ROOT, Job

BREAKS = ("ack_before_commit", "drop_outbox_on_409", "photo_before_its_file", "drop_photo_once_sent")
WRONGS = ("lost", "doubled", "diverged", "stuck")


def bundle(folder: Path) -> Path:
    """The phones' code as one file for Node."""
    node.install(tests=True)
    config = ROOT / "tests" / "faults" / "phones" / "vite.config.mts"
    env = {"FAULTS_OUT": str(folder)}
    node.node(node.FRONTEND / "node_modules/vite/bin/vite.js", "build", "--config", str(config), env=env)
    return folder / "phones.mjs"


def place() -> str | None:
    """In memory where there is room: no power fails here, and a disk's own speed is not what is tried."""
    memory = Path("/dev/shm")
    if memory.is_dir() and os.access(memory, os.W_OK) and shutil.disk_usage(memory).free > 256 * 1024**2:
        return str(memory)
    return None


class Lanes:
    """The lanes' processes, and what they tell as it comes."""

    def __init__(self, jobs: list[Job]) -> None:
        self.told: Queue[dict[str, Any] | None] = Queue()
        self.running = [self._start(job) for job in jobs]

    def _start(self, job: Job) -> subprocess.Popen[str]:
        lane = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.lane"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        assert lane.stdin
        lane.stdin.write(json.dumps(asdict(job)) + "\n")
        lane.stdin.flush()
        Thread(target=self._hear, args=(lane,), daemon=True).start()
        return lane

    def _hear(self, lane: subprocess.Popen[str]) -> None:
        assert lane.stdout
        for line in lane.stdout:
            self.told.put(json.loads(line))
        self.told.put(None)

    def end(self) -> None:
        for lane in self.running:
            lane.kill()
            lane.wait()


def storm(args: argparse.Namespace) -> dict[str, Any]:
    """All runs; gives the sums. A run that goes wrong is told at once, in words."""
    seeds = [args.only] if args.only is not None else list(range(args.seed, args.seed + args.runs))
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="misho-faults-", dir=place()) as name:
        folder = Path(name)
        phones = bundle(folder)
        lanes = Lanes(
            [
                Job(
                    str(folder / f"lane{n}"),
                    str(phones),
                    args.port + n if args.port else free_port(),
                    seeds[n :: args.lanes],
                    args.kills,
                    args.broken,
                )
                for n in range(min(args.lanes, len(seeds)))
            ]
        )
        try:
            return gather(lanes, len(seeds), args) | {"seconds": round(time.monotonic() - began, 1)}
        finally:
            lanes.end()


def gather(lanes: Lanes, runs: int, args: argparse.Namespace) -> dict[str, Any]:
    sums: Counter[str] = Counter()
    struck: Counter[str] = Counter()
    failing: list[int] = []
    open_lanes = len(lanes.running)
    while open_lanes:
        told = lanes.told.get()
        if told is None:
            open_lanes -= 1
            continue
        sums.update({"runs": 1, "saved": told["saved"], "with_kills": int(told["kills"])})
        sums.update({wrong: len(told[wrong]) for wrong in WRONGS})
        struck.update(told["struck"])
        if any(told[wrong] for wrong in WRONGS):
            failing.append(told["seed"])
            print(json.dumps({k: told[k] for k in ("seed", *WRONGS)}), file=sys.stderr, flush=True)
            if args.broken:
                break
        if args.progress and sums["runs"] % args.progress == 0:
            print(json.dumps({"runs": sums["runs"], "failing": failing}), file=sys.stderr, flush=True)
    else:
        if sums["runs"] != runs:
            raise SystemExit(f"{sums['runs']} of {runs} runs came to an end: a lane failed, see above")
    shown = {key: sums[key] for key in ("runs", *WRONGS, "saved", "with_kills")}
    return shown | {"failing": sorted(failing), "struck": dict(sorted(struck.items()))}


def arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("--runs", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1, help="the first run's; each next one has the next")
    parser.add_argument("--only", type=int, help="play this one seed alone")
    parser.add_argument("--kills", type=float, default=0.2, help="share of the runs whose server is killed")
    parser.add_argument("--lanes", type=int, default=1, help="runs side by side")
    parser.add_argument("--port", type=int, default=0, help="first port of the sheds; 0 takes free ones")
    parser.add_argument("--break", dest="broken", choices=BREAKS, default="", help="a deliberate bug")
    parser.add_argument("--progress", type=int, default=0, help="say how far it is after so many runs")
    parser.add_argument("--json", action="store_true", help="print the sums as JSON")
    return parser.parse_args()


def main() -> None:
    args = arguments()
    sums = storm(args)
    if args.json:
        print(json.dumps(sums))
    else:
        print("\n".join(f"{key:>10}  {value}" for key, value in sums.items()))
    sys.exit(1 if sums["failing"] else 0)


if __name__ == "__main__":
    main()
