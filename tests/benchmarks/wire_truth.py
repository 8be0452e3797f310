"""A simulated nursery whose wires bite and sink in by a truth that the forecast does not see.

Time is in growth-years of ``season``. One wire is put on each tree each winter. A wire's durations are
Weibull about a median that depends on the tree's true growth, its caliper, the wire and the part; the
nursery measures growth only from the end of the first season on, and with error.
"""

from dataclasses import dataclass

import numpy as np

from nursery.science.season import growth_years

#: Median growth-years to biting and from there to sunk in (a black pine by the shipped prior).
BITE, SINK = 7.0 / 7.9, 3.5 / 7.9
#: Spread of the logarithm of true growth between trees, and of the error of its measurement.
GROWTH, GROWTH_ERROR = 0.35, 0.12
YEARS = 4
FIRST = 20089  # 2025-01-01


@dataclass(frozen=True)
class Truth:
    """What differs from the prior: growth times ``growth``, slack in two kinds, misjudged looks."""

    growth: float = 1.0
    slacks: tuple[float, ...] = (1.0,)
    misjudged: float = 0.03
    uneven: float = 0.0


TRUTHS = {
    "base": Truth(),
    "fast": Truth(growth=2.0),
    "slack": Truth(slacks=(0.5, 1.5)),
    "misjudged": Truth(misjudged=0.2),
    "uneven": Truth(uneven=0.2),
}


@dataclass(frozen=True)
class Wires:
    """All wires of all seasons, (n,) each; days since 1970-01-01, durations in growth-years."""

    tree: np.ndarray
    year: np.ndarray
    on: np.ndarray
    start: np.ndarray
    bite: np.ndarray
    sink: np.ndarray
    snug: np.ndarray
    marking: np.ndarray
    growth_seen: np.ndarray
    caliper: np.ndarray
    wire: np.ndarray
    trunk: np.ndarray

    def state(self, rows: np.ndarray, u: np.ndarray) -> np.ndarray:
        """True states 0..4 at u growth-years after wiring."""
        bite = self.bite[rows]
        bounds = [self.snug[rows] * bite, self.marking[rows] * bite, bite, bite + self.sink[rows]]
        return sum((u >= bound).astype(int) for bound in bounds)


def grow(truth: Truth, rng: np.random.Generator, trees: int) -> Wires:
    """A nursery of so many trees, wired for ``YEARS`` winters."""
    n = trees * YEARS
    tree, year = np.tile(np.arange(trees), YEARS), np.repeat(np.arange(YEARS), trees)
    growth = truth.growth * np.exp(GROWTH * rng.standard_normal(trees))
    seen = growth * np.exp(GROWTH_ERROR * rng.standard_normal(trees))
    weather = np.exp(truth.uneven * rng.standard_normal(YEARS))
    caliper = rng.uniform(8, 20, trees)[tree] + 3.0 * year
    wire = np.round(caliper / 3.0 * np.exp(0.15 * rng.standard_normal(n)) * 2) / 2
    trunk = rng.integers(0, 2, n).astype(float)
    pace = -0.9 * np.log(growth[tree] * weather[year])
    ratio = np.log(wire / caliper * 3.0)
    shift = pace + 0.1 * np.log(caliper / 20.0) - 0.2 * ratio + 0.1 * (trunk - 0.5)
    slack = rng.choice(np.array(truth.slacks), n)
    on = FIRST + 365 * year - 61 + rng.integers(0, 150, n)  # November to March
    return Wires(
        tree,
        year,
        on,
        growth_years(on),
        BITE * slack * np.exp(shift) * _about_one(rng, 4.0, n),
        SINK * np.exp(shift) * _about_one(rng, 3.0, n),
        0.4 * np.exp(0.15 * rng.standard_normal(n)),
        np.minimum(0.7 * np.exp(0.1 * rng.standard_normal(n)), 0.98),
        seen[tree],
        caliper,
        wire,
        trunk,
    )


def _about_one(rng: np.random.Generator, shape: float, n: int) -> np.ndarray:
    """Weibull with median 1."""
    return (rng.weibull(shape, n) ** shape / np.log(2.0)) ** (1.0 / shape)


def judge(state: np.ndarray, misjudged: float, rng: np.random.Generator) -> np.ndarray:
    """What a grower calls a state: now and then the one next to it."""
    step = rng.choice(np.array([-1, 1]), state.size)
    step = np.where(state == 0, 1, np.where(state == 4, -1, step))
    return np.where(rng.random(state.size) < misjudged, state + step, state)
