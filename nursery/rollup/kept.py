"""Scores of seasons past: the readiness that stood at the end of each, to hold against what was decided."""

from collections.abc import Sequence
from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef, Q

from nursery import bulk
from nursery.models import Score, Stay
from nursery.practice import current
from nursery.science.gates import GATE_OF

from .compute import standings
from .load import Then, load
from .make import chunks

#: Chunks reckoned in one run, the newest seasons first: an old nursery is caught up with over some days.
MOST = 20


def score_seasons(today: date, *, most: int = MOST) -> int:
    """Reckon the scores that are lacking at ends of seasons up to today; gives their number.

    Each rests on the records up to that day, the targets of today, and what is now known of the nursery's
    wires, trunks and looks. One that was reckoned is kept.
    """
    first = Stay.objects.order_by("since").values_list("since", flat=True).first()
    month = current().season_ends_month
    done = left = 0
    for year in range(today.year, first.year - 1 if first else today.year, -1):
        day = date(year, month, 1)
        found = {stay.tree: stay for stay in _lacking(day)} if day <= today else {}
        for chunk in chunks(list(found)):
            if left == most:
                return done
            done += _score([found[tree] for tree in chunk], day)
            left += 1
    return done


def _lacking(day: date) -> list[Stay]:
    """Stays at a gate on that day that have no score of it."""
    gates = [phase for phase, gate in GATE_OF.items() if gate]
    lasted = Q(until__isnull=True) | Q(until__gt=day)
    scored = Score.objects.filter(stay=OuterRef("id"), on=day)
    return list(
        Stay.objects.filter(lasted, ~Exists(scored), phase__in=gates, since__lte=day).order_by("tree")
    )


def _score(stays: Sequence[Stay], day: date) -> int:
    of: dict[UUID, Stay] = {stay.tree: stay for stay in stays}
    then = {tree: Then(stay.phase, stay.since) for tree, stay in of.items()}
    rows = [
        (of[row.tree_id].id, day, row.gate, row.readiness)
        for row in standings(load(list(of), day, then))
        if row.readiness is not None
    ]
    bulk.insert_rows(Score, ("stay", "on", "gate", "p"), rows)
    return len(rows)
