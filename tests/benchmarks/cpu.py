"""Processor time of all processes that this one started, and theirs: what a busy machine cannot stretch."""

from __future__ import annotations

import os
from pathlib import Path

_TICKS = os.sysconf("SC_CLK_TCK")


def below() -> float:
    """Seconds so far of all live descendants of this process (Linux)."""
    spent: dict[int, float] = {}
    parent: dict[int, int] = {}
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue  # it has ended meanwhile
        pid = int(stat.parent.name)
        parent[pid] = int(fields[1])
        spent[pid] = (int(fields[11]) + int(fields[12])) / _TICKS
    return sum(seconds for pid, seconds in spent.items() if _is_below(pid, parent))


def _is_below(pid: int, parent: dict[int, int]) -> bool:
    while pid := parent.get(pid, 0):
        if pid == os.getpid():
            return True
    return False
