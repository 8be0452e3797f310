"""The branches gate, its thickness side: diameter at target, taper."""

from dataclasses import dataclass

import numpy as np

from nursery.science import growth
from nursery.science.growth_forecast import HIGH, LOW, MIDDLE
from nursery.science.odd_readings import Oddity
from nursery.science.ragged import Bools, Floats, Ints
from nursery.sentences import N_, Sentence, length, sentence
from nursery.thickness import BASE_MM as BASE_MM
from nursery.thickness import current, trunks

from .load import Looks, Sheet
from .words import Evidence, Judged, evidence, iso

NEVER_MEASURED = N_(
    "Never measured; by its age and its kin about {size:mm0} (80% sure: {low:bare0} to {high:bare0}), "
    "target {target:mm}."
)
MEASURED = N_(
    "{seen:mm} on {day:on}, about {size:mm0} (80% sure: {low:bare0} to {high:bare0}) now; target {target:mm}."
)
#: As ``thickness.CHECK``: what an odd reading looks like, and what to check.
DOUBT = {
    Oddity.TEN_TIMES: N_(
        "{seen:mm} on {day:on} looks ten times too large: check the decimal point; it counts for little."
    ),
    Oddity.A_TENTH: N_(
        "{seen:mm} on {day:on} looks ten times too small: check the decimal point; it counts for little."
    ),
    Oddity.SHRANK: N_(
        "{seen:mm} on {day:on} is thinner than a reading before it: measure again at the same height; "
        "it counts for little."
    ),
    Oddity.FAR_OFF: N_(
        "{seen:mm} on {day:on} is far from what its other readings and its kin let expect: measure again; "
        "it counts for little."
    ),
}
#: Taper is a ratio, so it is told in the same two millimetres whatever the reader's unit.
TAPER = N_(
    "{base:mm} at the base and {above:mm} at {height:mm} up ({day:on}): {taper:1} mm thinner each 100 mm, "
    "at least {wanted:1} wanted."
)
TAPER_NOW = N_(
    "{base:mm} at the base and {above:mm} at {height:mm} up ({day:on}): {taper:1} mm thinner each 100 mm, "
    "about {now:1} at today's thickness, at least {wanted:1} wanted."
)
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

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        history = _base_history(sheet, tree)
        proof = [_caliper(sheet, row) for row in history]
        if np.isnan(sheet.target_base[tree]):
            return sentence("No target set: say how thick the trunk shall be."), proof
        sizes = dict(zip(("low", "size", "high"), map(round, about.size[tree].tolist()), strict=True))
        values = sizes | {"target": length(sheet.target_base[tree])}
        if last[tree] < 0:
            return sentence(NEVER_MEASURED, **values), []
        seen, day = _reading(sheet, int(last[tree]))
        told = sentence(MEASURED, seen=seen, day=day, **values)
        doubtful = next((row for row in history if odd[row]), None)
        if doubtful is None:
            return told, proof
        seen, day = _reading(sheet, doubtful)
        doubt = sentence(DOUBT[Oddity(odd[doubtful])], seen=seen, day=day)
        return sentence("{told:word} {doubt:word}", told=told, doubt=doubt), proof

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


def _reading(sheet: Sheet, row: int) -> tuple[float, str]:
    """A reading [mm] and its day, as sentences hold them."""
    return length(sheet.calipers["mm"][row]), iso(int(sheet.calipers.day[row]))


def _base_history(sheet: Sheet, tree: int, most: int = 3) -> list[int]:
    heights = sheet.calipers["height_mm"]
    rows = reversed(sheet.calipers.rows(tree))
    return [row for row in rows if heights[row] is None or heights[row] <= BASE_MM][:most]


def _caliper(sheet: Sheet, row: int) -> Evidence:
    height, seen = sheet.calipers["height_mm"][row], length(sheet.calipers["mm"][row])
    text = sentence("caliper {seen:mm}", seen=seen)
    if height is not None:
        text = sentence("caliper {seen:mm} at {height:mm} up", seen=seen, height=length(height))
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

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        if not looked[tree]:
            return sentence("Not measured both at the base and higher up."), []
        low, high = int(base[tree]), int(upper[tree])
        bottom, above = sheet.calipers["mm"][low], sheet.calipers["mm"][high]
        up = sheet.calipers["height_mm"][high]
        then = 100 * (bottom - above) / up
        changed = abs(now[tree] - then) >= 0.1
        values = {"base": length(bottom), "above": length(above), "height": length(up)}
        told = sentence(
            TAPER_NOW if changed else TAPER,
            **values,
            day=iso(int(sheet.calipers.day[high])),
            taper=length(then),
            wanted=length(100 * wanted),
            **({"now": length(now[tree])} if changed else {}),
        )
        return told, [_caliper(sheet, high), _caliper(sheet, low)]

    return Judged(p, looked, tell)
