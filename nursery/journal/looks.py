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
    Picture,
    RootSurvey,
    SoilCheck,
    Sowing,
    WorkDone,
)

from .fields import as_uuid
from .rec import Rec

Values = Callable[[dict[str, Any]], tuple[Any, ...]]

#: The model of each kind, its own columns, and their values from the body in force.
LOOKS: dict[str, tuple[type[models.Model], tuple[str, ...], Values]] = {
    "soil_check": (SoilCheck, ("state",), lambda body: (body["state"],)),
    "bud_check": (BudCheck, ("state",), lambda body: (body["state"],)),
    "firm_check": (FirmCheck, ("firm",), lambda body: (body["firm"],)),
    "caliper": (
        Caliper,
        ("mm", "height_mm", "method", "photo", "sd_mm"),
        lambda body: (
            body["mm"],
            body.get("height_mm"),
            body.get("method") or "",
            as_uuid(body.get("photo")),
            body.get("sd_mm"),
        ),
    ),
    "photo": (
        Picture,
        ("photo", "caption"),
        lambda body: (UUID(body["photo"]), body.get("caption") or ""),
    ),
    "root_survey": (
        RootSurvey,
        ("roots", "defects"),
        lambda body: (body["roots"], body.get("defects") or []),
    ),
    "branch_survey": (
        BranchSurvey,
        ("primaries", "secondaries", "internode_mm", "order"),
        lambda body: (
            body["primaries"],
            body["secondaries"],
            body.get("internode_mm"),
            body.get("order"),
        ),
    ),
    "note": (Note, ("text",), lambda body: (body["text"],)),
    "work_done": (WorkDone, ("task", "detail"), lambda body: (body["task"], body.get("detail") or "")),
}
_SHARED = ("id", "tree_id", "run", "at", "bulk")


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


def look(rec: Rec, values: Values) -> tuple[Any, ...]:
    """The typed row of a look's record: the shared columns, then the kind's own."""
    body = rec.effective
    return (rec.id, rec.tree, rec.run, rec.observed_at, body.get("bulk") is True, *values(body))


def put(recs: Iterable[Rec]) -> dict[type[models.Model], list[UUID]]:
    """Write the rows of the applied records; return the ids by model of rows to take away."""
    by_kind: dict[str, list[Rec]] = defaultdict(list)
    for rec in recs:
        if rec.kind in LOOKS or rec.kind == "sowing":
            by_kind[rec.kind].append(rec)
    gone: dict[type[models.Model], list[UUID]] = {}
    for kind, some in by_kind.items():
        model: type[models.Model] = Sowing
        if kind == "sowing":
            bulk.upsert(Sowing, [sowing(rec) for rec in some if rec.applied])
        else:
            model, names, values = LOOKS[kind]
            bulk.upsert_rows(model, (*_SHARED, *names), [look(rec, values) for rec in some if rec.applied])
        gone[model] = [rec.id for rec in some if rec.was_applied and not rec.applied]
    return gone
