"""What people do on their walks: look, write down, work, decide."""

from datetime import date, datetime, timedelta

import numpy as np

from . import sight
from .chores import Chores
from .pen import Pen, Record
from .plan import HOME, Seedling, at
from .truth import PHASES, Truth, dryness, season

NOTES = (
    "Leader snapped in the wind, new one tied up.",
    "Moss right up to the trunk, scraped back.",
    "Scale on two shoots, wiped off.",
    "Fine bark coming.",
    "Slug damage at the base.",
    "Turned the pot, it leaned to the light.",
    "Needles a little yellow: look at the feed.",
    "Good movement low down, keep.",
    "Roots out of the drain hole.",
    "Reverse taper starting at the second node.",
)


class Tending:
    """The people of the nursery; all arrays have shape (trees,)."""

    def __init__(
        self,
        pen: Pen,
        rng: np.random.Generator,
        truth: Truth,
        plants: list[Seedling],
        benches: list[str],
        size: tuple[int, int],
        common: list[Record],
        by_tree: list[list[Record]],
    ) -> None:
        n = len(plants)
        self.pen, self.rng, self.truth, self.plants = pen, rng, truth, plants
        self.benches, self.common, self.by_tree = benches, common, by_tree
        self.here = np.zeros(n, dtype=np.bool_)
        self._on_bench: list[list[int]] = [[] for _ in benches]
        self._free = [[(r, p) for r in range(size[0], 0, -1) for p in range(size[1], 0, -1)] for _ in benches]
        self._where: dict[int, tuple[int, tuple[int, int]]] = {}
        self._next = 0
        self._by_entry = sorted(range(n), key=lambda i: plants[i].enters)
        self._looked: dict[tuple[int, str], date] = {}
        self.chores = Chores(self)
        self._run: str | None = None

    def write(self, i: int, kind: str, when: datetime, body: Record) -> Record:
        record = self.pen.write(kind, when, body, tree=self.plants[i].id, run=self._run)
        self.by_tree[i].append(record)
        return record

    def let_in(self, day: date, last: date) -> None:
        """Tag the seedlings of this week and give each its place and target."""
        while self._next < len(self._by_entry):
            i = self._by_entry[self._next]
            plant = self.plants[i]
            if plant.enters.date() > min(day + timedelta(days=6), last):
                return
            self._next += 1
            body: Record = {"tag": plant.tag, "species": plant.lot.species.slug, "lot": plant.lot.id}
            body |= {"sown_year": plant.lot.sown.year, "phase": PHASES[plant.phase]}
            self.write(i, "tree_new", plant.enters, body)
            self.here[i] = True
            self.chores.since[i] = plant.enters.date() - timedelta(days=200 if plant.age else 0)
            self.place(i, plant.enters + timedelta(seconds=20))
            if plant.phase:
                self.set_target(i, plant.enters + timedelta(seconds=40))

    def set_target(self, i: int, when: datetime) -> None:
        plant = self.plants[i]
        if self.rng.random() < 0.96:
            body: Record = {"height_mm": plant.height_mm, "base_mm": round(plant.height_mm / 6, 1)}
            self.write(i, "target_set", when, body | {"style": plant.style})

    def place(self, i: int, when: datetime) -> None:
        """Move a tree to a bench of its phase where one has room, else to the one with the most room."""
        home = [b for b in HOME[int(self.truth.phase[i])] if b < len(self.benches) and self._free[b]]
        if i in self._where and (not home or self._where[i][0] in home):
            return
        bench = home[0] if home else max(range(len(self.benches)), key=lambda b: len(self._free[b]))
        if not self._free[bench]:
            return
        self.lift(i)
        spot = self._free[bench].pop()
        self._where[i] = (bench, spot)
        self._on_bench[bench].append(i)
        body: Record = {"bench": self.benches[bench], "row": spot[0], "place": spot[1]}
        self.write(i, "tree_move", when, body)

    def lift(self, i: int) -> None:
        if i in self._where:
            bench, spot = self._where.pop(i)
            self._on_bench[bench].remove(i)
            self._free[bench].append(spot)

    def leave(self, i: int, how: str, why: str, when: datetime) -> None:
        self.write(i, "tree_left", when, {"how": how, "why": why})
        self.here[i] = False
        self.lift(i)

    def walk(self, bench: int, day: date, who: sight.Observer, soil: str = "") -> None:
        """One walk along a bench, in its serpentine; ``soil`` is how soil is written down."""
        trees = sorted(self._on_bench[bench], key=lambda i: self._step(i))
        if not trees:
            return
        when = at(day, 7.5 + 9 * self.rng.random())
        self._run = self.pen.new_id(when)
        begun: Record = {"bench": self.benches[bench]}
        self.common.append(self.pen.write("walk_started", when, begun, run=self._run))
        soil = soil or self._soil_habit(day)
        for i in trees:
            when += timedelta(seconds=float(self.rng.uniform(4, 40)))
            if when < self.plants[i].enters:
                continue
            self._visit(i, day, when, who, soil)
        self.common.append(self.pen.write("walk_ended", when + timedelta(seconds=9), {}, run=self._run))
        self._run = None

    def _step(self, i: int) -> tuple[int, int]:
        row, place = self._where[i][1]
        return row, place if row % 2 else -place

    def _soil_habit(self, day: date) -> str:
        """How soil is written down on this walk: for the whole bench, tree by tree, or hardly."""
        chance = self.rng.random()
        if chance < 0.12:
            return "bulk"
        return "each" if chance < 0.16 + 0.24 * min(season(day), 1.0) else "few"

    def _visit(self, i: int, day: date, when: datetime, who: sight.Observer, soil: str) -> None:
        if not self.truth.alive[i]:
            why = str(self.rng.choice(["dried out", "root rot", "frost", "no reason seen", "damped off"]))
            self.leave(i, "died", why, when)
            return
        self.chores.wire(i, day, when, who)
        self._look_at_soil(i, day, when + timedelta(seconds=1), soil)
        self._look_at_buds(i, day, when + timedelta(seconds=2), who)
        self._look_at_pot(i, day, when + timedelta(seconds=2.5))
        self._measure(i, day, when + timedelta(seconds=3), who)
        if self.rng.random() < 0.006:
            self.write(i, "note", when + timedelta(seconds=4), {"text": str(self.rng.choice(NOTES))})
        self.chores.work(i, day, when + timedelta(seconds=5), who)
        self.chores.decide(i, day, when + timedelta(seconds=9))

    def _due(self, i: int, what: str, day: date, days: int) -> bool:
        """Whether a look of this kind is due again after so many days; notes it as done when it is."""
        last = self._looked.get((i, what))
        if last is not None and (day - last).days < days:
            return False
        self._looked[i, what] = day
        return True

    def _look_at_soil(self, i: int, day: date, when: datetime, habit: str) -> None:
        if habit == "few" and self.rng.random() > 0.1:
            return
        if habit == "bulk":
            self.write(i, "soil_check", when, {"state": "moist", "bulk": True})
            return
        chance = self.rng.random()
        dry = dryness(day)
        state = "dry" if chance < dry else "wet" if chance > 0.88 else "moist"
        self.write(i, "soil_check", when, {"state": state})
        if state == "dry" and self.rng.random() < 0.7:
            self.write(i, "work_done", when + timedelta(seconds=0.5), {"task": "watered"})

    def _look_at_buds(self, i: int, day: date, when: datetime, who: sight.Observer) -> None:
        phase = int(self.truth.phase[i])
        if phase not in (2, 3) or self.rng.random() > 0.6 or not self._due(i, "buds", day, 75):
            return
        state = sight.buds(self.rng, who, bool(self.truth.buds[i]), float(self.truth.vigour[i]))
        bulk = self.rng.random() < 0.1 and state == "none"
        self.write(i, "bud_check", when, {"state": state, "bulk": True} if bulk else {"state": state})

    def _look_at_pot(self, i: int, day: date, when: datetime) -> None:
        if self.truth.phase[i] > 1 or self.rng.random() > 0.5 or not self._due(i, "firm", day, 130):
            return
        firm = bool(self.truth.firm[i]) if self.rng.random() < 0.95 else not self.truth.firm[i]
        self.write(i, "firm_check", when, {"firm": bool(firm)})

    def _measure(self, i: int, day: date, when: datetime, who: sight.Observer) -> None:
        phase = int(self.truth.phase[i])
        likely = (0.0, 0.25, 0.6 if day.month in (3, 9, 10, 11) else 0.12, 0.2, 0.1)[phase]
        if self.rng.random() > likely or not self._due(i, "caliper", day, 120):
            return
        mm = float(self.truth.mm[i])
        reading = sight.caliper(self.rng, who, mm)
        if self.rng.random() < 0.004:
            slip = self.write(i, "caliper", when, {"mm": min(round(reading * 10, 1), 999.0)})
            mend: Record = {"replaces": slip["id"], "body": {"mm": reading}}
            self.write(i, "correction", when + timedelta(seconds=1), mend)
        else:
            self.write(i, "caliper", when, {"mm": reading})
        if phase >= 2 and self.rng.random() < 0.6:
            half = self.plants[i].height_mm // 2
            upper = sight.caliper(self.rng, who, mm * float(self.truth.taper[i]))
            self.write(i, "caliper", when + timedelta(seconds=1.5), {"mm": upper, "height_mm": half})
