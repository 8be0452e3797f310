"""Work and decisions at the bench: wire on and off, repotting, cutting, advancing, letting go."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np

from . import sight
from .ground import Ground
from .pen import Record
from .truth import PHASES, draw_roots, order_of

WINTER = (10, 11, 12, 1, 2)
SPRING = (2, 3, 4)
#: Share of trees with each defect of the roots, for one of middling luck about.
DEFECTS = {"crossing": 0.08, "girdling": 0.025, "high": 0.045, "rot": 0.02}


class Chores:
    """What is done to a tree, and what people remember of it."""

    def __init__(self, ground: Ground) -> None:
        n = len(ground.plants)
        self.ground = ground
        self.rng, self.truth, self.plants = ground.rng, ground.truth, ground.plants
        self.since = [date.min] * n  # in this phase
        self.wired = np.zeros(n, dtype=np.int64)  # trunk wires so far
        self.shaped = np.zeros(n, dtype=np.bool_)  # a trunk wire came off without deep scars
        self.root_luck = ground.rng.beta(2.2, 1.3, n)
        self.roots: dict[int, list[Record]] = {}
        self.defects: dict[int, set[str]] = {}  # that are there, seen or not
        self.part = [""] * n  # where the wire that is on is
        self.off = np.zeros(n, dtype=np.int64)  # wires of trunk and branches that came off
        self.depth = np.zeros(n)  # how far the worst of them had gone by then
        self.gap: dict[int, float] = {}  # as last judged [degrees]

    def _chance(self, p: float) -> bool:
        return bool(self.rng.random() < p)

    def wire(self, i: int, day: date, when: datetime, who: sight.Observer) -> None:
        """Look at the wire that is on, and take it off when it bites; else put one on when it is time."""
        truth = self.truth
        if np.isnan(truth.wire[i]):
            self._wire_on(i, day, when)
            return
        # In winter wire hardly moves, and people pass it by.
        if self._chance(0.45 if day.month in WINTER[1:] else 0.08):
            return
        seen = sight.wire(self.rng, who, truth.wire_state(i))
        look = self.ground.write(i, "wire_look", when, {"state": seen})
        if self._chance(0.004):
            undo: Record = {"replaces": look["id"], "withdraw": True}
            self.ground.write(i, "correction", when + timedelta(milliseconds=200), undo)
        if self._chance({"marking": 0.12, "biting": 0.88, "sunk_in": 0.97}.get(seen, 0.0)):
            self._wire_off(i, when + timedelta(milliseconds=600))

    def _wire_on(self, i: int, day: date, when: datetime) -> None:
        phase = int(self.truth.phase[i])
        age = day.year - self.plants[i].lot.sown.year
        cold = day.month in WINTER
        if phase in (1, 2) and age >= 2 and not self.shaped[i]:
            part, chance = "trunk", 0.14 if cold else 0.06
        elif phase == 2 and self.truth.mm[i] > 14:
            part, chance = "leader", 0.012
        elif phase >= 3:
            part, chance = "branch", 0.11 if cold else 0.04
        else:
            return
        if not self._chance(chance):
            return
        mm = round(max(1.0, min(6.0, float(self.truth.mm[i]) / 3)) * 2) / 2
        self.ground.write(i, "wire_on", when, {"part": part, "wire_mm": mm})
        self.truth.wire[i] = 0.0
        self.part[i] = part
        self.wired[i] += part == "trunk"

    def _wire_off(self, i: int, when: datetime) -> None:
        depth = self.truth.wire[i]
        if self.part[i] != "leader":
            self.off[i] += 1
            self.depth[i] = max(self.depth[i], depth)
        shares = (0.85, 0.15, 0.0) if depth < 1 else (0.15, 0.8, 0.05) if depth < 1.4 else (0.0, 0.35, 0.65)
        scars = str(self.rng.choice(["none", "light", "deep"], p=shares))
        self.ground.write(i, "wire_off", when, {"scars": scars})
        self.truth.wire[i] = np.nan
        if self.wired[i] and scars != "deep":
            self.shaped[i] = True

    def work(self, i: int, day: date, when: datetime, who: sight.Observer) -> None:
        """The year's work on a tree, as its season and habit have it."""
        phase = int(self.truth.phase[i])
        every = {1: 330, 2: 900, 3: 1000, 4: 1100}.get(phase)
        if every and day.month in SPRING and self._chance(0.5) and self.ground.due(i, "pot", day, every):
            self._repot(i, day, when, who)
        if (
            phase >= 3
            and day.month in (11, 12, 1)
            and self._chance(0.4)
            and self.ground.due(i, "branch", day, 300)
        ):
            self._survey_branches(i, when + timedelta(seconds=1))
        habit = self.plants[i].lot.species.habit
        for task in self._seasonal(phase, habit, day.month):
            if self._chance(0.35) and self.ground.due(i, task, day, 150):
                self.ground.write(i, "work_done", when + timedelta(seconds=2), {"task": task})

    @staticmethod
    def _seasonal(phase: int, habit: str, month: int) -> list[str]:
        tasks = ["fed"] if month in (4, 5, 9) else []
        if phase >= 3 and habit == "two_flush_pine" and month in (6, 7):
            tasks.append("decandled")
        if phase >= 3 and habit.endswith("pine") and month in (11, 12):
            tasks.append("needles_thinned")
        if phase >= 3 and habit == "broadleaf" and month in (5, 6):
            tasks.append("defoliated")
        if phase >= 2 and habit != "one_flush_pine" and month in (10, 11):
            tasks.append("cut_back")
        return tasks

    def _repot(self, i: int, day: date, when: datetime, who: sight.Observer) -> None:
        rng, luck = self.rng, float(self.root_luck[i])
        age = day.year - self.plants[i].lot.sown.year
        self.ground.write(i, "work_done", when, {"task": "repotted", "detail": "into fresh mix"})
        if i not in self.roots:
            self.roots[i] = draw_roots(rng, luck, age)
            self.defects[i] = {word for word, share in DEFECTS.items() if self._chance(share * (1.6 - luck))}
        elif self._chance(0.55):
            # Root pruning mends: a new root in the largest gap, and some of what was wrong.
            gap, middle = sight.largest_gap(self.roots[i])
            root = draw_roots(rng, luck, 0)[0] | {"deg": round((middle + rng.normal(0, gap / 9)) % 359.9, 1)}
            self.roots[i] = [*self.roots[i], root]
            self.defects[i] = {word for word in self.defects[i] if not self._chance(0.6)}
            self.ground.write(i, "work_done", when + timedelta(seconds=2), {"task": "root_pruned"})
        if self._chance(0.1):
            return
        seen = sight.roots(rng, who, self.roots[i])
        self.gap[i], _ = sight.largest_gap(seen)
        defects = sight.defects(rng, who, self.defects[i], DEFECTS)
        if self.gap[i] > 190:
            defects.append("one_sided")
        body: Record = {"roots": seen} | ({"defects": defects} if defects else {})
        self.ground.write(i, "root_survey", when + timedelta(seconds=4), body)

    def _survey_branches(self, i: int, when: datetime) -> None:
        truth, rng = self.truth, self.rng
        primaries = int(max(0, round(truth.primaries[i] + rng.normal(0, 0.4))))
        secondaries = int(max(0, round(truth.secondaries[i] + rng.normal(0, 1.5))))
        order = order_of(primaries, secondaries)
        body: Record = {"primaries": primaries, "secondaries": secondaries, "order": order}
        if self._chance(0.8):
            body["internode_mm"] = round(float(max(2.0, truth.internode[i] + rng.normal(0, 0.8))), 1)
        self.ground.write(i, "branch_survey", when, body)

    def decide(self, i: int, day: date, when: datetime) -> None:
        """Once a walk: let a poor one go, sell a good one, advance what seems ready."""
        truth, phase = self.truth, int(self.truth.phase[i])
        if phase <= 1 and truth.vigour[i] < 0.66 and day.month in (3, 10) and self._chance(0.12):
            self.ground.leave(i, "culled", "weak", when)
        elif phase == 1 and self.gap.get(i, 0) > 200 and day.month == 3 and self._chance(0.15):
            self.ground.leave(i, "culled", "roots on one side", when)
        elif phase >= 3 and self._chance(0.0016):
            self.ground.leave(i, "sold", "", when)
        elif phase >= 1 and self._chance(0.0002):
            self.ground.leave(i, "given", "to a friend of the nursery", when)
        elif day.month in SPRING and (day - self.since[i]).days > 150 and self._chance(self._urge(i)):
            self._advance(i, day, when)

    def _urge(self, i: int) -> float:
        """How likely the grower is to advance this tree on a spring walk."""
        truth, phase = self.truth, int(self.truth.phase[i])
        if phase == 0:
            return 0.5 if truth.firm[i] else 0.08
        if phase == 1:
            return 0.16 if self.gap.get(i, 360) < 115 else 0.012
        if phase == 2:
            thick = truth.mm[i] > 0.97 * self.plants[i].height_mm / 6
            return 0.08 if thick and self.shaped[i] else 0.003
        if phase == 3:
            full = truth.primaries[i] >= 5 and truth.secondaries[i] >= 10
            return 0.14 if full and truth.internode[i] < 0.042 * self.plants[i].height_mm else 0.0
        return 0.0

    def _advance(self, i: int, day: date, when: datetime) -> None:
        if self.truth.phase[i] == 2 and self._chance(0.8):
            cut: Record = {"task": "leader_cut", "detail": "cut paste on"}
            self.ground.write(i, "work_done", when, cut)
        self.truth.phase[i] += 1
        self.since[i] = day
        self.ground.write(i, "phase_change", when + timedelta(seconds=1), {"to": PHASES[self.truth.phase[i]]})
        if self.truth.phase[i] == 1:
            self.ground.set_target(i, when + timedelta(seconds=3))
        self.ground.place(i, when + timedelta(seconds=5))
