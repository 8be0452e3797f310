"""Branches of one tree: what its surveys counted, beside what its style needs."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils import timezone

from nursery.models import BranchSurvey, Style
from nursery.science.branches import Need, internode_limit
from nursery.science.practice import Practice
from nursery.sentences import length, said

#: Surveys that are shown.
MOST = 30


@dataclass(frozen=True)
class Counted:
    """One survey; None where it was not given."""

    on: date
    primaries: int
    secondaries: int
    internode_mm: float | None
    order: int | None


@dataclass(frozen=True)
class Branches:
    """``lacks``: what the newest survey says is still lacking, each in a few words."""

    style: str
    need: Need
    internode_mm: float
    surveys: list[Counted]
    lacks: list[str]


def branches(tree: UUID, style: str, habit: str, height_mm: float | None, practice: Practice) -> Branches:
    """One query. The needs are settings of practice."""
    need, share = practice.need(style), practice.value(f"internode_{habit}")
    limit = float(internode_limit([height_mm or float("nan")], [share], practice.internode_mm)[0])
    surveys = [
        Counted(timezone.localdate(row.at), row.primaries, row.secondaries, row.internode_mm, row.order)
        for row in BranchSurvey.objects.filter(tree=tree).order_by("-at", "-id")[:MOST]
    ]
    word = str(Style(style).label) if style in Style.values else ""
    return Branches(word, need, limit, surveys, _lacks(surveys[0], need, limit) if surveys else [])


def _lacks(seen: Counted, need: Need, limit: float) -> list[str]:
    out = []
    if seen.primaries < need.primaries:
        out.append(said("{n} more from the trunk", n=need.primaries - seen.primaries))
    if seen.secondaries < need.secondaries:
        out.append(said("{n} more from those", n=need.secondaries - seen.secondaries))
    if seen.internode_mm is not None and seen.internode_mm > limit:
        out.append(said("internodes under {limit:mm}", limit=length(limit)))
    if seen.order is not None and seen.order < need.order:
        one = need.order - seen.order == 1
        out.append(said("one more order of branching") if one else said("finer branching"))
    return out
