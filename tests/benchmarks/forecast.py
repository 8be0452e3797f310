"""What the growth forecast is worth: do its intervals hold, and is it nearer than two plain rules.

``python -m tests.benchmarks.forecast --seed 1 --json``

On a simulated nursery (``forecast_truth``) a quarter of the trees each have 0, 1, 3 and 8 readings, taken in
the last winters. All trees are forecast one, two and three years on and held against their true diameters.
``coverage80``: share of truths in the 80% interval, by number of readings. The errors are over the trees with
3 and 8 readings, the only ones that have an increment: ours (the median), the tree's last increment again,
and its lot's average (last readings and increments of its lot). ``rmse_lot_increment_mm`` is a harder rule
that nobody asked for: the tree's own last reading and its lot's increment. ``all`` has ours against the lot
over every tree. One reading in 250 is written down ten times too large or too small; the plain rules are
spared that, ours is not.
"""

import argparse
import json

import numpy as np

from nursery.science.growth_forecast import forecast
from nursery.science.growth_model import Readings
from nursery.science.odd_readings import learn_warily
from tests.benchmarks.forecast_truth import AHEAD, COUNTS, START, TOLD, YEARS, Nursery, grow


def exposures(nursery: Nursery, tree: np.ndarray, column: np.ndarray) -> np.ndarray:
    """Growth-years in each regime from sowing to a column: (m, 3)."""
    out = np.zeros((tree.size, 3))
    for at in range(1, nursery.d.shape[1]):
        alive = (START + at - 1 >= nursery.sown[tree]) & (at <= column)
        out[np.flatnonzero(alive), nursery.regime[tree, at][alive]] += 1.0
    return out


def taken(nursery: Nursery) -> tuple[np.ndarray, np.ndarray]:
    """Tree and column of every reading that was taken, in order of time."""
    columns = [YEARS - np.arange(count)[::-1] for count in nursery.count]
    return np.repeat(np.arange(nursery.count.size), nursery.count), np.concatenate(columns).astype(int)


def lot_average(nursery: Nursery) -> tuple[np.ndarray, np.ndarray]:
    """Of each tree's lot: mean of the last readings and of the last increments."""
    lots = nursery.lot.max() + 1
    base, step = np.zeros(lots), np.zeros(lots)
    has2 = nursery.count >= 2
    for lot in range(lots):
        mine = nursery.lot == lot
        base[lot] = nursery.clean[mine & (nursery.count > 0), YEARS].mean()
        last = nursery.clean[mine & has2]
        step[lot] = (last[:, YEARS] - last[:, YEARS - 1]).mean()
    return base[nursery.lot], step[nursery.lot]


def rmse(errors: list[np.ndarray]) -> float:
    return round(float(np.sqrt(np.mean(np.concatenate(errors) ** 2))), 3)


def run(seed: int, lots: int = 30, size: int = 50, weather: float = 0.06) -> dict[str, object]:
    nursery = grow(np.random.default_rng([seed, 7]), lots, size, weather)
    n = nursery.count.size
    tree, column = taken(nursery)
    spent, seen = exposures(nursery, tree, column), nursery.read[tree, column]
    model, odd = learn_warily(Readings.of(tree, spent, seen, lot=nursery.lot, species=nursery.species), TOLD)
    readings = Readings.of(tree, spent, seen, lot=nursery.lot, species=nursery.species, odd=odd.wide)
    every = np.arange(n)
    asked = np.stack([exposures(nursery, every, np.full(n, YEARS + ahead)) for ahead in AHEAD], axis=1)
    given = forecast(model, readings, asked)
    low, middle, high = (given.quantile(q) for q in (0.1, 0.5, 0.9))
    true = nursery.d[:, [YEARS + ahead for ahead in AHEAD]]
    held = (true >= low) & (true <= high)
    last, before = nursery.clean[:, YEARS], nursery.clean[:, YEARS - 1]
    base, step = lot_average(nursery)
    several, ahead = nursery.count >= 2, np.array(AHEAD)
    rules = {
        "rmse_mm": middle,
        "rmse_last_increment_mm": last[:, None] + (last - before)[:, None] * ahead,
        "rmse_lot_mm": base[:, None] + step[:, None] * ahead,
        "rmse_lot_increment_mm": last[:, None] + step[:, None] * ahead,
    }
    found: dict[str, object] = {
        "seed": seed,
        "trees": n,
        "readings": int(tree.size),
        "odd": int((odd.kind > 0).sum()),
        "converged": model.converged,
        "coverage80": {str(k): round(float(held[nursery.count == k].mean()), 4) for k in COUNTS},
    }
    found |= {name: rmse([(rule - true)[several]]) for name, rule in rules.items()}
    found["all"] = {name: rmse([rules[name] - true]) for name in ("rmse_mm", "rmse_lot_mm")}
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--lots", type=int, default=30)
    parser.add_argument("--size", type=int, default=50, help="trees in a lot")
    parser.add_argument("--weather", type=float, default=0.06, help="spread of years that all trees share")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    found = run(options.seed, options.lots, options.size, options.weather)
    if options.json:
        print(json.dumps(found))
        return
    for name, told in found.items():
        print(f"{name:24} {told}")


if __name__ == "__main__":
    main()
