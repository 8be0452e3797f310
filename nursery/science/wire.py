"""Wire of which nobody recorded when it was put on: the last safe day to look, on a prior from practice.

Wire with a recorded start is reckoned by ``wire_model`` and ``wire_forecast``; the caps here hold for both.

====  ==============================================================================
B     growing time from wiring to biting [gm, growing months of ``season``]
D     growing time from biting to sunk in [gm]
m     median of B, from the species [gm]
u     growing time from wiring to the last look [gm]
====  ==============================================================================

B ~ lognormal(ln m, ``BITE_SPREAD``), D ~ lognormal(ln(m ``SINK_SHARE``), ``SINK_SPREAD``), independent. Both
are only ever seen between two looks, so a look says that B lies in an interval. The numbers are common
practice, no source, wide enough to hold what a nursery does not know about its own trees yet.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, ndtri

from .ragged import Floats, floats
from .season import Days, day_at, growing_months

#: States in order, from slack to harm; a wiring never looked at is -1.
STATES = ("loose", "snug", "marking", "biting", "sunk_in")
UNSEEN, LOOSE, SNUG, MARKING, BITING, SUNK_IN = -1, 0, 1, 2, 3, 4
BITE_SPREAD = 0.5
SINK_SHARE = 0.5
SINK_SPREAD = 0.5
#: A wire marks from this share of B on: a marking wire at u says B <= u / share.
MARKS_FROM = 0.7
#: Accepted P(sunk in) of a wire over its life, from wiring until it comes off; ``wire_spending`` parts it
#: among the looks.
RISK = 0.01
#: Looks that a wire of unknown age may still have, among which its risk is parted. No source.
LOOKS = 4
#: Whatever the sum says, look again within so many days of the last look (or the wiring); sooner once it
#: marks.
CAP_DAYS = 120
CAP_MARKING_DAYS = 21
#: The same once the model has seen enough wires bite: it knows when a marking wire bites, and that winter is
#: long.
CAP_LEARNED_DAYS = 240
_NODES = 48
_STEPS = 16

#: Why a day was set.
BY_RISK, BY_CAP, BY_SIGHT = 0, 1, 2


@dataclass(frozen=True)
class LookBy:
    """``day`` (n,) is the last safe day [days since 1970-01-01]; ``why`` (n,) BY_RISK, BY_CAP or BY_SIGHT."""

    day: Days
    why: NDArray[np.int64]


def _bite_times(m: Floats, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Nodes of B given low < B <= high, (n, nodes), closest where early, and their weights (nodes,)."""
    with np.errstate(divide="ignore"):
        upper = ndtr(-np.log(low / m) / BITE_SPREAD)[:, None]
        lower = ndtr(-np.log(high / m) / BITE_SPREAD)[:, None]
    t = (np.arange(_NODES) + 0.5) / _NODES
    survival = np.maximum(upper - (upper - lower) * t**2, 1e-300)
    times = m[:, None] * np.exp(-BITE_SPREAD * ndtri(survival))
    return np.clip(times, low[:, None], high[:, None]), 2 * t / _NODES


def _sunk_within(m: Floats, elapsed: Floats) -> Floats:
    """P(D <= elapsed), for m that broadcasts; 0 where elapsed <= 0."""
    with np.errstate(divide="ignore", invalid="ignore"):
        z = np.log(np.maximum(elapsed, 0.0) / (m * SINK_SHARE)) / SINK_SPREAD
    return ndtr(z)


class _Given:
    """What was seen of each wire, put so that P(sunk in by a time) is quick to ask for many times."""

    def __init__(self, m: Floats, not_biting: Floats, biting: Floats, seen: Floats) -> None:
        self.column = m[:, None]
        self.times, self.weights = _bite_times(m, not_biting, biting)
        self.already = _sunk_within(self.column, seen[:, None] - self.times)
        self.alive = np.maximum((1.0 - self.already) @ self.weights, 1e-300)

    def p_sunk(self, at: Floats) -> Floats:
        by_then = _sunk_within(self.column, at[:, None] - self.times)
        return np.asarray(np.clip(((by_then - self.already) @ self.weights) / self.alive, 0.0, 1.0))

    def safe_until(self, low: Floats, high: Floats, risk: float) -> Floats:
        """The last time between two at which P(sunk in) is not above the risk, by bisection."""
        for _ in range(_STEPS):
            middle = (low + high) / 2
            late = self.p_sunk(middle) > risk
            low, high = np.where(late, low, middle), np.where(late, middle, high)
        return low


def p_sunk(
    at: ArrayLike, *, bite: ArrayLike, not_biting: ArrayLike, biting: ArrayLike, seen: ArrayLike
) -> Floats:
    """P(sunk in by a time | what was seen), all (n,) and [gm] since wiring.

    Parameters
    ----------
    at : the time asked for, >= seen.
    bite : m, > 0.
    not_biting : B is later than this (0 where unknown).
    biting : B is at most this (infinity where unknown).
    seen : last time at which it was seen not sunk in.
    """
    return _Given(floats(bite), floats(not_biting), floats(biting), floats(seen)).p_sunk(floats(at))


def look_by(
    on: ArrayLike,
    seen: ArrayLike,
    state: ArrayLike,
    bite_months: ArrayLike,
    *,
    risk: float = RISK / LOOKS,
    cap_days: int = CAP_DAYS,
    cap_marking_days: int = CAP_MARKING_DAYS,
    south: ArrayLike = False,
) -> LookBy:
    """The last safe day to look at each wire, for all wires in one call.

    Parameters
    ----------
    on : (n,) day of wiring [days since 1970-01-01].
    seen : (n,) day of the last look; that of wiring where there was none.
    state : (n,) what the last look saw, in ``STATES``, or -1.
    bite_months : (n,) m [gm], > 0.
    risk : accepted P(sunk in before we look), of one look.
    cap_days, cap_marking_days : look again within so many days; within so many once it marks.
    south : see ``season``.

    Returns
    -------
    LookBy. A wire seen biting or sunk in is due on the day on which it was seen so.
    """
    on_day, seen_day = floats(on), np.maximum(floats(seen), floats(on))
    what, m = np.asarray(state, dtype=np.int64), floats(bite_months)
    start = growing_months(on_day, south=south)
    u = growing_months(seen_day, south=south) - start
    latest = np.where(what == MARKING, np.maximum(u / MARKS_FROM, u + 0.25), np.inf)
    cap_day = seen_day + np.where(what == MARKING, cap_marking_days, cap_days)
    cap = growing_months(cap_day, south=south) - start

    given = _Given(m, u, latest, u)
    binds = given.p_sunk(cap) > risk
    safe = given.safe_until(u, cap, risk)
    by_risk = np.maximum(day_at(start + safe, south=south), seen_day.astype(np.int64))
    sight = what >= BITING
    day = np.where(sight, seen_day, np.where(binds, np.minimum(by_risk, cap_day), cap_day))
    why = np.where(sight, BY_SIGHT, np.where(binds, BY_RISK, BY_CAP))
    return LookBy(day.astype(np.int64), why.astype(np.int64))
