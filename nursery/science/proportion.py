"""A share that was counted, and the interval that goes with it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri

from .ragged import Floats, floats


class Interval(NamedTuple):
    """Lower and upper end, each (n,), within 0..1."""

    low: Floats
    high: Floats


def wilson(k: ArrayLike, n: ArrayLike, level: float = 0.95) -> Interval:
    """Wilson's score interval of a share, of k counted among n.

    Parameters
    ----------
    k, n : (n,) counts, 0 <= k <= n. With n = 0 the whole of 0..1. level : of the interval.

    Source: Wilson 1927, J. Am. Stat. Assoc. 22:209-212, doi:10.1080/01621459.1927.10502953.
    """
    count, of = floats(k), floats(n)
    z = float(ndtri((1 + level) / 2))
    some = np.maximum(of, 1.0)
    p = count / some
    middle = (p + z**2 / (2 * some)) / (1 + z**2 / some)
    half = z * np.sqrt(p * (1 - p) / some + z**2 / (4 * some**2)) / (1 + z**2 / some)
    none = of <= 0
    low, high = np.clip(middle - half, 0.0, 1.0), np.clip(middle + half, 0.0, 1.0)
    return Interval(np.where(none, 0.0, low), np.where(none, 1.0, high))
