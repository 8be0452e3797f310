"""The last safe day to look at each wire that is on, from what the nursery's own wires taught."""

import numpy as np

from nursery.science import wire
from nursery.science.practice import Practice
from nursery.science.ragged import Bools, Floats, Ints
from nursery.science.season import day_at, growing_months
from nursery.science.wire_forecast import Forecast
from nursery.science.wire_looks import FALL, Looks
from nursery.science.wire_spending import kept_risk

from .load import Sheet
from .trunk import base_rows
from .wire_figures import covariates, own_growth, thickness_at
from .wire_fit import Learned, bite_times

#: Beside the reasons of ``wire``: the last look contradicts the one before it.
BY_CONTRADICTION = 3


def look_by(
    sheet: Sheet, learned: Learned, tree: Ints, on: Ints, seen: Ints, state: Ints, row: Ints
) -> wire.LookBy:
    """For all k wires that are on; arguments as in ``wired.Wires``.

    A wire known only from a look has no start to reckon from: the prior of ``wire`` answers for it.
    """
    practice = sheet.practice
    day, why = np.zeros(row.size, dtype=np.int64), np.zeros(row.size, dtype=np.int64)
    stray, known = np.flatnonzero(row < 0), np.flatnonzero(row >= 0)
    if stray.size:
        prior = wire.look_by(
            on[stray],
            seen[stray],
            state[stray],
            sheet.species("bite_months")[tree[stray]],
            risk=practice.wire_risk / wire.LOOKS,
            south=sheet.south[tree[stray]],
            cap_days=practice.wire_cap_days,
            cap_marking_days=practice.wire_cap_marking_days,
        )
        day[stray], why[stray] = prior.day, prior.why
    if known.size:
        looks, fell = _looks(sheet, row[known], on[known], tree[known])
        cap = seen[known] + _cap_days(practice, learned, state[known])
        safe = _safe_day(sheet, learned, looks, tree[known], on[known], seen[known], cap, row[known])
        sight = state[known] >= wire.BITING
        day[known] = np.where(sight | fell, seen[known], safe)
        by_model = np.where(safe < cap, wire.BY_RISK, wire.BY_CAP)
        why[known] = np.where(sight, wire.BY_SIGHT, np.where(fell, BY_CONTRADICTION, by_model))
    return wire.LookBy(day, why)


def _cap_days(practice: Practice, learned: Learned, state: Ints) -> Ints:
    if learned.trusted:
        return np.full(state.size, practice.wire_cap_learned_days, dtype=np.intp)
    marking = state == wire.MARKING
    return np.where(marking, practice.wire_cap_marking_days, practice.wire_cap_days).astype(np.intp)


def _looks(sheet: Sheet, row: Ints, on: Ints, tree: Ints) -> tuple[Looks, Bools]:
    """The looks at these wires, and whether the last of each saw it far slacker than the one before."""
    place = {sheet.wirings.id[at]: wire_at for wire_at, at in enumerate(row.tolist())}
    texts, states = sheet.wire_looks["wiring_text"], sheet.wire_looks["state"]
    rows = [(at, place[id]) for at, id in enumerate(texts) if id in place]
    at, owner = np.array(rows, dtype=np.intp).reshape(-1, 2).T
    state = np.array([wire.STATES.index(states[look]) for look in at.tolist()], dtype=np.intp)
    bite = sheet.species("bite_months")[tree]
    u = bite_times(on[owner], sheet.wire_looks.day[at], bite[owner], sheet.south[tree[owner]])
    last, before = np.full(row.size, -1, dtype=np.intp), np.full(row.size, -1, dtype=np.intp)
    for wire_at, now in zip(owner, state, strict=True):  # in time order
        before[wire_at], last[wire_at] = last[wire_at], now
    fell = (last >= 0) & (before - last >= FALL)
    return Looks.of(owner, u, state, row.size), fell


def _safe_day(
    sheet: Sheet,
    learned: Learned,
    looks: Looks,
    tree: Ints,
    on: Ints,
    seen: Ints,
    cap: Ints,
    row: Ints,
) -> Ints:
    """The last day up to the cap on which P(sunk in) is within the risk, (k,)."""
    x, growth_known = _known(sheet, tree, on, row)
    shift = [learned.own.get(sheet.trees[at].id.hex, 0.0) for at in tree.tolist()]
    forecast = Forecast(learned.model, looks, x, growth_known, shift)
    bite = sheet.species("bite_months")[tree]
    south = sheet.south[tree]
    low, high = bite_times(on, seen, bite, south), bite_times(on, cap, bite, south)
    risk = np.full(on.size, kept_risk(learned.model, sheet.practice.wire_risk))
    within = forecast.p_sunk(high) <= risk
    safe = forecast.safe_until(low, high, risk)
    # Asking for another look on the day of a look would only wear the grower out.
    day = np.clip(day_at(growing_months(on, south=south) + safe * bite, south=south), seen + 1, cap)
    return np.where(within, cap, day).astype(np.intp)


def _known(sheet: Sheet, tree: Ints, on: Ints, row: Ints) -> tuple[Floats, Bools]:
    """Covariates of these wires, and whether their trees' own growth was measured."""
    base = np.flatnonzero(base_rows(sheet.calipers))
    owner, day = sheet.calipers.tree[base], sheet.calipers.day[base]
    mm = np.array([sheet.calipers["mm"][at] for at in base.tolist()], dtype=np.float64)
    own = own_growth(
        owner,
        day,
        mm,
        growth_mm=sheet.species("growth_mm"),
        growth_sd_mm=sheet.species("growth_sd_mm"),
        now=sheet.now,
        south=sheet.south,
    )
    thick = thickness_at(owner, day, mm, tree, on)
    wire_mm = [sheet.wirings["wire_mm"][at] for at in row.tolist()]
    part = [sheet.wirings["part"][at] for at in row.tolist()]
    return covariates(own[tree], thick, wire_mm, part), ~np.isnan(own[tree])
