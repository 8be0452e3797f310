"""The trunk gate: roots on all sides, level, no defect open; all from the newest root survey."""

import numpy as np

from nursery.science import roots
from nursery.science.evidence import drift
from nursery.science.ragged import Floats

from .load import Sheet
from .words import Evidence, Judged, capital, evidence, listed, on

DEFECTS = {
    "crossing": "crossing roots",
    "one_sided": "one-sided roots",
    "high": "a high root",
    "girdling": "a girdling root",
    "rot": "rot",
}


class _Surveys:
    """The newest surveys of trees at the trunk gate, flat: survey k belongs to tree ``tree[k]``."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.looked = sheet.roots.seen
        self.tree = np.flatnonzero(self.looked & sheet.at_gate("trunk"))
        self.row = sheet.roots.last[self.tree]
        seen = [sheet.roots["roots"][row] for row in self.row]
        self.n = len(seen)
        self.owner = np.array([at for at, rows in enumerate(seen) for _ in rows], dtype=np.intp)
        self.angle = np.array([root["deg"] for rows in seen for root in rows], dtype=float)
        self.level = np.array([bool(root["level"]) for rows in seen for root in rows], dtype=bool)
        self.at = {int(tree): at for at, tree in enumerate(self.tree)}

    def aged(self, name: str, p: Floats, rate: float) -> Floats:
        """Spread the surveys' p over all trees; old ones drift to the prior, trees without one are at it.

        rate : share a year by which a survey is forgotten.
        """
        prior = self.sheet.practice.unseen(name)
        years = (self.sheet.now - self.sheet.roots.day[self.row]) / 365.25
        out = np.full(self.sheet.n, prior)
        out[self.tree] = drift(p, prior * rate, (1 - prior) * rate, years)
        return out

    def note(self, at: int) -> tuple[str, list[Evidence]]:
        """The survey's day in words, and the survey as evidence."""
        row = int(self.row[at])
        day = int(self.sheet.roots.day[row])
        count = int((self.owner == at).sum())
        text = f"{count} root{'' if count == 1 else 's'} surveyed"
        return on(day, self.sheet.today), [evidence(self.sheet.roots.id[row], day, text)]


def judge(sheet: Sheet) -> dict[str, Judged]:
    """The three criteria, for trees at the trunk gate; the others keep the priors."""
    surveys = _Surveys(sheet)
    return {
        "roots_spread": _spread(surveys),
        "roots_level": _level(surveys),
        "no_defect": _defects(surveys),
    }


def _spread(surveys: _Surveys) -> Judged:
    facts = roots.spread(surveys.owner, surveys.angle, surveys.n)
    practice = surveys.sheet.practice
    seen = roots.p_all_sides(
        surveys.owner,
        surveys.angle,
        surveys.n,
        error=practice.angle_error,
        limit=practice.gap_limit,
        needed=practice.sectors_needed,
        even=practice.even,
        missed=practice.overlooked,
    )
    p = surveys.aged("roots_spread", seen, practice.spread_ageing)

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        if tree not in surveys.at:
            return "Roots not surveyed yet.", []
        at = surveys.at[tree]
        day, proof = surveys.note(at)
        count = int(facts.count[at])
        if count < 2:
            return f"{['No root', 'One root'][count]} found on {day}.", proof
        wanted = f"at most {practice.gap_limit:.0f} wanted"
        return (
            f"Largest gap between roots is {facts.gap[at]:.0f} degrees, {wanted}; "
            f"{facts.sectors[at]} of {roots.SECTORS} sides have a root (surveyed {day}).",
            proof,
        )

    return Judged(p, surveys.looked, tell)


def _level(surveys: _Surveys) -> Judged:
    practice = surveys.sheet.practice
    seen = roots.p_level(
        surveys.owner,
        surveys.level,
        surveys.n,
        needed=practice.level_needed,
        error=practice.level_error,
        share=practice.level_share,
    )
    p = surveys.aged("roots_level", seen, practice.level_ageing)

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        if tree not in surveys.at:
            return "Roots not surveyed yet.", []
        at = surveys.at[tree]
        day, proof = surveys.note(at)
        mine = surveys.level[surveys.owner == at]
        share = f"at least {practice.level_needed * 100:.0f}% wanted"
        return f"{mine.sum()} of {mine.size} roots are level, {share} (surveyed {day}).", proof

    return Judged(p, surveys.looked, tell)


def _defects(surveys: _Surveys) -> Judged:
    noted = [[DEFECTS.get(word, word) for word in surveys.sheet.roots["defects"][row]] for row in surveys.row]
    practice = surveys.sheet.practice
    seen = roots.p_no_defect(
        [len(words) for words in noted],
        share=practice.unseen_no_defect,
        seen=practice.defect_seen,
        not_invented=practice.defect_not_invented,
    )
    p = surveys.aged("no_defect", seen, practice.defect_ageing)

    def tell(tree: int) -> tuple[str, list[Evidence]]:
        if tree not in surveys.at:
            return "Roots not surveyed yet.", []
        at = surveys.at[tree]
        day, proof = surveys.note(at)
        words = listed(noted[at]) if noted[at] else "no defect"
        return capital(f"{words} noted on {day}."), proof

    return Judged(p, surveys.looked, tell)
