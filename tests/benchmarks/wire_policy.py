"""What the wire forecast is worth: looks per wire and share sunk in, against habits of looking.

``python -m tests.benchmarks.wire_policy --seed 1 --json [--truth NAME]``

A wire comes off when a look calls it biting or sunk in; it counts as sunk in when it truly was by then.
Habits look on their days. The forecast looks on the last weekly walk before its day, learns every few weeks
from the looks that it made itself, and knows trees' growth from the end of the first season on. ``day1`` are
the wires of the first winter, of which nothing was known; ``learned`` those of the fourth, after three
seasons. Habits are reckoned over the same four winters. Nothing was tuned on seeds below 100: figures told
anywhere are of seeds 1 to 5.
"""

import argparse
import json
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from nursery.science.season import YEAR, growth_years
from nursery.science.wire_forecast import ENOUGH, Forecast
from nursery.science.wire_looks import BITING, SUNK_IN, Looks
from nursery.science.wire_model import WireModel, design, from_practice, learn
from nursery.science.wire_spending import Worn, kept_risk, spent
from tests.benchmarks.wire_truth import BITE, FIRST, TRUTHS, YEARS, Wires, grow, judge

WALK_DAYS = 7
REFIT_DAYS = 28
END = FIRST + 365 * (YEARS + 2)
CAP_DAYS, CAP_LEARNED_DAYS = 120, 240


@dataclass
class Tally:
    """How each wire fared."""

    looks: np.ndarray
    off: np.ndarray
    sunk: np.ndarray

    @staticmethod
    def of(n: int) -> "Tally":
        return Tally(np.zeros(n, dtype=int), np.zeros(n, dtype=bool), np.zeros(n, dtype=bool))

    def told(self, rows: np.ndarray) -> dict[str, float]:
        return {
            "looks": round(float(self.looks[rows].mean()), 3),
            "sunk": round(float(self.sunk[rows].mean()), 5),
        }


@dataclass
class Book:
    """Looks as they are written down."""

    owner: list[np.ndarray] = field(default_factory=list)
    u: list[np.ndarray] = field(default_factory=list)
    state: list[np.ndarray] = field(default_factory=list)

    def looks(self, rows: np.ndarray, n: int) -> Looks:
        """Those at some wires, numbered in the order of ``rows``."""
        place = np.full(n, -1)
        place[rows] = np.arange(rows.size)
        if not self.owner:
            return Looks.of([], [], [], rows.size)
        owner = place[np.concatenate(self.owner)]
        kept = owner >= 0
        return Looks.of(
            owner[kept], np.concatenate(self.u)[kept], np.concatenate(self.state)[kept], rows.size
        )


def look(
    wires: Wires, rows: np.ndarray, day: int, misjudged: float, rng: np.random.Generator, tally: Tally
) -> tuple[np.ndarray, np.ndarray]:
    """Look at some wires; returns u [bite times] and what was seen."""
    u = growth_years(day) - wires.start[rows]
    true = wires.state(rows, u)
    seen = judge(true, misjudged, rng)
    tally.looks[rows] += 1
    gone = rows[seen >= BITING]
    tally.off[gone] = True
    tally.sunk[gone] = true[seen >= BITING] == SUNK_IN
    # What is written down of a wire taken off is whether it had sunk in: the scars show.
    return u / BITE, np.where(seen >= BITING, np.where(true == SUNK_IN, SUNK_IN, BITING), seen)


def habit(wires: Wires, gap: Callable[[int], int], misjudged: float, rng: np.random.Generator) -> Tally:
    """Look again after so many days as the day of the last look asks for."""
    tally = Tally.of(wires.on.size)
    due = wires.on + np.array([int(rng.integers(1, gap(int(day)) + 1)) for day in wires.on])
    for day in range(int(wires.on.min()), END):
        rows = np.flatnonzero((due <= day) & ~tally.off)
        if rows.size:
            look(wires, rows, day, misjudged, rng, tally)
            due[rows] = day + gap(day)
    return tally


def seasonal(day: int) -> int:
    """14 days from late summer to mid autumn, 28 in spring and early summer, 90 in winter."""
    date = np.datetime64(day, "D")
    into = (date - date.astype("datetime64[Y]")).astype(int)
    if 226 <= into < 304:  # 15 August to the end of October
        return 14
    return 28 if 59 <= into < 226 else 90


def forecast(wires: Wires, risk: float, misjudged: float, rng: np.random.Generator) -> Tally:
    """Look when the forecast says, and learn from it."""
    n = wires.on.size
    tally, book, model = Tally.of(n), Book(), from_practice()
    due = np.full(n, END)
    known = np.zeros(n, dtype=bool)
    for day in range(int(wires.on.min()), END, WALK_DAYS):
        if (day - FIRST) % (REFIT_DAYS * (1 if day < FIRST + 365 else 3)) < WALK_DAYS:
            known[:] = day > FIRST + 330
            model = _refit(wires, book, known)
            plan(wires, np.flatnonzero(~tally.off & (wires.on <= day)), due, book, model, risk, known)
        fresh = (wires.on <= day) & (wires.on > day - WALK_DAYS)
        plan(wires, np.flatnonzero(fresh), due, book, model, risk, known)
        rows = np.flatnonzero((due < day + WALK_DAYS) & ~tally.off & (wires.on <= day))
        if rows.size:
            u, seen = look(wires, rows, day, misjudged, rng, tally)
            book.owner.append(rows)
            book.u.append(u)
            book.state.append(seen)
            plan(wires, rows[seen < BITING], due, book, model, risk, known)
    return tally


def _design(wires: Wires, rows: np.ndarray, known: np.ndarray) -> np.ndarray:
    growth = np.where(known[rows], wires.growth_seen[rows], np.nan)
    return design(growth, wires.caliper[rows], wires.wire[rows], wires.trunk[rows])


def _refit(wires: Wires, book: Book, known: np.ndarray) -> WireModel:
    rows = np.unique(np.concatenate(book.owner)) if book.owner else np.zeros(0, dtype=int)
    if not rows.size:
        return from_practice()
    x, tree = _design(wires, rows, known), wires.tree[rows]
    model = learn(book.looks(rows, wires.on.size), x, tree)
    worn = Worn.of(wires.on[rows], BITE * YEAR, x, known[rows], model.own[tree])
    return replace(model, spent=spent(model, worn, (CAP_DAYS, CAP_LEARNED_DAYS)))


def plan(
    wires: Wires,
    rows: np.ndarray,
    due: np.ndarray,
    book: Book,
    model: WireModel,
    risk: float,
    known: np.ndarray,
) -> None:
    """Set the last safe day of some wires."""
    if not rows.size:
        return
    looks = book.looks(rows, wires.on.size)
    own = np.zeros(int(wires.tree.max()) + 1)
    own[: model.own.size] = model.own
    given = Forecast(model, looks, _design(wires, rows, known), known[rows], own[wires.tree[rows]])
    last, last_day = np.full(rows.size, -1), wires.on[rows].astype(float)
    if looks.owner.size:
        last[looks.owner] = looks.state  # in time order: the newest stays
        u = np.zeros(rows.size)
        np.maximum.at(u, looks.owner, looks.u)
        seen_day = np.interp(u * BITE + wires.start[rows], _CLOCK, _DAYS)
        last_day = np.where(last >= 0, np.round(seen_day), last_day)
    cap_day = last_day + (CAP_DAYS if model.bitten < ENOUGH else CAP_LEARNED_DAYS)
    u = np.maximum((growth_years(last_day) - wires.start[rows]) / BITE, 0.0)
    cap = (growth_years(cap_day) - wires.start[rows]) / BITE
    safe = given.safe_until(u, cap, np.full(rows.size, kept_risk(model, risk)))
    due[rows] = np.floor(np.interp(safe * BITE + wires.start[rows], _CLOCK, _DAYS) + 1e-6)


_DAYS = np.arange(FIRST - 400, END + 800, dtype=float)
_CLOCK = growth_years(_DAYS)


def run(seed: int, truth_name: str, trees: int) -> dict[str, Any]:
    truth = TRUTHS[truth_name]
    wires = grow(truth, np.random.default_rng([seed, 1]), trees)
    every = np.arange(wires.on.size)
    policies = {}
    for at, (name, gap) in enumerate(
        {"every14": lambda _: 14, "every28": lambda _: 28, "seasonal": seasonal}.items()
    ):
        rng = np.random.default_rng([seed, 2 + at])
        policies[name] = habit(wires, gap, truth.misjudged, rng).told(every)
    for at, (name, risk) in enumerate({"ours_02pct": 0.002, "ours_1pct": 0.01}.items()):
        tally = forecast(wires, risk, truth.misjudged, np.random.default_rng([seed, 10 + at]))
        policies[f"{name}_day1"] = tally.told(wires.year == 0)
        policies[f"{name}_learned"] = tally.told(wires.year == YEARS - 1)
    return {"truth": truth_name, "seed": seed, "wires": int(wires.on.size), "policies": policies}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--truth", choices=sorted(TRUTHS), default="base")
    parser.add_argument("--trees", type=int, default=400)
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    found = run(options.seed, options.truth, options.trees)
    if options.json:
        print(json.dumps(found))
        return
    for name, told in found["policies"].items():
        print(f"{name:20} {told['looks']:6.2f} looks a wire, {100 * told['sunk']:.2f}% sunk in")


if __name__ == "__main__":
    main()
