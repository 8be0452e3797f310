"""From the risk of a wire over its whole life to the risk that one look may leave.

A wire is looked at several times before it comes off, and may sink in before each. By Wald's identity the
chance that it ever does is the sum, over the looks it has, of what each was left: looks that leave r each
come to about r times their mean number. How many looks, and how much less a walk on an earlier day leaves,
follows from the model by playing it: wires drawn from what the nursery believes, looked at on the last
weekly walk before their safe day, until one is called biting. What each of the wires so played had at stake
when it was looked at is summed by the model itself, so few wires tell it closely. Source: Wald 1944, Annals
of Mathematical Statistics 15(3):283-296 (the identity).

====  ==============================================================================
r     P(sunk in before a look | all seen) that its safe day leaves [1]
R     P(sunk in before it comes off) of a wire, over its life [1]
====  ==============================================================================
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .ragged import Bools, Floats, Ints, floats, ints
from .season import day_at, growing_months
from .wire_forecast import ENOUGH, Forecast
from .wire_looks import BITING, Judging, Looks, confusion
from .wire_model import SPENT_AT, WireModel

#: Wires played, walks on one day of so many, and looks after which one is given up: it will not bite.
PLAYED = 80
WALK_DAYS = 7
_MOST_LOOKS = 20
#: Trust in a model that has seen nothing bite, and how many wires must bite for all of it. No source.
FIRST_DAY = 0.5
TRUSTED = 500
_TINY = 1e-9


@dataclass(frozen=True)
class Worn:
    """n wires to play: day of wiring [days since 1970-01-01], bite time of the species [growing month],
    covariates (n, p), whether the tree's growth was measured, v of the tree, southern seasons."""

    on: Ints
    bite_months: Floats
    x: Floats
    growth_known: Bools
    shift: Floats
    south: Bools

    @staticmethod
    def of(
        on: ArrayLike,
        bite_months: ArrayLike,
        x: ArrayLike,
        growth_known: ArrayLike,
        shift: ArrayLike = 0.0,
        south: ArrayLike = False,
    ) -> "Worn":
        """Anything but ``x`` broadcasts to (n,)."""
        design = floats(x)
        n = (design.shape[0],)
        return Worn(
            np.broadcast_to(ints(on), n),
            np.broadcast_to(floats(bite_months), n),
            design,
            np.broadcast_to(np.asarray(growth_known, dtype=bool), n),
            np.broadcast_to(floats(shift), n),
            np.broadcast_to(np.asarray(south, dtype=bool), n),
        )

    def take(self, rows: Ints) -> "Worn":
        return Worn(
            self.on[rows],
            self.bite_months[rows],
            self.x[rows],
            self.growth_known[rows],
            self.shift[rows],
            self.south[rows],
        )


def spent(model: WireModel, worn: Worn, cap_days: tuple[int, int], *, seed: int = 1) -> Floats:
    """R for each r of ``SPENT_AT``, (k,), by playing up to ``PLAYED`` of the wires.

    Parameters
    ----------
    model : what the nursery learned. worn : wires like those to come.
    cap_days : a wire is looked at within so many days whatever the model says, before and once ``ENOUGH``
        wires bit. seed : of the draws, the same for every r.
    """
    rows = np.linspace(0, worn.on.size - 1, min(PLAYED, worn.on.size)).astype(np.intp)
    some, cap = worn.take(rows), cap_days[0] if model.bitten < ENOUGH else cap_days[1]
    return floats([float(_play(model, some, r, cap, seed).mean()) for r in SPENT_AT])


def _play(model: WireModel, worn: Worn, r: float, cap: int, seed: int) -> Floats:
    """What each wire had at stake over its life, (n,)."""
    rng, n = np.random.default_rng(seed), worn.on.size
    lasts = _Life.draw(model, worn, rng)
    stake, when, rows = np.zeros(n), worn.on.copy(), np.arange(n)
    looks = Looks.of([], [], [], n)
    weekday = rng.integers(0, WALK_DAYS, n)
    for _ in range(_MOST_LOOKS):
        if not rows.size:
            break
        these = worn.take(rows)
        forecast = Forecast(model, looks.of_wires(rows), these.x, these.growth_known, these.shift)
        u = _bite_times(these, when[rows])
        safe = forecast.safe_until(u, _bite_times(these, when[rows] + cap), np.full(rows.size, r))
        start = growing_months(these.on, south=these.south)
        due = day_at(start + safe * these.bite_months, south=these.south)
        walk = due - (due - weekday[rows]) % WALK_DAYS
        when[rows] = np.maximum(walk, when[rows] + 1 + (weekday[rows] - when[rows] - 1) % WALK_DAYS)
        u = _bite_times(these, when[rows])
        stake[rows] += forecast.p_sunk(u)
        state = lasts.seen(rows, u, rng)
        looks = looks.and_more(rows, u, state)
        rows = rows[state < BITING]
    return stake


def _bite_times(worn: Worn, day: Ints) -> Floats:
    gone = growing_months(day, south=worn.south) - growing_months(worn.on, south=worn.south)
    return np.asarray(np.maximum(gone, 0.0) / worn.bite_months)


@dataclass(frozen=True)
class _Life:
    """When wires turn snug, mark and bite, (n,) each [bite times], and how they are judged."""

    bounds: Floats
    judging: Judging

    @staticmethod
    def draw(model: WireModel, worn: Worn, rng: np.random.Generator) -> "_Life":
        n, judging = worn.on.size, model.judging
        fresh = Forecast(model, Looks.of([], [], [], n), worn.x, worn.growth_known, worn.shift)
        # One wire from each n-th part of the distribution: fewer wires tell as much.
        bite = fresh.bite_quantile((rng.permutation(n) + rng.random(n)) / n)
        share = np.exp(judging.spread * rng.standard_normal((2, n)))
        marks = np.minimum(judging.marking * share[1], 1.0) * bite
        return _Life(np.stack([np.minimum(judging.snug * share[0] * bite, marks), marks, bite]), judging)

    def seen(self, rows: Ints, u: Floats, rng: np.random.Generator) -> Ints:
        """What looks call them: loose, snug, marking or biting (or worse)."""
        true = (u >= self.bounds[:, rows]).sum(axis=0)
        odds = np.cumsum(confusion(np.array(self.judging.misjudged)), axis=0)[:-1, true]
        return ints((rng.random(rows.size) > odds).sum(axis=0))


def kept_risk(model: WireModel, risk: float) -> float:
    """r to reckon with, so that R keeps the risk asked for over a wire's life; never above that.

    A new model may be wrong in ways that no prior holds, so trust is earned: a part of the risk on the first
    day, the whole once ``TRUSTED`` wires were seen to bite. A model can stay wrong; its record tells. With
    more of the bitten wires sunk in than the risk allows it falls in proportion: (R bitten + 1) / (sunk + 1).

    Parameters
    ----------
    risk : R, in (0, 1).
    """
    earned = min(1.0, FIRST_DAY + (1.0 - FIRST_DAY) * model.bitten / TRUSTED)
    record = min(1.0, (risk * model.bitten + 1.0) / (model.sunk + 1.0))
    kept = risk * earned * record
    whole = np.maximum.accumulate(np.maximum(model.spent, SPENT_AT))  # a life is never less than one look
    part = float(np.interp(np.log(kept + _TINY), np.log(whole), np.log(SPENT_AT / whole)))
    return kept * float(np.exp(part))
