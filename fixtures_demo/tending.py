"""What people do on their walks: look, write down, work, decide."""

from datetime import date, datetime, timedelta

from . import sight
from .chores import Chores
from .ground import Ground
from .pen import Record
from .plan import at
from .truth import PHASES, dryness, season

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
    """The people of the nursery, on their walks."""

    def __init__(self, ground: Ground, common: list[Record]) -> None:
        self.ground, self.common = ground, common
        self.rng, self.truth, self.plants, self.here = ground.rng, ground.truth, ground.plants, ground.here
        self.chores = Chores(ground)
        self._next = 0
        self._by_entry = sorted(range(len(self.plants)), key=lambda i: self.plants[i].enters)

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
            self.ground.write(i, "tree_new", plant.enters, body)
            self.here[i] = True
            self.chores.since[i] = plant.enters.date() - timedelta(days=200 if plant.age else 0)
            self.ground.place(i, plant.enters + timedelta(seconds=20))
            if plant.phase:
                self.ground.set_target(i, plant.enters + timedelta(seconds=40))

    def walk(self, bench: int, day: date, who: sight.Observer, soil: str = "") -> None:
        """One walk along a bench, in its serpentine; ``soil`` is how soil is written down."""
        ground = self.ground
        trees = ground.in_walking_order(bench)
        if not trees:
            return
        when = at(day, 7.5 + 9 * self.rng.random())
        ground.run = ground.pen.new_id(when)
        begun: Record = {"bench": ground.benches[bench]}
        self.common.append(ground.pen.write("walk_started", when, begun, run=ground.run))
        soil = soil or self._soil_habit(day)
        for i in trees:
            when += timedelta(seconds=float(self.rng.uniform(4, 40)))
            if when < self.plants[i].enters:
                continue
            self._visit(i, day, when, who, soil)
        self.common.append(ground.pen.write("walk_ended", when + timedelta(seconds=9), {}, run=ground.run))
        ground.run = None

    def _soil_habit(self, day: date) -> str:
        """How soil is written down on this walk: for the whole bench, tree by tree, or hardly."""
        chance = self.rng.random()
        if chance < 0.12:
            return "bulk"
        return "each" if chance < 0.16 + 0.24 * min(season(day), 1.0) else "few"

    def _visit(self, i: int, day: date, when: datetime, who: sight.Observer, soil: str) -> None:
        if not self.truth.alive[i]:
            why = str(self.rng.choice(["dried out", "root rot", "frost", "no reason seen", "damped off"]))
            self.ground.leave(i, "died", why, when)
            return
        self.chores.wire(i, day, when, who)
        self._look_at_soil(i, day, when + timedelta(seconds=1), soil)
        self._look_at_buds(i, day, when + timedelta(seconds=2), who)
        self._look_at_pot(i, day, when + timedelta(seconds=2.5))
        self._measure(i, day, when + timedelta(seconds=3), who)
        if self.rng.random() < 0.006:
            self.ground.write(i, "note", when + timedelta(seconds=4), {"text": str(self.rng.choice(NOTES))})
        self.chores.work(i, day, when + timedelta(seconds=5), who)
        self.chores.decide(i, day, when + timedelta(seconds=9))

    def _look_at_soil(self, i: int, day: date, when: datetime, habit: str) -> None:
        if habit == "few" and self.rng.random() > 0.1:
            return
        if habit == "bulk":
            self.ground.write(i, "soil_check", when, {"state": "moist", "bulk": True})
            return
        chance = self.rng.random()
        dry = dryness(day)
        state = "dry" if chance < dry else "wet" if chance > 0.88 else "moist"
        self.ground.write(i, "soil_check", when, {"state": state})
        if state == "dry" and self.rng.random() < 0.7:
            self.ground.write(i, "work_done", when + timedelta(seconds=0.5), {"task": "watered"})

    def _look_at_buds(self, i: int, day: date, when: datetime, who: sight.Observer) -> None:
        phase = int(self.truth.phase[i])
        if phase not in (2, 3) or self.rng.random() > 0.6 or not self.ground.due(i, "buds", day, 75):
            return
        state = sight.buds(self.rng, who, bool(self.truth.buds[i]), float(self.truth.vigour[i]))
        bulk = self.rng.random() < 0.1 and state == "none"
        self.ground.write(i, "bud_check", when, {"state": state, "bulk": True} if bulk else {"state": state})

    def _look_at_pot(self, i: int, day: date, when: datetime) -> None:
        if self.truth.phase[i] > 1 or self.rng.random() > 0.5 or not self.ground.due(i, "firm", day, 130):
            return
        firm = bool(self.truth.firm[i]) if self.rng.random() < 0.95 else not self.truth.firm[i]
        self.ground.write(i, "firm_check", when, {"firm": bool(firm)})

    def _measure(self, i: int, day: date, when: datetime, who: sight.Observer) -> None:
        phase = int(self.truth.phase[i])
        likely = (0.0, 0.25, 0.6 if day.month in (3, 9, 10, 11) else 0.12, 0.2, 0.1)[phase]
        if self.rng.random() > likely or not self.ground.due(i, "caliper", day, 120):
            return
        mm = float(self.truth.mm[i])
        reading = sight.caliper(self.rng, who, mm)
        if self.rng.random() < 0.004:
            slip = self.ground.write(i, "caliper", when, {"mm": min(round(reading * 10, 1), 999.0)})
            mend: Record = {"replaces": slip["id"], "body": {"mm": reading}}
            self.ground.write(i, "correction", when + timedelta(seconds=1), mend)
        else:
            self.ground.write(i, "caliper", when, {"mm": reading})
        if phase >= 2 and self.rng.random() < 0.6:
            half = self.plants[i].height_mm // 2
            upper = sight.caliper(self.rng, who, mm * float(self.truth.taper[i]))
            self.ground.write(i, "caliper", when + timedelta(seconds=1.5), {"mm": upper, "height_mm": half})
