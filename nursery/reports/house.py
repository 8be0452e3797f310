"""Who and what is let in: phones and people."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Count

from nursery.models import Device, JournalRecord, Person


@dataclass(frozen=True)
class PhoneRow:
    """A phone: when it was last here, and how many records it has handed over."""

    id: UUID
    name: str
    role: str
    paired_at: datetime
    seen_at: datetime | None
    revoked_at: datetime | None
    records: int


def phones() -> list[PhoneRow]:
    """All phones, those in use first. Two queries, of which the count reads an index only."""
    devices = list(Device.objects.all())
    counted = (
        JournalRecord.objects.filter(device__in=[d.id for d in devices])
        .order_by()
        .values_list("device")
        .annotate(n=Count("device"))
    )
    counts: dict[UUID, int] = dict(counted)
    rows = [
        PhoneRow(
            d.id, d.name, d.get_role_display(), d.paired_at, d.seen_at, d.revoked_at, counts.get(d.id, 0)
        )
        for d in devices
    ]
    return sorted(rows, key=lambda r: (r.revoked_at is not None, r.name.lower()))


@dataclass(frozen=True)
class PersonRow:
    """Somebody who may sign in."""

    id: int
    name: str
    role: str
    role_word: str
    active: bool
    last_login: datetime | None


def people() -> list[PersonRow]:
    """All people, those switched on first. One query."""
    found = Person.objects.select_related("user").order_by("-user__is_active", "role", "user__username")
    return [
        PersonRow(
            u.pk, u.get_username(), p.role, p.get_role_display(), u.is_active, u.last_login
        )
        for p in found
        for u in [p.user]
    ]  # fmt: skip


def owners() -> list[str]:
    """The names of the owners who can sign in: whom to ask. One query."""
    found = Person.objects.filter(role="owner", user__is_active=True).order_by("user__username")
    return list(found.values_list("user__username", flat=True)[:5])
