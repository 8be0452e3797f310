"""A chunk's sheet -> its standings."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from nursery.models import Phase, Standing
from nursery.science.gates import GATES, readiness

from . import branching, rooted, trunk, wired, young
from .due import due
from .load import Looks, Sheet, day_of
from .wire_fit import current
from .words import CriterionRow, Judged

#: Probabilities are kept to four places: more is noise, and equal inputs must give equal rows.
PLACES = 4
_WOODY = (Phase.TRUNK, Phase.BRANCHES, Phase.REFINEMENT)


def standings(sheet: Sheet) -> list[Standing]:
    """Judge all criteria of the chunk at once, then put each tree's standing together."""
    found = wired.wires(sheet, current())
    judged = _judge(sheet, found)
    held = _hold(sheet, judged)
    wanted = due(sheet, found)
    base = trunk.last_base(sheet.calipers, sheet.n)
    out = []
    for at, tree in enumerate(sheet.trees):
        standing = Standing(tree=tree, as_of=sheet.today, gate=sheet.gate[at], due=wanted[at])
        standing.last = _last(sheet, at, int(base[at]))
        standing.caliper_mm = sheet.calipers["mm"][base[at]] if base[at] >= 0 else None
        if not tree.left_how:
            _tell_wire(standing, sheet, found, at)
            if tree.phase in _WOODY or sheet.buds.seen[at]:
                standing.buds_p = round(float(judged["low_buds"].p[at]), PLACES)
        if sheet.gate[at]:
            _tell_gate(standing, judged, at, *held[at])
        out.append(standing)
    return out


def _judge(sheet: Sheet, found: wired.Wires) -> dict[str, Judged]:
    judged = {
        "alive": young.alive(sheet),
        "season_old": young.season_old(sheet),
        "firm": young.firm(sheet),
        **rooted.judge(sheet),
        **trunk.judge(sheet),
        "wire_done": wired.wire_done(sheet, found),
        "low_buds": branching.low_buds(sheet),
        **branching.judge(sheet),
    }
    surest = sheet.practice.surest
    return {name: replace(entry, p=np.clip(entry.p, 1 - surest, surest)) for name, entry in judged.items()}


def _hold(sheet: Sheet, judged: dict[str, Judged]) -> dict[int, tuple[float, str]]:
    """Readiness and the criterion that holds back, for each tree that has a gate ahead."""
    out = {}
    for gate, names in GATES.items():
        rows = np.flatnonzero(sheet.at_gate(gate))
        ready = readiness(np.column_stack([judged[name].p[rows] for name in names]))
        for row, p, column in zip(rows, ready.p, ready.held_by, strict=True):
            out[int(row)] = (float(p), names[column])
    return out


def _tell_gate(standing: Standing, judged: dict[str, Judged], at: int, p: float, held_by: str) -> None:
    standing.readiness = round(p, PLACES)
    standing.held_by = held_by
    standing.held_not_looked = not judged[held_by].looked[at]
    standing.criteria = [_criterion(name, judged[name], at) for name in GATES[standing.gate]]


def _criterion(name: str, judged: Judged, at: int) -> CriterionRow:
    why, proof = judged.tell(at)
    p = round(float(judged.p[at]), PLACES)
    return {"name": name, "p": p, "looked": bool(judged.looked[at]), "why": why, "evidence": proof}


def _tell_wire(standing: Standing, sheet: Sheet, found: wired.Wires, at: int) -> None:
    first = int(found.first[at])
    if first < 0:
        return
    standing.wire_state = wired.state_of(found, at)
    standing.wire_on_since = day_of(found.on[first]) if found.row[first] >= 0 else None
    standing.wire_look_by = day_of(found.by[first])
    standing.wire_why = wired.reason(sheet, found, first)


def _last(sheet: Sheet, at: int, base: int) -> dict[str, Sequence[Any]]:
    """The newest look of each kind: what was seen, and the day."""
    out: dict[str, Sequence[Any]] = {}

    def put(name: str, looks: Looks, column: str) -> None:
        row = int(looks.last[at])
        if row >= 0:
            out[name] = [looks[column][row], day_of(looks.day[row]).isoformat()]

    put("wire", sheet.wire_looks, "state")
    put("soil", sheet.soil, "state")
    put("buds", sheet.buds, "state")
    firm = int(sheet.firm.last[at])
    if firm >= 0:
        word = "firm" if sheet.firm["firm"][firm] else "loose"
        out["firm"] = [word, day_of(sheet.firm.day[firm]).isoformat()]
    if base >= 0:
        out["caliper"] = [sheet.calipers["mm"][base], day_of(sheet.calipers.day[base]).isoformat()]
    return out
