"""What to look at on a tree today, and why, in a few words."""

from datetime import datetime

import numpy as np

from nursery.models import SEEN_DRY, Phase, Soil
from nursery.science.season import growing, resting
from nursery.sentences import N_, Sentence, sentence

from .load import Looks, Sheet, moment
from .trunk import last_base
from .wired import Wires, due_sentence
from .words import DueRow, iso

#: Never looked at, and not for so long.
_BRANCHES = N_("branches never looked at"), N_("branches not looked at since {day:since}")
_SOIL = N_("soil never looked at"), N_("soil not looked at since {day:since}")


def due(sheet: Sheet, found: Wires) -> list[list[DueRow]]:
    """What is due for each tree, the most pressing first; nothing for trees that left."""
    in_season, practice = growing(sheet.now, south=sheet.south), sheet.practice
    soil_days = np.where(
        resting(sheet.now, south=sheet.south), practice.soil_days_at_rest, practice.soil_days
    ).tolist()
    base = last_base(sheet.calipers, sheet.n)
    out: list[list[DueRow]] = []
    for at, tree in enumerate(sheet.trees):
        rows: list[DueRow] = []
        if tree.left_how:
            out.append(rows)
            continue
        _add(rows, "wire", _wire(sheet, found, at))
        _add(rows, "soil", _soil(sheet, at, soil_days[at]))
        if in_season[at] and tree.phase in (Phase.TRUNK, Phase.BRANCHES):
            _add(rows, "buds", _buds(sheet, at))
        if tree.phase == Phase.TRUNK:
            _add(rows, "caliper", _caliper(sheet, int(base[at])))
        if sheet.gate[at] == "trunk" and not sheet.roots.seen[at] and practice.repotting(_month(sheet, at)):
            _add(rows, "roots", sentence("roots never surveyed: look when repotting"))
        if sheet.gate[at] == "roots" and in_season[at]:
            _add(rows, "firm", _firm(sheet, at))
        if sheet.gate[at] == "refinement":
            _add(rows, "branches", _old(sheet, sheet.branches, at, practice.branch_days, _BRANCHES))
        out.append(rows)
    return out


def _month(sheet: Sheet, at: int) -> int:
    """The month of the north that is like this one at the tree."""
    month = sheet.today.month
    return (month + 5) % 12 + 1 if sheet.south[at] else month


def _add(rows: list[DueRow], what: str, why: Sentence) -> None:
    if why:
        rows.append({"what": what, "why": why})


def _old(sheet: Sheet, looks: Looks, tree: int, days: int, words: tuple[str, str]) -> Sentence:
    """Why a thing must be looked at again after so many days; "" while it need not."""
    last = int(looks.last[tree])
    if last < 0:
        return words[0]
    day = int(looks.day[last])
    return sentence(words[1], day=iso(day)) if sheet.now - day >= days else ""


def _buds(sheet: Sheet, tree: int) -> Sentence:
    seen = sheet.buds_ever[tree]
    if seen is None:
        return sentence("buds never looked at")
    return (
        sentence("buds not looked at since {day:since}", day=seen.isoformat())
        if (sheet.today - seen).days >= sheet.practice.bud_days
        else ""
    )


def _wire(sheet: Sheet, found: Wires, tree: int) -> Sentence:
    at = int(found.first[tree])
    return (
        due_sentence(sheet, found, at)
        if at >= 0 and found.by[at] - sheet.now <= sheet.practice.wire_ahead_days
        else ""
    )


def _watered_after(watered: datetime | None, at: datetime) -> bool:
    return watered is not None and watered > at


def _soil(sheet: Sheet, tree: int, days: int) -> Sentence:
    last = int(sheet.soil.last[tree])
    dry = last >= 0 and sheet.soil["state"][last] == Soil.DRY
    if dry and not _watered_after(sheet.watered[tree], moment(sheet.soil.at[last])):
        return sentence(SEEN_DRY, day=iso(int(sheet.soil.day[last])))
    return _old(sheet, sheet.soil, tree, days, _SOIL)


def _caliper(sheet: Sheet, row: int) -> Sentence:
    if row < 0:
        return sentence("never measured")
    day = int(sheet.calipers.day[row])
    return (
        sentence("not measured since {day:since}", day=iso(day))
        if sheet.now - day >= sheet.practice.caliper_days
        else ""
    )


def _firm(sheet: Sheet, tree: int) -> Sentence:
    last = int(sheet.firm.last[tree])
    if last < 0:
        return sentence("never checked whether it stands firm")
    day = int(sheet.firm.day[last])
    if sheet.now - day < sheet.practice.firm_days:
        return ""
    return sentence("firmness not checked since {day:since}", day=iso(day))
