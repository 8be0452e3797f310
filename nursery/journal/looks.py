"""Typed rows that stand for one record each, with the record's id."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from datetime import date
from typing import Any
from uuid import UUID

from django.db import models

from nursery import bulk
from nursery.models import (
    BranchSurvey,
    BudCheck,
    Caliper,
    FirmCheck,
    Note,
    RootSurvey,
    SoilCheck,
    Sowing,
    WorkDone,
)

from .rec import Rec

Values = Callable[[dict[str, Any]], dict[str, Any]]

#: The model of each kind, and the row's own values from the body in force.
LOOKS: dict[str, tuple[type[models.Model], Values]] = {
    "soil_check": (SoilCheck, lambda body: {"state": body["state"]}),
    "bud_check": (BudCheck, lambda body: {"state": body["state"]}),
    "firm_check": (FirmCheck, lambda body: {"firm": body["firm"]}),
    "caliper": (Caliper, lambda body: {"mm": body["mm"], "height_mm": body.get("height_mm")}),
    "root_survey": (
        RootSurvey,
        lambda body: {"roots": body["roots"], "defects": body.get("defects") or []},
    ),
    "branch_survey": (
        BranchSurvey,
        lambda body: {
            "primaries": body["primaries"],
            "secondaries": body["secondaries"],
            "internode_mm": body.get("internode_mm"),
            "order": body.get("order"),
        },
    ),
    "note": (Note, lambda body: {"text": body["text"]}),
    "work_done": (WorkDone, lambda body: {"task": body["task"], "detail": body.get("detail") or ""}),
}


def sowing(rec: Rec) -> Sowing:
    body = rec.effective
    return Sowing(
        id=rec.id,
        lot_id=UUID(body["lot"]),
        on=date.fromisoformat(body["on"]),
        seeds=body["seeds"],
        floaters=body.get("floaters"),
        flat=body.get("flat") or "",
    )


def look(rec: Rec) -> models.Model:
    """The typed row of a look's record."""
    model, values = LOOKS[rec.kind]
    return model(
        id=rec.id,
        tree_id=rec.tree,
        run=rec.run,
        at=rec.observed_at,
        bulk=rec.effective.get("bulk") is True,
        **values(rec.effective),
    )


def put(recs: Iterable[Rec]) -> dict[type[models.Model], list[UUID]]:
    """Write the rows of the applied records; return the ids by model of rows to take away."""
    rows: dict[type[models.Model], list[models.Model]] = defaultdict(list)
    gone: dict[type[models.Model], list[UUID]] = defaultdict(list)
    for rec in recs:
        if rec.kind not in LOOKS and rec.kind != "sowing":
            continue
        model = Sowing if rec.kind == "sowing" else LOOKS[rec.kind][0]
        if rec.applied:
            rows[model].append(sowing(rec) if rec.kind == "sowing" else look(rec))
        elif rec.was_applied:
            gone[model].append(rec.id)
    for model, some in rows.items():
        bulk.upsert(model, some)
    return gone
