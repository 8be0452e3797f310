"""What is truly so of each tree of the invented nursery, criterion by criterion.

The truth is that of ``fixtures_demo``: growth in seasons of its own, buds that come with growth, observers of
three sorts who err, wires that go their way. The app's computations share none of its equations. What a
criterion means is said here once more in plain arithmetic, so that a slip of the app shows.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from fixtures_demo.tending import Tending

GATE = ("roots", "trunk", "branches", "refinement")
#: A wire that had gone so far when it came off had sunk in: its scar stays.
SUNK_IN = 1.4
#: Primary branches, secondary ones on each, order of branching, where a style needs other than 5, 2 and 3.
NEEDS = {
    "formal_upright": (7, 2, 3),
    "semi_cascade": (4, 2, 3),
    "broom": (5, 3, 4),
    "clump": (4, 2, 3),
    "literati": (3, 1, 2),
}


def met(tending: Tending, today: date) -> dict[str, tuple[str, dict[str, bool]]]:
    """Of each tree that is still here and has a gate ahead: its gate, and whether each criterion is met."""
    out = {}
    for i in np.flatnonzero(tending.here):
        phase = int(tending.truth.phase[i])
        if phase < len(GATE):
            out[tending.plants[i].id] = (GATE[phase], _OF[phase](tending, int(i), today))
    return out


def _young(tending: Tending, i: int, today: date) -> dict[str, bool]:
    sown = tending.plants[i].lot.sown
    return {
        "alive": bool(tending.truth.alive[i]),
        "season_old": today >= date(sown.year, 11, 1),
        "firm": bool(tending.truth.firm[i]),
    }


def _rooted(tending: Tending, i: int, today: date) -> dict[str, bool]:
    there = tending.chores.roots.get(i)
    if there is None:  # never out of its pot: it has roots all the same
        from fixtures_demo.truth import draw_roots

        age = today.year - tending.plants[i].lot.sown.year
        there = draw_roots(np.random.default_rng(i), float(tending.chores.root_luck[i]), age)
    gap, sectors = _round(there)
    level = [bool(root["level"]) for root in there]
    return {
        "roots_spread": gap <= 110 and sectors >= 4,
        "roots_level": sum(level) >= 0.7 * len(level),
        "no_defect": not tending.chores.defects.get(i) and gap <= 190,
    }


def _round(there: list[dict[str, Any]]) -> tuple[float, int]:
    """The largest gap [degree], and how many sixths of the round have a root."""
    degrees = sorted(float(root["deg"]) for root in there)
    gaps = [b - a for a, b in zip(degrees, [*degrees[1:], degrees[0] + 360], strict=True)]
    return max(gaps), len({int(degree // 60) for degree in degrees})


def _trunk(tending: Tending, i: int, today: date) -> dict[str, bool]:
    truth, height = tending.truth, tending.plants[i].height_mm
    mm = float(truth.mm[i])
    return {
        "at_target": mm >= round(height / 6, 1),
        "taper": mm * (1 - float(truth.taper[i])) / (height // 2) >= 1 / 12,
        "wire_done": _first_wire_done(tending, i),
        "low_buds": bool(truth.buds[i]),
    }


def _first_wire_done(tending: Tending, i: int) -> bool:
    """Some wire of trunk or branches came off, none of them sunk in, and none is on."""
    chores = tending.chores
    still_on = not np.isnan(tending.truth.wire[i]) and chores.part[i] != "leader"
    return bool(chores.off[i] > 0 and chores.depth[i] < SUNK_IN and not still_on)


def _branched(tending: Tending, i: int, today: date) -> dict[str, bool]:
    from fixtures_demo.truth import order_of

    truth, plant = tending.truth, tending.plants[i]
    first, second = round(float(truth.primaries[i])), round(float(truth.secondaries[i]))
    primaries, each, order = NEEDS.get(plant.style if chosen(tending, i) else "", (5, 2, 3))
    return {
        "primaries": first >= primaries and second >= primaries * each,
        "internodes": float(truth.internode[i]) <= 0.04 * plant.height_mm,
        "order": order_of(first, second) >= order,
    }


def chosen(tending: Tending, i: int) -> bool:
    """Whether somebody chose the tree's style."""
    return any(record["kind"] == "target_set" for record in tending.ground.by_tree[i])


_OF = (_young, _rooted, _trunk, _branched)
