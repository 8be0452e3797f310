"""The branches gate, its thickness side: diameter at target, taper."""

from dataclasses import dataclass

import numpy as np

from nursery.science import growth
from nursery.science.growth_forecast import HIGH, LOW, MIDDLE
from nursery.science.odd_readings import Oddity
from nursery.science.ragged import Bools, Floats, Ints
from nursery.thickness import BASE_MM as BASE_MM
from nursery.thickness import CHECK, current, trunks

from .load import Looks, Sheet
from .words import Evidence, Judged, evidence, mm, on

#: Width of an 80% interval of a normal distribution, in standard deviations.
WIDTH_80 = 2.5631


def base_rows(calipers: Looks) -> Bools:
    """(m,) which measurements are of the base."""
    return np.array([height is None or height <= BASE_MM for height in calipers["height_mm"]], dtype=bool)


def _floats(sheet: Sheet, name: str, rows: Ints) -> Floats:
    values = sheet.calipers[name]
    return np.array([values[int(row)] for row in rows], dtype=np.float64)


def last_base(calipers: Looks, n: int) -> Ints:
    """(n,) each tree's newest measurement of the base, -1 where there is none."""
    out = np.full(n, -1, dtype=np.intp)
    rows = np.flatnonzero(base_rows(calipers))
    out[calipers.tree[rows]] = rows
    return out


def judge(sheet: Sheet) -> dict[str, Judged]:
    """Both criteria, for trees at the gate that asks for them."""
    about, odd = _asked(sheet)
    return {"at_target": _at_target(sheet, about, odd), "taper": _taper(sheet, about)}


def _at_target(sheet: Sheet, about: "_About", odd: dict[int, int]) -> Judged:
    """Diameter just above the roots against the target, with growth since the last measurement."""
    last = last_base(sheet.calipers, sheet.n)
    looked = (last >= 0) & ~np.isnan(sheet.target_base)
    # What nobody measured is neither a pass nor a zero, however old the tree.
    p = np.where(last >= 0, about.p, np.clip(about.p, 0.05, 0.8))
    p = np.where(np.isnan(p), sheet.practice.unseen_at_target, p)

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        history = _base_history(sheet, tree)
        proof = [_caliper(sheet, row) for row in history]
        if np.isnan(sheet.target_base[tree]):
            return "No target set: say how thick the trunk shall be.", proof
        target = f"target {mm(sheet.target_base[tree])}"
        low, middle, high = about.size[tree]
        size = f"about {middle:.0f} mm (80% sure: {low:.0f} to {high:.0f})"
        if last[tree] < 0:
            return f"Never measured; by its age and its kin {size}, {target}.", []
        seen = mm(sheet.calipers["mm"][last[tree]])
        day = on(int(sheet.calipers.day[last[tree]]), sheet.today)
        doubt = _doubt(sheet, [row for row in history if odd[row]], odd)
        return f"{seen} on {day}, {size} now; {target}.{doubt}", proof

    return Judged(p, looked, tell)


@dataclass(frozen=True)
class _About:
    """(n,) P(target reached) and (n, 3) low, middle and high diameter now [mm]; NaN where not asked."""

    p: Floats
    size: Floats


def _asked(sheet: Sheet) -> tuple[_About, dict[int, int]]:
    """Today's diameters of the trees at the gate that asks for them, and what is odd about their readings."""
    at = np.flatnonzero(sheet.at_gate("branches"))
    place = np.full(sheet.n, -1, dtype=np.intp)
    place[at] = np.arange(at.size)
    rows = np.flatnonzero(base_rows(sheet.calipers))
    rows = rows[place[sheet.calipers.tree[rows]] >= 0]
    about = _About(np.full(sheet.n, np.nan), np.full((sheet.n, 3), np.nan))
    if not at.size:
        return about, {}
    tree, day = place[sheet.calipers.tree[rows]], sheet.calipers.day[rows]
    found = trunks(
        [sheet.trees[row] for row in at], tree, day, _floats(sheet, "mm", rows), sheet.now, current()
    )
    now = found.on(np.array([sheet.now]))
    about.p[at] = now.p_reached(sheet.target_base[at])[:, 0]
    about.size[at] = np.column_stack([now.quantile(q)[:, 0] for q in (LOW, MIDDLE, HIGH)])
    return about, dict(zip(rows.tolist(), found.odd.kind.tolist(), strict=True))


def _doubt(sheet: Sheet, rows: list[int], odd: dict[int, int]) -> str:
    """What to check about odd readings among those shown; "" where there is none."""
    if not rows:
        return ""
    row = rows[0]
    day = on(int(sheet.calipers.day[row]), sheet.today)
    return f" {mm(sheet.calipers['mm'][row])} on {day} {CHECK[Oddity(odd[row])]}; it counts for little."


def _base_history(sheet: Sheet, tree: int, most: int = 3) -> list[int]:
    rows = [int(row) for row in sheet.calipers.rows(tree)]
    heights = sheet.calipers["height_mm"]
    return [row for row in reversed(rows) if heights[row] is None or heights[row] <= BASE_MM][:most]


def _caliper(sheet: Sheet, row: int) -> Evidence:
    height = sheet.calipers["height_mm"][row]
    place = "" if height is None else f" at {mm(height)} up"
    text = f"caliper {mm(sheet.calipers['mm'][row])}{place}"
    return evidence(sheet.calipers.id[row], int(sheet.calipers.day[row]), text)


def _pairs(calipers: Looks, n: int) -> tuple[Ints, Ints]:
    """(n,) each tree's newest measurement higher up and that of the base nearest to it in time; -1: none.

    A base measured years after the top would be thicker by those years, and look like taper.
    """
    upper, base = np.full(n, -1, dtype=np.intp), np.full(n, -1, dtype=np.intp)
    at_base = base_rows(calipers)
    rows = np.flatnonzero(~at_base)
    upper[calipers.tree[rows]] = rows
    low = np.flatnonzero(at_base)
    low = low[upper[calipers.tree[low]] >= 0]
    away = np.abs(calipers.day[low] - calipers.day[upper[calipers.tree[low]]])
    far_first = np.lexsort((low, -away))
    base[calipers.tree[low[far_first]]] = low[far_first]  # the nearest is written last, the newer of two
    return upper, base


def _taper(sheet: Sheet, about: _About) -> Judged:
    """Taper between the newest measurement higher up and the base then, for the trunk as thick as it is now.

    Both thicken in proportion, so the ratio measured then holds of today's base.
    """
    upper, base = _pairs(sheet.calipers, sheet.n)
    looked = (base >= 0) & (upper >= 0)
    p, now = np.full(sheet.n, sheet.practice.unseen_taper), np.full(sheet.n, np.nan)
    at = np.flatnonzero(looked)
    wanted = sheet.practice.taper_needed / 100
    d, top = (_floats(sheet, "mm", which[at]) for which in (base, upper))
    height = _floats(sheet, "height_mm", upper[at])
    low, middle, high = about.size[at].T
    known = ~np.isnan(middle)
    thick = np.where(known, middle, d)
    spread = np.where(known, (high - low) / WIDTH_80, growth.measurement_sd(d))
    ratio = top / d
    ratio_sd = np.hypot(growth.measurement_sd(top), ratio * growth.measurement_sd(d)) / d
    now[at] = 100 * thick * (1 - ratio) / height
    p[at] = growth.p_taper(thick, thick * ratio, height, (1 - ratio) * spread, thick * ratio_sd, wanted)

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        if not looked[tree]:
            return "Not measured both at the base and higher up.", []
        low, high = int(base[tree]), int(upper[tree])
        bottom, above = sheet.calipers["mm"][low], sheet.calipers["mm"][high]
        up = sheet.calipers["height_mm"][high]
        day = on(int(sheet.calipers.day[high]), sheet.today)
        then = 100 * (bottom - above) / up
        since = f", about {now[tree]:.1f} at today's thickness" if abs(now[tree] - then) >= 0.1 else ""
        return (
            f"{mm(bottom)} at the base and {mm(above)} at {mm(up)} up ({day}): "
            f"{then:.1f} mm thinner each 100 mm{since}, at least {100 * wanted:.1f} wanted.",
            [_caliper(sheet, high), _caliper(sheet, low)],
        )

    return Judged(p, looked, tell)
