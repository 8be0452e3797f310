"""Low buds, and the refinement gate: primaries and secondaries, internodes, order of branching."""

import numpy as np

from nursery.models import Style, untranslated
from nursery.science import branches, buds
from nursery.science.evidence import present_now
from nursery.science.ragged import Floats
from nursery.sentences import N_, Sentence, length, sentence

from .load import Sheet
from .words import Evidence, Judged, evidence, iso, newest

#: What was seen of low buds: as evidence, as evidence given for many trees, and as the sentence.
_BUDS = {
    "none": (
        N_("none low buds"),
        N_("none low buds (given for many trees at once)"),
        N_("No low buds seen on {day:on}."),
    ),
    "few": (
        N_("few low buds"),
        N_("few low buds (given for many trees at once)"),
        N_("Few low buds seen on {day:on}."),
    ),
    "many": (
        N_("many low buds"),
        N_("many low buds (given for many trees at once)"),
        N_("Many low buds seen on {day:on}."),
    ),
}


def low_buds(sheet: Sheet) -> Judged:
    """Live buds or branches low down, by the two-state filter."""
    p = buds_now(sheet)
    states = sheet.buds["state"]

    def say(row: int) -> Sentence:
        return _BUDS[states[row]][bool(sheet.buds["bulk"][row])]

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        last = int(sheet.buds.last[tree])
        if last < 0:
            ever = sheet.buds_ever[tree]
            if ever is None:
                return sentence("Low buds not looked at yet."), []
            return sentence("Low buds not looked at since {day:since}.", day=ever.isoformat()), []
        day = iso(int(sheet.buds.day[last]))
        return sentence(_BUDS[states[last]][2], day=day), newest(sheet.buds, tree, say)

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
    sheet: Sheet, name: str, seen: Floats, p: Floats, told: dict[int, Sentence], lacking: Sentence
) -> Judged:
    looked = ~np.isnan(seen)

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        if not looked[tree]:
            return lacking, []
        row = int(sheet.branches.last[tree])
        day = int(sheet.branches.day[row])
        proof = [evidence(sheet.branches.id[row], day, sentence("branches surveyed"))]
        return sentence("{told:word} (surveyed {day:on}).", told=told[tree], day=iso(day)), proof

    return Judged(np.where(looked, p, sheet.practice.unseen(name)), looked, tell)


def _needs(sheet: Sheet) -> list[branches.Need]:
    """What each tree's style needs."""
    return [sheet.practice.need(tree.target_style) for tree in sheet.trees]


def _for_style(sheet: Sheet, tree: int, needed: Sentence) -> Sentence:
    """``... wanted for broom``; as it is while no style is chosen."""
    style = sheet.trees[tree].target_style
    if style not in Style.values:
        return needed
    return sentence("{needed:word} for {style:word}", needed=needed, style=untranslated(Style(style)))


def _primaries(sheet: Sheet) -> Judged:
    first, second = _column(sheet, "primaries"), _column(sheet, "secondaries")
    needs = _needs(sheet)

    def told(tree: int) -> Sentence:
        text = sentence(
            "{first} primary and {second} secondary branches, {need} and {more} wanted",
            first=round(first[tree]),
            second=round(second[tree]),
            need=needs[tree].primaries,
            more=needs[tree].secondaries,
        )
        return _for_style(sheet, tree, text)

    seen = {tree: told(tree) for tree in np.flatnonzero(~np.isnan(first)).tolist()}
    p = branches.p_set(
        first,
        second,
        [need.primaries for need in needs],
        [need.each for need in needs],
        sheet.practice.count_error,
    )
    return _judged(sheet, "primaries", first, p, seen, sentence("Branches not surveyed yet."))


def _internodes(sheet: Sheet) -> Judged:
    seen, practice = _column(sheet, "internode_mm"), sheet.practice
    share = [practice.value(f"internode_{tree.species.habit}") for tree in sheet.trees]
    limit = branches.internode_limit(sheet.target_height, share, practice.internode_mm)
    told = {
        tree: sentence(
            "Internodes of {seen:mm} at the tips, at most {limit:mm} wanted",
            seen=length(seen[tree]),
            limit=length(limit[tree]),
        )
        for tree in np.flatnonzero(~np.isnan(seen)).tolist()
    }
    p = branches.p_short(seen, limit, practice.internode_error)
    return _judged(sheet, "internodes", seen, p, told, sentence("Internodes not measured yet."))


def _order(sheet: Sheet) -> Judged:
    seen, needs = _column(sheet, "order"), _needs(sheet)

    def needed(tree: int) -> Sentence:
        order, need = round(seen[tree]), needs[tree].order
        return sentence("Branching of order {order}, {need} wanted", order=order, need=need)

    told = {tree: _for_style(sheet, tree, needed(tree)) for tree in np.flatnonzero(~np.isnan(seen)).tolist()}
    p = branches.p_order(seen, [need.order for need in needs], sheet.practice.order_error)
    return _judged(sheet, "order", seen, p, told, sentence("Order of branching not counted yet."))
