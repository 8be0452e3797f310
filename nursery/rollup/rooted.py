"""The trunk gate: roots on all sides, level, no defect open; all from the newest root survey."""

from collections.abc import Callable

import numpy as np

from nursery.science import root_sides, roots
from nursery.science.evidence import drift
from nursery.science.ragged import Floats
from nursery.sentences import N_, Sentence, sentence

from .load import Sheet
from .words import Evidence, Judged, evidence, iso

DEFECTS = {
    "crossing": N_("crossing roots"),
    "one_sided": N_("one-sided roots"),
    "high": N_("a high root"),
    "girdling": N_("a girdling root"),
    "rot": N_("rot"),
}
_LEVEL = N_("{level} of {all} roots were called level, at least {wanted} wanted (surveyed {day:on}).")
#: With too few called so, why that is not the end of it.
_NOT_LEVEL = N_(
    "{level} of {all} roots were called level, at least {wanted} wanted (surveyed {day:on}); "
    "about {again:percent} of those called off level are level all the same."
)
_SINCE = N_("The roots were worked on since, on {day:on}: survey them at the next repotting.")
#: None or one is found: there is no gap between roots to tell.
_FEW = N_("No root found on {day:on}."), N_("One root found on {day:on}.")


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
        # No work is NaN, which is later than nothing. Work and survey of one day are one sitting.
        self.worked = sheet.root_work[self.tree] > sheet.roots.day[self.row]
        self.at = {int(tree): at for at, tree in enumerate(self.tree)}

    def aged(self, name: str, p: Floats, rate: float, outdated: float = 0.0) -> Floats:
        """Spread the surveys' p over all trees; old ones drift to the prior, trees without one are at it.

        rate : share a year by which a survey is forgotten. outdated : share forgotten by work on the roots.
        """
        prior = self.sheet.practice.unseen(name)
        years = (self.sheet.now - self.sheet.roots.day[self.row]) / 365.25
        old = drift(p, prior * rate, (1 - prior) * rate, years)
        out = np.full(self.sheet.n, prior)
        out[self.tree] = old + np.where(self.worked, outdated, 0.0) * (prior - old)
        return out

    def judged(self, p: Floats, say: Callable[[int, str], Sentence]) -> Judged:
        """A criterion; ``say`` tells of survey k and its day."""

        def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
            if tree not in self.at:
                return sentence("Roots not surveyed yet."), []
            at = self.at[tree]
            row = int(self.row[at])
            day = int(self.sheet.roots.day[row])
            told = say(at, iso(day))
            if self.worked[at]:
                since = sentence(_SINCE, day=iso(int(self.sheet.root_work[tree])))
                told = sentence("{told:word} {since:word}", told=told, since=since)
            count = int((self.owner == at).sum())
            text = sentence("{count} {count:root|roots} surveyed", count=count)
            return told, [evidence(self.sheet.roots.id[row], day, text)]

        return Judged(p, self.looked, tell)


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
    # A root that root work made grow since is as one that the survey overlooked.
    noted = (1 - practice.overlooked) * (1 - np.where(surveys.worked, practice.root_work_forgets, 0.0))
    seen = root_sides.p_all_sides(
        surveys.owner,
        surveys.angle,
        surveys.n,
        error=practice.angle_error,
        limit=practice.gap_limit,
        needed=practice.sectors_needed,
        even=practice.even,
        missed=1 - noted,
    )
    p = surveys.aged("roots_spread", seen, practice.spread_ageing)

    def say(at: int, day: str) -> Sentence:
        count = int(facts.count[at])
        if count < 2:
            return sentence(_FEW[count], day=day)
        return sentence(
            "Largest gap between roots is {gap} degrees, at most {limit} wanted; "
            "{sides} of {all} sides have a root (surveyed {day:on}).",
            gap=round(float(facts.gap[at])),
            limit=round(float(practice.gap_limit)),
            sides=int(facts.sectors[at]),
            all=roots.SECTORS,
            day=day,
        )

    return surveys.judged(p, say)


def _level(surveys: _Surveys) -> Judged:
    practice = surveys.sheet.practice
    seen = roots.p_level(
        surveys.owner,
        surveys.level,
        surveys.n,
        needed=practice.level_needed,
        error=practice.level_error,
        share=practice.level_share,
        alike=practice.level_alike,
    )
    p = surveys.aged("roots_level", seen, practice.level_ageing, practice.root_work_forgets)

    def say(at: int, day: str) -> Sentence:
        mine = surveys.level[surveys.owner == at]
        if not mine.size:
            return sentence(_FEW[0], day=day)
        level, wanted = int(mine.sum()), int(roots.level_needed(mine.size, practice.level_needed))
        told = {"level": level, "all": int(mine.size), "wanted": wanted, "day": day}
        if level >= wanted:
            return sentence(_LEVEL, **told)
        again = round(100 * roots.level_after_all(practice.level_error, practice.level_share))
        return sentence(_NOT_LEVEL, **told, again=again)

    return surveys.judged(p, say)


def _defects(surveys: _Surveys) -> Judged:
    noted = [[DEFECTS.get(word, word) for word in surveys.sheet.roots["defects"][row]] for row in surveys.row]
    practice = surveys.sheet.practice
    seen = roots.p_no_defect(
        [len(words) for words in noted],
        share=practice.unseen_no_defect,
        seen=practice.defect_seen,
        not_invented=practice.defect_not_invented,
    )
    p = surveys.aged("no_defect", seen, practice.defect_ageing, practice.root_work_forgets)

    def say(at: int, day: str) -> Sentence:
        if not noted[at]:
            return sentence("No defect noted on {day:on}.", day=day)
        listed = sentence("{defects:list}", defects=noted[at])
        return sentence("{defects:capital} noted on {day:on}.", defects=listed, day=day)

    return surveys.judged(p, say)
