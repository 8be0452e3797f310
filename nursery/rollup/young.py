"""The roots gate: alive, one season old, firm in its pot."""

from datetime import date

import numpy as np

from nursery.science.evidence import present_now
from nursery.science.ragged import Floats, Ints
from nursery.sentences import N_, Sentence, sentence

from .load import Looks, Sheet, day_number
from .words import Evidence, Judged, evidence, iso, newest

_FIRM, _LOOSE = N_("Stood firm on {day:on}."), N_("Loose in its pot on {day:on}.")
#: What a look of each sort says as evidence that the tree lives.
_LOOKED = {
    "soil": N_("soil looked at"),
    "buds": N_("buds looked at"),
    "firmness": N_("firmness looked at"),
    "caliper": N_("caliper looked at"),
    "roots": N_("roots looked at"),
    "branches": N_("branches looked at"),
    "wire": N_("wire looked at"),
    "wiring": N_("wiring looked at"),
}


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
    """Alive: somebody looked at something on it, or tagged it; the longer ago, the less sure."""
    day, record = last_seen(sheet)
    looked = day >= 0
    # Who tags a tree or moves it on has it before the eyes.
    handled = np.array([day_number(tree.phase_since) for tree in sheet.trees], dtype=np.intp)
    years = np.maximum(sheet.now - np.maximum(day, handled), 0) / 365.25
    practice = sheet.practice
    p = practice.seen_alive * np.exp(-practice.deaths * years)
    p = np.where(looked, p, np.minimum(p, practice.unseen_alive))

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        seen = record[tree]
        if seen is None:
            return sentence("Not looked at yet."), []
        last = int(day[tree])
        proof = evidence(seen[0], last, _LOOKED[seen[1]])
        return sentence("Last looked at on {day:on}.", day=iso(last)), [proof]

    return Judged(p, looked, tell)


def season_old(sheet: Sheet) -> Judged:
    """One season old: the growing season of the sown year is over."""
    sown = [tree.sown_year for tree in sheet.trees]
    month, sure = sheet.practice.season_ends_month, sheet.practice.season_sure

    def ended(after: int) -> list[bool]:
        # The month is one of the north (September to December); the south sows half a year later.
        ends = [(after + 1, month - 6) if south else (after, month) for south in sheet.south]
        return [
            year is not None and sheet.now >= day_number(date(year + later, at, 1))
            for year, (later, at) in zip(sown, ends, strict=True)
        ]

    over, long_over = ended(0), ended(1)
    looked = np.array([year is not None for year in sown], dtype=bool)
    # A year that was written down one too early changes nothing once a second season is over.
    p = np.where(long_over, 1 - (1 - sure) ** 2, np.where(over, sure, 1 - sure))
    p = np.where(looked, p, sheet.practice.unseen_season_old)

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        if sown[tree] is None:
            return sentence("Year of sowing not recorded."), []
        if over[tree]:
            return sentence("Sown in {year}; its first season is over.", year=sown[tree]), []
        return sentence("Sown in {year}; its first season is not over.", year=sown[tree]), []

    return Judged(p, looked, tell)


def firm(sheet: Sheet) -> Judged:
    """Firm in its pot, by the two-state filter."""
    p = _firm_p(sheet)

    def say(row: int) -> Sentence:
        return sentence("firm") if sheet.firm["firm"][row] else sentence("loose")

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        last = int(sheet.firm.last[tree])
        if last < 0:
            return sentence("Not checked whether it stands firm."), []
        state = _FIRM if sheet.firm["firm"][last] else _LOOSE
        return sentence(state, day=iso(int(sheet.firm.day[last]))), newest(sheet.firm, tree, say)

    return Judged(p, sheet.firm.seen, tell)


def _firm_p(sheet: Sheet) -> Floats:
    called, practice = np.array(sheet.firm["firm"], dtype=bool), sheet.practice
    return present_now(
        sheet.firm.tree,
        sheet.firm.day / 365.25,
        np.where(called, practice.firm_seen, 1 - practice.firm_seen),
        np.where(called, 1 - practice.loose_seen, practice.loose_seen),
        prior=np.full(sheet.n, practice.unseen_firm),
        gain=practice.firm_gain,
        loss=practice.firm_loss,
        now=sheet.now / 365.25,
    ).now
