"""Low buds, and the refinement gate: primaries and secondaries, internodes, order of branching."""

import numpy as np

from nursery.models import Style
from nursery.science import branches, buds
from nursery.science.evidence import present_now
from nursery.science.ragged import Floats

from .load import Sheet
from .words import Evidence, Judged, evidence, mm, newest, on, since


def low_buds(sheet: Sheet) -> Judged:
    """Live buds or branches low down, by the two-state filter."""
    p = buds_now(sheet)
    states = sheet.buds["state"]

    def say(row: int) -> str:
        many_at_once = " (given for many trees at once)" if sheet.buds["bulk"][row] else ""
        return f"{states[row]} low buds{many_at_once}"

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        last = int(sheet.buds.last[tree])
        if last < 0:
            ever = sheet.buds_ever[tree]
            return f"Low buds not looked at {f'since {since(ever, sheet.today)}' if ever else 'yet'}.", []
        day = on(int(sheet.buds.day[last]), sheet.today)
        count = {"none": "No", "few": "Few", "many": "Many"}[states[last]]
        return f"{count} low buds seen on {day}.", newest(sheet.buds, tree, say)

    return Judged(p, sheet.buds.seen, tell)


def buds_now(sheet: Sheet) -> Floats:
    """(n,) P(live low buds now)."""
    answer = np.array([buds.ANSWERS.index(state) for state in sheet.buds["state"]], dtype=np.intp)
    practice = sheet.practice
    present, absent = buds.likelihoods(
        answer,
        np.array(sheet.buds["bulk"], dtype=bool),
        seen=practice.buds_seen,
        not_invented=practice.buds_not_invented,
        weight=practice.buds_bulk,
    )
    return present_now(
        sheet.buds.tree,
        sheet.buds.day / 365.25,
        present,
        absent,
        prior=sheet.species("bud_prior"),
        gain=sheet.species("bud_gain"),
        loss=sheet.species("bud_loss"),
        now=sheet.now / 365.25,
    ).now


def judge(sheet: Sheet) -> dict[str, Judged]:
    """The three criteria of the refinement gate, from the newest branch survey."""
    return {"primaries": _primaries(sheet), "internodes": _internodes(sheet), "order": _order(sheet)}


def _column(sheet: Sheet, name: str) -> Floats:
    """(n,) a number of each tree's newest survey; NaN where it was not given."""
    values = sheet.branches[name]
    newest_of = [values[row] if row >= 0 else None for row in sheet.branches.last]
    return np.array([np.nan if value is None else value for value in newest_of], dtype=float)


def _judged(
    sheet: Sheet, name: str, seen: Floats, p: Floats, sentence: dict[int, str], lacking: str
) -> Judged:
    looked = ~np.isnan(seen)

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        if not looked[tree]:
            return lacking, []
        row = int(sheet.branches.last[tree])
        day = int(sheet.branches.day[row])
        proof = [evidence(sheet.branches.id[row], day, "branches surveyed")]
        return f"{sentence[tree]} (surveyed {on(day, sheet.today)}).", proof

    return Judged(np.where(looked, p, sheet.practice.unseen(name)), looked, tell)


def _needs(sheet: Sheet) -> list[branches.Need]:
    """What each tree's style needs."""
    return [sheet.practice.need(tree.target_style) for tree in sheet.trees]


def _for_style(sheet: Sheet, tree: int) -> str:
    """`` for broom``; "" while no style is chosen."""
    style = sheet.trees[tree].target_style
    return f" for {Style(style).label}" if style in Style.values else ""


def _primaries(sheet: Sheet) -> Judged:
    first, second = _column(sheet, "primaries"), _column(sheet, "secondaries")
    needs = _needs(sheet)
    sentence = {
        int(tree): f"{first[tree]:.0f} primary and {second[tree]:.0f} secondary branches, "
        f"{needs[tree].primaries} and {needs[tree].secondaries} wanted{_for_style(sheet, int(tree))}"
        for tree in np.flatnonzero(~np.isnan(first))
    }
    p = branches.p_set(
        first,
        second,
        [need.primaries for need in needs],
        [need.each for need in needs],
        sheet.practice.count_error,
    )
    return _judged(sheet, "primaries", first, p, sentence, "Branches not surveyed yet.")


def _internodes(sheet: Sheet) -> Judged:
    seen, practice = _column(sheet, "internode_mm"), sheet.practice
    share = [practice.value(f"internode_{tree.species.habit}") for tree in sheet.trees]
    limit = branches.internode_limit(sheet.target_height, share, practice.internode_mm)
    sentence = {
        int(tree): f"Internodes of {mm(seen[tree])} at the tips, at most {mm(limit[tree])} wanted"
        for tree in np.flatnonzero(~np.isnan(seen))
    }
    p = branches.p_short(seen, limit, practice.internode_error)
    return _judged(sheet, "internodes", seen, p, sentence, "Internodes not measured yet.")


def _order(sheet: Sheet) -> Judged:
    seen, needs = _column(sheet, "order"), _needs(sheet)
    sentence = {
        int(
            tree
        ): f"Branching of order {seen[tree]:.0f}, {needs[tree].order} wanted{_for_style(sheet, int(tree))}"
        for tree in np.flatnonzero(~np.isnan(seen))
    }
    p = branches.p_order(seen, [need.order for need in needs], sheet.practice.order_error)
    return _judged(sheet, "order", seen, p, sentence, "Order of branching not counted yet.")
