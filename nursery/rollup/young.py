"""The roots gate: alive, one season old, firm in its pot."""

from datetime import date

import numpy as np

from nursery.science.evidence import present_now
from nursery.science.gates import PRIORS
from nursery.science.ragged import Floats, Ints

from .load import Looks, Sheet, day_number
from .words import Evidence, Judged, evidence, newest, on

#: P(alive | recorded as looked at that day), and deaths a year of trees this young. Common practice, no
#: source.
SEEN_ALIVE = 0.995
DEATHS_A_YEAR = 0.25
#: P(season over | the calendar says so) and the reverse: sown years are written down wrongly. No source.
SEASON_SURE = 0.97
#: The season of the sown year is over from this day on (northern).
SEASON_ENDS = (11, 1)
#: P(called firm | firm), P(called firm | loose), and rates a year at which pots fill and trees work loose.
FIRM_SEEN, FIRM_MISTAKEN = 0.92, 0.1
FIRM_GAIN, FIRM_LOSS = 0.8, 0.1


def _all_looks(sheet: Sheet) -> dict[str, Looks]:
    return {
        "soil": sheet.soil,
        "buds": sheet.buds,
        "firmness": sheet.firm,
        "caliper": sheet.calipers,
        "roots": sheet.roots,
        "branches": sheet.branches,
        "wire": sheet.wire_looks,
        "wiring": sheet.wirings,
    }


def last_seen(sheet: Sheet) -> tuple[Ints, list[tuple[str, str] | None]]:
    """The day of each tree's newest look of any kind (-1: none), and the record with what was looked at."""
    day = np.full(sheet.n, -1, dtype=np.intp)
    record: list[tuple[str, str] | None] = [None] * sheet.n
    for name, looks in _all_looks(sheet).items():
        theirs = looks.last_day()
        for tree in np.flatnonzero(theirs > day):
            record[tree] = (looks.id[looks.last[tree]], name)
        day = np.maximum(day, theirs)
    return day, record


def alive(sheet: Sheet) -> Judged:
    """Alive: somebody looked at something on it; the longer ago, the less sure."""
    day, record = last_seen(sheet)
    looked = day >= 0
    years = np.where(looked, sheet.now - day, 0) / 365.25
    p = np.where(looked, SEEN_ALIVE * np.exp(-DEATHS_A_YEAR * years), PRIORS["alive"])

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        seen = record[tree]
        if seen is None:
            return "Not looked at yet.", []
        return f"Last looked at on {on(int(day[tree]), sheet.today)}.", [
            evidence(seen[0], int(day[tree]), f"{seen[1]} looked at")
        ]

    return Judged(p, looked, tell)


def season_old(sheet: Sheet) -> Judged:
    """One season old: the growing season of the sown year is over."""
    sown = [tree.sown_year for tree in sheet.trees]
    over = [year is not None and sheet.now >= day_number(date(year, *SEASON_ENDS)) for year in sown]
    looked = np.array([year is not None for year in sown], dtype=bool)
    p = np.where(looked, np.where(over, SEASON_SURE, 1 - SEASON_SURE), PRIORS["season_old"])

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        if sown[tree] is None:
            return "Year of sowing not recorded.", []
        state = "its first season is over" if over[tree] else "its first season is not over"
        return f"Sown in {sown[tree]}; {state}.", []

    return Judged(p, looked, tell)


def firm(sheet: Sheet) -> Judged:
    """Firm in its pot, by the two-state filter."""
    p = _firm_p(sheet)

    def say(row: int) -> str:
        return "firm" if sheet.firm["firm"][row] else "loose"

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        last = int(sheet.firm.last[tree])
        if last < 0:
            return "Not checked whether it stands firm.", []
        state = "Stood firm" if sheet.firm["firm"][last] else "Loose in its pot"
        return f"{state} on {on(int(sheet.firm.day[last]), sheet.today)}.", newest(sheet.firm, tree, say)

    return Judged(p, sheet.firm.seen, tell)


def _firm_p(sheet: Sheet) -> Floats:
    called = np.array(sheet.firm["firm"], dtype=bool)
    return present_now(
        sheet.firm.tree,
        sheet.firm.day / 365.25,
        np.where(called, FIRM_SEEN, 1 - FIRM_SEEN),
        np.where(called, FIRM_MISTAKEN, 1 - FIRM_MISTAKEN),
        prior=np.full(sheet.n, PRIORS["firm"]),
        gain=FIRM_GAIN,
        loss=FIRM_LOSS,
        now=sheet.now / 365.25,
    ).now
