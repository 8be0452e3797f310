"""Wilson's interval against scipy, and against Newcombe's 1998 examples as scipy has them."""

import pytest
from scipy.stats import binomtest

from nursery.science.proportion import wilson


@pytest.mark.parametrize(
    ("k", "n", "low", "high"),
    [
        (81, 263, 0.255289, 0.366210),
        (40, 50, 0.669629, 0.887562),
        (0, 20, 0.0, 0.161125),
        (18, 20, 0.698966, 0.972134),
    ],
)
def test_known_values(k: int, n: int, low: float, high: float) -> None:
    """Computed with scipy.stats.binomtest(k, n).proportion_ci(method="wilson"); 81/263 is Newcombe's."""
    found = wilson([k], [n])
    assert (found.low[0], found.high[0]) == pytest.approx((low, high), abs=1e-6)
    live = binomtest(k, n).proportion_ci(0.9, "wilson")
    assert wilson(k, n, 0.9) == pytest.approx((live.low, live.high), abs=1e-12)


def test_nothing_counted_says_nothing() -> None:
    assert wilson(0, 0) == (0.0, 1.0)
