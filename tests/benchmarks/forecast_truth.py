"""A simulated nursery that thickens by a truth that the forecast does not see.

Trunks grow by ring area, not by a power of time: a tree's leaf area follows its trunk area (with an exponent
below 1) until crowding slows it towards a ceiling of its own; years are good or bad for all trees of the
nursery and for each tree alone, with a memory; a pot grows tight and a repotting frees it. Pots, open growing
and holding back work on each tree differently. The season is a cosine of the day, not the monthly weights.
Calipers err by a heavy-tailed share, are read to a tenth, and are now and then written down ten times too
large or too small.
"""

from dataclasses import dataclass

import numpy as np

START = 2003
YEARS = 22
#: Readings are asked for after so many years; the truth is simulated that far past the last reading.
AHEAD = (1, 2, 3)
COUNTS = (0, 1, 3, 8)
#: Free thickening of three species [mm/year] as the app is told, and as it is here.
TOLD = (5.0, 2.5, 8.0)
TRUE = (5.6, 2.1, 7.0)


@dataclass(frozen=True)
class Nursery:
    """n trees.

    Attributes
    ----------
    lot, species, sown : (n,); sown is a year. d : (n, YEARS + 4) true diameter on 1 January [mm]; column 0 is
        that of START. regime : (n, YEARS + 4) that of the year before that column: 0 small, 1 free, 2 held.
    count : (n,) readings taken of it. read : (n, YEARS + 1) a reading on each 1 January [mm].
    clean : the same before slips of the decimal point.
    """

    lot: np.ndarray
    species: np.ndarray
    sown: np.ndarray
    d: np.ndarray
    regime: np.ndarray
    count: np.ndarray
    read: np.ndarray
    clean: np.ndarray


def grow(rng: np.random.Generator, lots: int = 30, size: int = 50, weather: float = 0.06) -> Nursery:
    """A nursery of lots, from seedlings of five years to trees of twenty.

    weather : spread of the logarithm of what a year does to all trees beyond its degree-days.
    """
    n = lots * size
    lot = np.repeat(np.arange(lots), size)
    species = rng.integers(0, 3, lots)[lot]
    sown = (START + rng.integers(1, YEARS - 9, lots))[lot]
    pace = np.exp(0.12 * rng.standard_normal(lots))[lot] * np.exp(0.2 * rng.standard_normal(n))
    ceiling = rng.uniform(18, 30, n) * np.array(TRUE)[species]
    potted = sown + rng.integers(2, 4, n)
    cut = sown + np.where(rng.random(n) < 0.3, rng.integers(8, 14, n), 99)
    shares = np.clip(
        np.array([0.45, 1.0, 0.3]) * np.exp([0.2, 0.0, 0.25] * rng.standard_normal((n, 3))), 0, 1.2
    )
    year_luck = np.exp(weather * rng.standard_normal(YEARS + 4))
    luck, tight = np.zeros(n), np.zeros(n)
    d, regime = np.zeros((n, YEARS + 4)), np.zeros((n, YEARS + 4), dtype=int)
    now = rng.normal(1.6, 0.25, n).clip(0.8)
    for column in range(1, YEARS + 4):
        year = START + column - 1
        kind = np.where(year < potted, 0, np.where(year < cut, 1, 2))
        tight = np.where(rng.random(n) < 0.3, 0.0, np.minimum(tight + 0.06, 0.3))
        luck = 0.4 * luck + 0.2 * rng.standard_normal(n)
        ring = np.array(TRUE)[species] * pace * shares[np.arange(n), kind] * year_luck[column] * np.exp(luck)
        ring = ring * (1 - tight) * (1 - (now / ceiling) ** 2).clip(0.05) * (now / 12).clip(0.5, 1.15) ** 0.35
        now = np.where(year >= sown, now + ring, now)
        d[:, column] = np.where(year >= sown, now, 0.0)
        regime[:, column] = kind
    count = np.array(COUNTS)[rng.integers(0, len(COUNTS), n)]
    return Nursery(lot, species, sown, d, regime, count, *_read(rng, d[:, : YEARS + 1]))


def _read(rng: np.random.Generator, d: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    error = np.hypot(0.25, 0.02 * d) * rng.standard_t(5, d.shape)
    slip = rng.choice(np.array([1.0, 10.0, 0.1]), d.shape, p=[0.996, 0.002, 0.002])
    clean = np.maximum(d + error, 0.3)
    return np.round(clean * slip, 1).clip(0.1), np.round(clean, 1).clip(0.1)
