"""Growing time: a winter week is nearly nothing, a late-summer week is a lot.

Until there is weather, a plain year of twelve weights stands in, or one made of twelve monthly means of
temperature. Days are counted from 1970-01-01; growing time in growing months [gm] (one full month at weight
1) or growth-years [gy] (growing time over that of a mean year) from a fixed start: only differences mean
anything.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ragged import Bools, Floats, Ints, floats

#: Thickening of a month against an early-summer one, January first, northern hemisphere. Common practice, no
#: source: temperate trees thicken most from midsummer to mid autumn.
WEIGHTS = np.array([0.05, 0.1, 0.4, 0.8, 1.0, 1.0, 1.0, 1.2, 1.2, 0.8, 0.3, 0.05])
#: Growing months in a year.
YEAR = float(WEIGHTS.sum())
#: From this weight on a month belongs to the growing season.
GROWING = 0.8
#: Below this weight a month is one of rest: next to nothing grows, and a pot hardly dries. Common practice,
#: no source: November to February in the north.
RESTING = 0.35
#: Temperature below which nothing thickens [degC], and the least weight of a month, so that time never stands
#: still. Common practice for temperate trees, no source.
BASE_C = 5.0
LEAST_WEIGHT = 0.01

Days = NDArray[np.int64]


#: Weights of the months in the north and, half a year later, in the south, and their sums so far.
_BOTH: Floats = np.stack([WEIGHTS, np.roll(WEIGHTS, 6)])
_BEFORE: Floats = np.concatenate([np.zeros((2, 1)), np.cumsum(_BOTH, axis=1)], axis=1)


def _half(south: ArrayLike) -> Ints:
    return np.asarray(south, dtype=bool).astype(np.intp)


def growing_months(day: ArrayLike, *, south: ArrayLike = False) -> Floats:
    """Growing time up to the start of a day [gm], same shape as ``day`` [days since 1970-01-01].

    ``south`` here and below: seasons of the southern hemisphere; one for all, or of the shape of the times.
    """
    half = _half(south)
    whole = np.floor(floats(day)).astype(np.int64)
    month = whole.astype("datetime64[D]").astype("datetime64[M]")
    first = month.astype("datetime64[D]").astype(np.int64)
    length = (month + np.timedelta64(1, "M")).astype("datetime64[D]").astype(np.int64) - first
    year, at = np.divmod(month.astype(np.int64), 12)
    return np.asarray(year * YEAR + _BEFORE[half, at] + _BOTH[half, at] * (floats(day) - first) / length)


def day_at(months: ArrayLike, *, south: ArrayLike = False) -> Days:
    """The day during which a growing time [gm] is reached; the inverse of ``growing_months``."""
    half = _half(south)
    # A hair is added so that rounding does not put the start of a day into the day before.
    year, rest = np.divmod(floats(months) + 1e-9, YEAR)
    north_at, south_at = (np.searchsorted(before, rest, side="right") - 1 for before in _BEFORE)
    at = np.clip(np.where(half, south_at, north_at), 0, 11)
    month = (year.astype(np.int64) * 12 + at).astype("datetime64[M]")
    first = month.astype("datetime64[D]").astype(np.int64)
    length = (month + np.timedelta64(1, "M")).astype("datetime64[D]").astype(np.int64) - first
    into = np.floor((rest - _BEFORE[half, at]) / _BOTH[half, at] * length).astype(np.int64)
    return np.asarray(first + np.minimum(into, length - 1), dtype=np.int64)


def growth_years(day: ArrayLike, *, south: ArrayLike = False) -> Floats:
    """Growing time up to the start of a day [gy], same shape as ``day`` [days since 1970-01-01]."""
    return growing_months(day, south=south) / YEAR


def day_of_growth_years(years: ArrayLike, *, south: ArrayLike = False) -> Days:
    """The day during which a growing time [gy] is reached; the inverse of ``growth_years``."""
    return day_at(floats(years) * YEAR, south=south)


def weights_of(monthly_means: ArrayLike, *, base: float = BASE_C) -> Floats:
    """Weights of twelve months from their mean temperatures, the warmest being 1.

    Parameters
    ----------
    monthly_means : (12,) January first [degC]. base : temperature below which nothing thickens [degC].

    Returns
    -------
    (12,) degree-days of each month per day over those of the warmest. Degree-days of a mean are too few in
    months about the base temperature; those months weigh little either way.
    """
    above = np.maximum(floats(monthly_means) - base, 0.0)
    top = above.max()
    return np.maximum(above / top if top > 0 else np.ones(12), LEAST_WEIGHT)


def growing(day: ArrayLike, *, south: ArrayLike = False) -> Bools:
    """Whether a day lies in the growing season, same shape as ``day`` [days since 1970-01-01]."""
    return np.asarray(_weight(day, south) >= GROWING)


def resting(day: ArrayLike, *, south: ArrayLike = False) -> Bools:
    """Whether a day lies in the months of rest, same shape as ``day`` [days since 1970-01-01]."""
    return np.asarray(_weight(day, south) < RESTING)


def _weight(day: ArrayLike, south: ArrayLike) -> Floats:
    month = np.floor(floats(day)).astype(np.int64).astype("datetime64[D]").astype("datetime64[M]")
    return np.asarray(_BOTH[_half(south), month.astype(np.int64) % 12])
