"""The hidden truth: how each tree really grows, buds, dries, dies, and how far its wire has gone.

Struct of arrays, one place a tree. Observers never read it without error; the app never sees it. The rates
are inventions of the right order of size (common practice, no source): they make a nursery, not a finding.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Wholes = npt.NDArray[np.int64]

PHASES = ("seedling", "roots", "trunk", "branches", "refinement")
#: Thickening by phase, as a share of the free growth of the species.
REGIME = np.array([0.45, 0.7, 1.0, 0.3, 0.12])
#: Chance of dying within a year, by phase.
RISK = np.array([0.07, 0.025, 0.009, 0.005, 0.003])
#: Share of the way to biting at which each state begins: loose, snug, marking, biting, sunk in.
STATES = ("loose", "snug", "marking", "biting", "sunk_in")
STATE_FROM = np.array([0.0, 0.35, 0.7, 1.0, 1.4])


def season(day: date) -> float:
    """Growth per week against the year's mean, north of the equator: near nothing in winter."""
    turn = 2 * np.pi * (day.timetuple().tm_yday - 205) / 365.25
    return float(max(0.02, 1.0 + 1.25 * np.cos(turn)) / 1.06)


def dryness(day: date) -> float:
    """Chance that an open pot is dry on a walk, midsummer highest."""
    turn = 2 * np.pi * (day.timetuple().tm_yday - 205) / 365.25
    return float(0.11 + 0.10 * np.cos(turn))


@dataclass
class Truth:
    """What is so. All arrays have shape (n,)."""

    vigour: Floats
    growth: Floats  # [mm/year], free growth
    bite_years: Floats  # growth-years from wiring to biting
    bud_gain: Floats  # [1/year]
    bud_loss: Floats  # [1/year]
    phase: Wholes
    mm: Floats  # [mm], just above the roots
    taper: Floats  # diameter at half height over diameter at the base
    buds: Flags
    alive: Flags
    wire: Floats  # share of the way to biting; nan where no wire is on
    firm: Flags
    primaries: Floats
    secondaries: Floats
    internode: Floats  # [mm]

    @classmethod
    def draw(
        cls,
        rng: np.random.Generator,
        lot_luck: Floats,
        growth: Floats,
        bite_months: Floats,
        gain: Floats,
        loss: Floats,
        prior: Floats,
    ) -> "Truth":
        """Trees at their potting-on, from the luck of their lots and their own."""
        n = len(lot_luck)
        vigour = lot_luck * rng.lognormal(0.0, 0.22, n)
        return cls(
            vigour=vigour,
            growth=growth * vigour,
            bite_years=bite_months / 12 * rng.lognormal(0.15, 0.3, n) / vigour**0.5,
            bud_gain=gain * rng.lognormal(0, 0.2, n),
            bud_loss=loss * rng.lognormal(0, 0.3, n),
            phase=np.zeros(n, dtype=np.int64),
            mm=rng.normal(1.8, 0.3, n).clip(0.9),
            taper=rng.normal(0.66, 0.09, n).clip(0.35, 0.95),
            buds=rng.random(n) < prior,
            alive=np.ones(n, dtype=np.bool_),
            wire=np.full(n, np.nan),
            firm=rng.random(n) < 0.75,
            primaries=np.zeros(n),
            secondaries=np.zeros(n),
            internode=rng.normal(16, 3.5, n).clip(5),
        )

    def pass_week(self, day: date, here: Flags, rng: np.random.Generator) -> None:
        """One week for the trees that are ``here``; in place."""
        n = len(self.mm)
        years = 7 / 365.25 * season(day)
        live = here & self.alive
        grown = years * live
        self.mm += self.growth * REGIME[self.phase] * grown * rng.lognormal(0, 0.25, n)
        self.wire += (grown / self.bite_years) * rng.lognormal(0, 0.3, n)
        flip = rng.random(n)
        lost = self.buds & (flip < self.bud_loss * 7 / 365.25)
        won = ~self.buds & (flip < self.bud_gain * grown)
        self.buds = (self.buds & ~lost) | won
        self.firm |= live & (rng.random(n) < 0.9 * years)
        branching = live & (self.phase >= 3)
        self.primaries = np.minimum(self.primaries + 2.2 * years * branching * self.vigour, 9)
        self.secondaries = np.minimum(self.secondaries + 4.0 * years * branching * self.vigour, 40)
        self.internode = np.where(branching, self.internode * (1 - 0.24 * years), self.internode)
        risk = RISK[self.phase] / self.vigour * 7 / 365.25
        self.alive &= ~(here & (rng.random(n) < risk))

    def wire_state(self, i: int) -> int:
        """Where the wire of tree ``i`` is in STATES."""
        return int(np.searchsorted(STATE_FROM, self.wire[i], side="right")) - 1


def order_of(primaries: float, secondaries: float) -> int:
    """Order of branching (Strahler) of a tree with so many branches."""
    return 1 if primaries < 2 else 2 if secondaries < 4 else 3 if secondaries < 16 else 4


def draw_roots(rng: np.random.Generator, luck: float, age: int) -> list[dict[str, object]]:
    """Surface roots: older trees with luck have them all round, the unlucky on one side."""
    count = int(rng.integers(3, 6) + min(age, 5) * luck)
    width = float(np.clip(rng.beta(3.5 + 9 * luck, 1.0), 0.3, 1.0)) * 360
    start = rng.uniform(0, 360)
    even = np.arange(count) * width / count
    degrees = (start + even + rng.normal(0, 8, count)) % 360
    level = rng.random(count) < 0.84 + 0.15 * min(luck, 1.0)
    grades = rng.choice([1, 2, 3, 4, 5], count, p=[0.1, 0.25, 0.35, 0.2, 0.1])
    return [
        {"deg": round(float(d), 1) % 360, "grade": int(g), "level": bool(flat)}
        for d, g, flat in zip(degrees, grades, level, strict=True)
    ]
