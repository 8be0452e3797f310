"""Plans that phones carry: published by the feed, so that a walk goes on where there is no signal.

A plan is an errand of a day, not an observation: no record makes it, backups and restores leave it out, and
the next plan for the same bench takes its place.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from nursery.feed import lock_head, publish
from nursery.models import FeedRow
from nursery.reports.walk_plan import Stop, WalkPlan

TOPIC = "plan"
#: The key of a plan for the whole nursery; that of a bench is its id.
WHOLE = "nursery"
#: A plan older than this leaves the phones when the next one is published [days].
KEPT_DAYS = 7


@dataclass(frozen=True)
class Carried:
    """A plan that is on the phones."""

    key: str
    name: str
    day: date
    minutes: int
    stops: int

    @property
    def bench(self) -> UUID | None:
        """The bench that it goes along; None for the whole nursery."""
        return None if self.key == WHOLE else UUID(self.key)


def key_of(bench: UUID | None) -> str:
    return WHOLE if bench is None else str(bench)


def data_of(plan: WalkPlan) -> dict[str, Any]:
    """A plan as phones mirror it: the stops in the order in which they are walked."""
    return {
        "name": plan.name,
        "on": plan.day.isoformat(),
        "made_at": timezone.now().isoformat(timespec="milliseconds").replace("+00:00", "Z"),
        "minutes": plan.minutes,
        "seconds": round(plan.seconds),
        "stops": [_stop(stop) for stop in plan.stops],
    }


def _stop(stop: Stop) -> dict[str, Any]:
    looks = [
        {"what": look.what, "why": look.reason, "must": look.must, "seen": look.seen} for look in stop.looks
    ]
    return {"tree": str(stop.tree), "tag": stop.tag, "bench": str(stop.bench), "looks": looks}


def take_to_phones(plan: WalkPlan) -> None:
    """Publish a plan, in place of an older one for the same bench; plans that are past go."""
    with transaction.atomic():
        head = lock_head()
        oldest = (timezone.localdate() - timedelta(KEPT_DAYS)).isoformat()
        past = [key for key, data in _live() if data["on"] < oldest]
        publish(head, [(TOPIC, key, None) for key in past] + [(TOPIC, key_of(plan.bench), data_of(plan))])


def take_off(bench: UUID | None) -> None:
    """Take a plan off the phones; nothing happens where there is none."""
    with transaction.atomic():
        publish(lock_head(), [(TOPIC, key_of(bench), None)])


def on_phones() -> list[Carried]:
    """The plans that phones carry, by name. One query."""
    found = [
        Carried(key, data["name"], date.fromisoformat(data["on"]), data["minutes"], len(data["stops"]))
        for key, data in _live()
    ]
    return sorted(found, key=lambda plan: plan.name)


def _live() -> list[tuple[str, dict[str, Any]]]:
    rows = FeedRow.objects.filter(topic=TOPIC, data__isnull=False).values_list("key", "data")
    return [(key, data) for key, data in rows if data]
