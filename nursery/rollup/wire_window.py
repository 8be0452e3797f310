"""When the wires of one tree likely bite and sink in: the coming window, for the tree's page."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import numpy as np

from nursery.science import wire
from nursery.science.ragged import Floats, Ints
from nursery.science.season import day_at, growing_months
from nursery.science.wire_forecast import Forecast
from nursery.sentences import Sentence

from . import wired
from .load import Sheet, day_of, load
from .wire_days import _known, _looks
from .wire_fit import bite_times, current

#: How far ahead the window is looked for [day], and the steps in which: a day is exact enough.
AHEAD, _STEPS = 3 * 365, 12
#: Early, middle and late.
SHARES = (0.1, 0.5, 0.9)

Asked = Callable[[Ints], Floats]
When = tuple[date | None, date | None, date | None]


@dataclass(frozen=True)
class WireWindow:
    """One wire that is on.

    ``bites``, ``sinks``: the days by which it bites, and is sunk in, with 10%, 50% and 90%; None where that
    is not within three years, today where it is so already. Both None throughout for a wire whose putting on
    was never recorded (``wiring`` None). ``bitten``: P(biting or worse today). ``sight``: it was seen to
    bite or worse, and there is nothing to wait for.
    """

    wiring: UUID | None
    look_by: date
    why: Sentence
    bites: When
    sinks: When
    bitten: float | None
    sight: bool = False


def wire_windows(tree: UUID, today: date) -> list[WireWindow]:
    """All wires that are on a tree, the first to look at first. Ten queries, one more where any is on."""
    sheet = load([tree], today)
    found = wired.wires(sheet, current())
    known = np.flatnonzero(found.row >= 0)
    span = _spans(sheet, found, known) if known.size else {}
    nothing: tuple[When, When, float | None] = ((None,) * 3, (None,) * 3, None)
    out = []
    for at in np.lexsort((found.row, found.by)).tolist():
        bites, sinks, bitten = span.get(at, nothing)
        row = int(found.row[at])
        wiring = UUID(str(sheet.wirings.id[row])) if row >= 0 else None
        why, sight = wired.reason(sheet, found, at), bool(found.why[at] == wire.BY_SIGHT)
        out.append(WireWindow(wiring, day_of(found.by[at]), why, bites, sinks, bitten, sight))
    return out


def _spans(sheet: Sheet, found: wired.Wires, known: Ints) -> dict[int, tuple[When, When, float | None]]:
    tree, on, row = found.tree[known], found.on[known], found.row[known]
    looks, _ = _looks(sheet, row, on, tree)
    x, growth_known = _known(sheet, tree, on, row)
    shift = [found.learned.own.get(sheet.trees[at].id.hex, 0.0) for at in tree.tolist()]
    forecast = Forecast(found.learned.model, looks, x, growth_known, shift)
    bite = sheet.species("bite_months")[tree]

    south = sheet.south[tree]
    start = growing_months(on, south=south)

    def sunk(day: Ints) -> Floats:
        return forecast.p_sunk(bite_times(on, day, bite, south))

    now = forecast.p_bitten(bite_times(on, np.full(known.size, sheet.now, dtype=np.intp), bite, south))
    bites = np.array([day_at(start + u * bite, south=south) for u in _quantiles(forecast)])
    bites = np.where(bites > sheet.now + AHEAD, -1, np.maximum(bites, sheet.now))
    sinks = np.array([_first(sunk, share, sheet.now, known.size) for share in SHARES])
    return {
        at: (_days(bites[:, k]), _days(sinks[:, k]), float(now[k])) for k, at in enumerate(known.tolist())
    }


def _quantiles(forecast: Forecast) -> list[Floats]:
    """Times from wiring to biting, by ``SHARES``, each (n,) [bite times]; read off between the cells."""
    middles = np.cumsum(forecast.weight, axis=1) - forecast.weight / 2.0
    rows = range(forecast.weight.shape[0])
    return [
        np.array([np.interp(share, middles[at], forecast.bites[at]) for at in rows], dtype=np.float64)
        for share in SHARES
    ]


def _first(p: Asked, share: float, now: int, n: int) -> Ints:
    """The first day from now on on which p is at least a share, (n,); -1 where there is none."""
    low, high = np.full(n, now, dtype=np.intp), np.full(n, now + AHEAD, dtype=np.intp)
    never, already = p(high) < share, p(low) >= share
    for _ in range(_STEPS):
        middle = (low + high) // 2
        there = p(middle) >= share
        low, high = np.where(there, low, middle), np.where(there, middle, high)
    return np.where(never, -1, np.where(already, now, high)).astype(np.intp)


def _days(found: Ints) -> When:
    early, middle, late = (day_of(int(day)) if day >= 0 else None for day in found)
    return early, middle, late
