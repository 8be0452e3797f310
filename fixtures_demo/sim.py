"""Runs the invented nursery week by week, and keeps what was written down."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np

from . import plan, sight
from .ground import Ground
from .pen import Pen, Record
from .tending import Tending
from .truth import Truth, season

#: The bench that nobody got round to of late [index], and for how long [days].
NEGLECTED, NEGLECTED_DAYS = 6, 52


@dataclass
class Story:
    """All that was written down, by tree, so that each tree's records can be taken in together."""

    common: list[Record]
    by_tree: list[list[Record]]
    odd: list[Record] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.common) + len(self.odd) + sum(len(own) for own in self.by_tree)


def tell(seed: int, trees: int, benches: int, years: int, today: date) -> Story:
    """The whole story of a nursery, up to yesterday.

    Parameters
    ----------
    seed, trees, benches, years : which nursery, how many trees now on how many benches, how long recorded.
    today : the last day; with it the records are fixed.
    """
    return live(seed, trees, benches, years, today)[0]


def live(seed: int, trees: int, benches: int, years: int, today: date) -> tuple[Story, Tending]:
    """The story, and the people with the truth that they err about: to check what the app makes of it."""
    rng = np.random.default_rng([seed, trees, benches, years])
    pen = Pen(rng)
    start = today - timedelta(days=round(365.25 * years))
    # About one in four is lost on the way.
    tagged = round(trees * 1.38)
    ground, bench_ids, size = plan.ground(pen, start, tagged, benches)
    sown, lots = plan.sowings(pen, rng, start, today, years)
    plants = plan.seedlings(pen, rng, lots, start, today, tagged)
    truth = _truth(rng, plants)
    story = Story(ground + sown, [[] for _ in plants])
    standing = Ground(pen, rng, truth, plants, bench_ids, size, story.by_tree)
    tending = Tending(standing, story.common)
    _live(tending, rng, start, today, len(bench_ids))
    story.odd = _odd(pen, tending, today)
    return story, tending


def _truth(rng: np.random.Generator, plants: list[plan.Seedling]) -> Truth:
    species = [p.lot.species for p in plants]
    truth = Truth.draw(
        rng,
        np.array([p.lot.luck for p in plants]),
        np.array([s.growth_mm for s in species]),
        np.array([s.bite_months for s in species]),
        np.array([s.bud_gain for s in species]),
        np.array([s.bud_loss for s in species]),
        np.array([s.bud_prior for s in species]),
    )
    truth.phase[:] = [p.phase for p in plants]
    # Trees that came in grown have the years before the records behind them.
    age = np.array([p.age for p in plants])
    truth.mm += truth.growth * np.minimum(age * 0.8, 9) * rng.normal(0.9, 0.1, len(plants)).clip(0.6)
    truth.firm |= age >= 1
    worked = truth.phase >= 3
    truth.primaries[worked] = rng.uniform(2, 7, int(worked.sum()))
    truth.secondaries[worked] = rng.uniform(2, 18, int(worked.sum()))
    truth.internode[worked] *= rng.uniform(0.45, 0.9, int(worked.sum()))
    return truth


def _live(tending: Tending, rng: np.random.Generator, start: date, today: date, benches: int) -> None:
    last = today - timedelta(days=1)
    due = [start + timedelta(days=14 + 2 * n) for n in range(benches)]
    day = start
    while day <= last:
        tending.let_in(day, last)
        tending.truth.pass_week(day, tending.here, rng)
        for bench in range(benches):
            if due[bench] > day:
                continue
            if bench == NEGLECTED and (last - day).days < NEGLECTED_DAYS:
                continue
            on = min(day + timedelta(days=int(rng.integers(0, 7))), last)
            who = sight.OBSERVERS[int(rng.choice(len(sight.OBSERVERS), p=sight.WALKS))]
            tending.walk(bench, on, who)
            gap = rng.integers(13, 26) if season(day) > 0.3 else rng.integers(20, 42)
            due[bench] = day + timedelta(days=int(gap))
        day += timedelta(days=7)
    _last_round(tending, rng, last, benches)


def _last_round(tending: Tending, rng: np.random.Generator, last: date, benches: int) -> None:
    """This week's round, soil looked at tree by tree: two benches of three were reached."""
    for bench in range(benches):
        day = last - timedelta(days=int(rng.integers(0, 5)))
        if bench != NEGLECTED and bench % 3 != 2:
            tending.walk(bench, day, sight.OBSERVERS[0], soil="each")


def _odd(pen: Pen, tending: Tending, today: date) -> list[Record]:
    """A few records that can't be applied, each for another reason, as real phones make them."""
    when: datetime = plan.at(today - timedelta(days=2), 16)
    here = [tending.plants[int(n)].id for n in np.flatnonzero(tending.here)[:4]]
    if not here:
        return []
    nobody = pen.new_id(when)
    minute = timedelta(minutes=1)
    return [
        pen.write("caliper", when, {"mm": 2140.0}, tree=here[0]),
        pen.write("soil_check", when + minute, {"state": "soggy"}, tree=here[-1]),
        pen.write("bud_check", when + 2 * minute, {"state": "few"}, tree=nobody),
        pen.write(
            "tree_move", when + 3 * minute, {"bench": pen.new_id(when), "row": 1, "place": 2}, tree=here[0]
        ),
        pen.write("moss_check", when + 4 * minute, {"cover": "half"}, tree=here[-1]),
    ]
