"""The settings of practice in force: the grower's own, else what looks taught, else the default."""

from collections.abc import Mapping
from dataclasses import astuple
from datetime import date, datetime
from typing import Any
from uuid import UUID

import numpy as np
from django.utils import timezone

from nursery.models import BudCheck, Buds, FirmCheck, RootSurvey, Taught, Tree
from nursery.models import Practice as Row
from nursery.science import look_shares, root_shares, root_sides, roots
from nursery.science.practice import Practice
from nursery.science.root_shares import Learned

#: The newest root surveys, and the trees looked at last, are learned from, no more than so many.
MOST, MOST_LOOKED = 6000, 3000
Numbers = Mapping[str, tuple[float, int]]


def own() -> dict[str, float]:
    """What the grower changed, in one query."""
    return {name: value for name, value in Row.objects.values_list("name", "value") if value is not None}


def taught() -> Numbers:
    """What the nursery's own looks taught, each with the number of looks, in one query."""
    row = Taught.objects.first()
    return {} if row is None else {name: (value, looks) for name, (value, looks) in row.numbers.items()}


def current() -> Practice:
    """All settings, in two queries."""
    return Practice.of({name: value for name, (value, _) in taught().items()} | own())


def ready() -> float:
    """From which readiness on a tree is called ready, in one query."""
    kept = Row.objects.filter(name="ready", value__isnull=False).values_list("value", flat=True).first()
    return Practice.of({} if kept is None else {"ready": kept}).ready


def refit(today: date | None = None) -> Taught | None:
    """Learn from the nursery's own looks, and keep it; None while there are none.

    Runs beside the pushes: it reads, reckons, and writes one row at the end.
    """
    said = Practice.of(own())
    found = {**_from_roots(said), **_from_firm(said), **_from_buds(said)}
    if not found:
        Taught.objects.all().delete()
        return None
    day = timezone.localdate() if today is None else today
    numbers = {name: [round(one.value, 4), one.looks] for name, one in found.items()}
    return Taught.objects.update_or_create(id=1, defaults={"made_on": day, "numbers": numbers})[0]


def _from_roots(said: Practice) -> dict[str, Learned]:
    """From the newest survey of each tree, drawn to what is said."""
    newest: dict[UUID, tuple[list[dict[str, float]], list[str]]] = {}
    rows = RootSurvey.objects.order_by("-at", "-id").values_list("tree", "roots", "defects")
    for tree, seen, defects in rows.iterator(chunk_size=2000):
        newest.setdefault(tree, (seen, defects))
        if len(newest) >= MOST:
            break
    if not newest:
        return {}
    n, found = len(newest), list(newest.values())
    surveys = root_shares.Surveys.of(
        [at for at, (seen, _) in enumerate(found) for _ in seen],
        [root["deg"] for seen, _ in found for root in seen],
        [bool(root["level"]) for seen, _ in found for root in seen],
        [len(defects) for _, defects in found],
    )
    even = root_shares.evenness(surveys, said.angle_error, said.even)
    flat = root_shares.level_share(surveys, said.level_error, said.level_share)
    alike = root_shares.level_alike(surveys, said.level_error, flat.value, said.level_alike)
    sides = root_sides.p_all_sides(
        *(surveys.owner, surveys.angle, n, said.angle_error, said.gap_limit, said.sectors_needed),
        *(even.value, said.overlooked),
    )
    level = roots.p_level(
        *(surveys.owner, surveys.level, n, said.level_needed, said.level_error, flat.value, alike.value)
    )

    def unseen(name: str, p: float) -> Learned:
        return Learned(root_shares.pulled(p, n, said.unseen(name), root_shares.AS_SURVEYS), n)

    return {
        "even": even,
        "level_share": flat,
        "level_alike": alike,
        "unseen_no_defect": root_shares.clean_share(
            surveys, said.defect_seen, said.defect_not_invented, said.unseen_no_defect
        ),
        "unseen_roots_spread": unseen("roots_spread", float(sides.mean())),
        "unseen_roots_level": unseen("roots_level", float(level.mean())),
    }


def _years(at: datetime) -> float:
    return at.timestamp() / (365.25 * 86_400)


def _newest(
    model: type[FirmCheck] | type[BudCheck], what: str
) -> tuple[list[UUID], list[tuple[int, float, Any]]]:
    """The trees looked at last, and all their looks not given in bulk: (tree, time [year], answer)."""
    rows = model._default_manager.filter(bulk=False).order_by("-at", "-id").values_list("tree", "at", what)
    place: dict[UUID, int] = {}
    looks = []
    for tree, at, answer in rows.iterator(chunk_size=5000):
        if len(place) < MOST_LOOKED:
            place.setdefault(tree, len(place))
        if tree in place:
            looks.append((place[tree], _years(at), answer))
    return list(place), looks


def _from_firm(said: Practice) -> dict[str, Learned]:
    trees, looks = _newest(FirmCheck, "firm")
    if not looks:
        return {}
    owner, at, firm = zip(*looks, strict=True)
    assumed = look_shares.Figures(
        *(said.firm_seen, said.loose_seen, said.unseen_firm, said.firm_gain, said.firm_loss)
    )
    found = look_shares.learn(owner, at, firm, len(trees), assumed)
    names = ("firm_seen", "loose_seen", "unseen_firm", "firm_gain", "firm_loss")
    return {name: Learned(value, len(looks)) for name, value in zip(names, astuple(found), strict=True)}


def _from_buds(said: Practice) -> dict[str, Learned]:
    """How good a look for buds is; how fast they come and go is the species' own."""
    trees, looks = _newest(BudCheck, "state")
    if not looks:
        return {}
    owner, at, state = zip(*looks, strict=True)
    fields = ("species__bud_prior", "species__bud_gain", "species__bud_loss")
    of = {row[0]: row[1:] for row in Tree.objects.filter(id__in=trees).values_list("id", *fields)}
    first, gain, loss = np.array([of[tree] for tree in trees]).T
    assumed = look_shares.Figures(said.buds_seen, said.buds_not_invented, 0.5, 1.0, 1.0)
    some = [answer != Buds.NONE for answer in state]
    found = look_shares.learn(owner, at, some, len(trees), assumed, first=first, gain=gain, loss=loss)
    return {
        "buds_seen": Learned(found.seen, len(looks)),
        "buds_not_invented": Learned(found.not_invented, len(looks)),
    }
