"""One lane: a process for the phones, a process for the shed, and runs one after another.

``python -m tests.faults.lane`` reads one JSON object (``Job``) from its input and prints one a run.
"""

from __future__ import annotations

import gc
import http.client
import json
import logging
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .shed import Shed

ROOT = Path(__file__).resolve().parents[2]
#: How long a process may take to come up, or a run to end, on a crowded machine [s].
PATIENCE = 120


@dataclass(frozen=True)
class Job:
    """What a lane is to do."""

    folder: str
    phones: str
    port: int
    seeds: list[int]
    kills: float = 0.2
    broken: str = ""


def settle_environment(job: Job) -> None:
    """A data folder of this lane's own, for this process and the shed's."""
    for name in [*os.environ]:
        if name.startswith("MISHO_") or name == "DATABASE_URL":
            del os.environ[name]
    os.environ |= {
        "MISHO_DATA": str(Path(job.folder) / "data"),
        "MISHO_LOG": "CRITICAL",
        "DJANGO_SETTINGS_MODULE": "nursery.settings",
        "OPENBLAS_NUM_THREADS": "1",
        "FAULTS_BREAK": job.broken,
    }


class Process:
    """A child whose lines are read by a thread, so that waiting for one can end."""

    def __init__(self, *words: str) -> None:
        self.popen = subprocess.Popen(
            words, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
        )

    def __enter__(self) -> Process:
        return self

    def __exit__(self, *_: object) -> None:
        self.popen.kill()
        self.popen.wait()

    @property
    def out(self) -> IO[str]:
        assert self.popen.stdout
        return self.popen.stdout

    def say(self, line: dict[str, Any]) -> None:
        assert self.popen.stdin
        self.popen.stdin.write(json.dumps(line) + "\n")
        self.popen.stdin.flush()


class Server:
    """The shed's process; tells when its present child is up."""

    def __init__(self, process: Process) -> None:
        self.process = process
        self.ups = 0
        self.heard = threading.Condition()
        threading.Thread(target=self._hear, daemon=True).start()

    def _hear(self) -> None:
        for _ in self.process.out:
            with self.heard:
                self.ups += 1
                self.heard.notify_all()

    def up(self, port: int) -> None:
        """Wait until it answers: a child killed a moment ago may not have been told yet."""
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            assert self.process.popen.poll() is None, "the shed's process ended by itself"
            with self.heard:
                self.heard.wait_for(lambda: self.ups > 0, 1)
            # An answer, and not a connection only: it serves one at a time, so those before are done.
            with suppress(OSError, http.client.HTTPException):
                asking = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
                asking.request("GET", "/api/nothing")
                asking.getresponse().read()
                return
            time.sleep(0.002)
        raise AssertionError("the shed does not come up")


class Lane:
    def __init__(self, job: Job, shed: Shed, phones: Process, server: Server) -> None:
        self.job, self.phones, self.server = job, phones, server
        self.shed = shed

    def answer(self, line: dict[str, Any]) -> dict[str, Any]:
        """Do what the phones' process asks to be done at the shed."""
        from django.db import OperationalError, connection

        from nursery.errors import MishoError

        acts: dict[str, Any] = {
            "code": self.shed.code,
            "revoke": lambda: self.shed.revoke(line.get("device")),
            "backup": self.shed.make_backup,
            "restore": self.shed.restore,
            "edit": lambda: self.shed.edit(line["n"]),
            "slow_begin": lambda: self.shed.slow_begin(line["n"]),
            "slow_commit": self.shed.slow_commit,
            "settle": self.shed.settle,
            "hand_over": lambda: self.shed.hand_over(line["text"]),
            "up": lambda: self.server.up(self.job.port),
        }
        try:
            if line["what"] != "slow_commit":
                # Whoever writes next would wait for it, and it for its own turn here.
                self.shed.slow_commit()
            return {"answer": line["ask"], **(acts[line["what"]]() or {})}
        except (MishoError, OperationalError) as fault:
            return {"answer": line["ask"], "fault": str(fault)}
        finally:
            connection.close()

    def run(self, seed: int) -> dict[str, Any]:
        from django.db import connection

        from .plan import make
        from .verdict import judge

        plan = make(seed, self.job.kills)
        self.server.up(self.job.port)
        self.shed.begin()
        began = time.monotonic()
        self.phones.say({**plan.wire, "port": self.job.port, "broken": self.job.broken})
        for text in self.phones.out:
            line = json.loads(text)
            if "ask" not in line:
                break
            self.phones.say(self.answer(line))
        else:
            raise AssertionError("the phones' process ended by itself")
        verdict = judge(line, plan.intents)
        connection.close()
        saved = sum(len(phone["saved"]) for phone in line["phones"])
        return {
            "seed": seed,
            "kills": plan.kills,
            "saved": saved,
            "struck": line["struck"],
            "seconds": round(time.monotonic() - began, 3),
            **vars(verdict),
        }


def play(job: Job) -> Iterator[dict[str, Any]]:
    import django

    # Each fault is on purpose.
    logging.disable(logging.CRITICAL)
    django.setup()
    from .shed import Shed

    shed = Shed(Path(job.folder))
    shed.found()
    with (
        Process(sys.executable, "-W", "ignore", "-m", "tests.faults.server", str(job.port)) as serving,
        Process(_node(), job.phones) as phones,
    ):
        lane = Lane(job, shed, phones, Server(serving))
        assert json.loads(phones.out.readline()) == {"ready": True}
        gc.freeze()
        for seed in job.seeds:
            yield lane.run(seed)


def _node() -> str:
    from frontend.node import node_home

    return str(node_home() / "bin" / "node")


def main() -> None:
    from .server import die_with_parent

    die_with_parent()
    job = Job(**json.loads(sys.stdin.readline()))
    settle_environment(job)
    Path(os.environ["MISHO_DATA"]).mkdir(parents=True, exist_ok=True)
    for told in play(job):
        print(json.dumps(told), flush=True)


if __name__ == "__main__":
    main()
