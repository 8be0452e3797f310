"""Who and what is let in: phones and people."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Count

from nursery.models import Device, JournalRecord, PairingCode, Person

MINUTE = timedelta(minutes=1)


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
class CodeRow:
    """A pairing code that still waits for its phone; the code itself is kept nowhere."""

    id: int
    name: str
    role: str
    ends_at: datetime
    minutes: int
    tries: int


def open_codes(now: datetime, most_tries: int) -> list[CodeRow]:
    """Codes that can be used (``most_tries`` wrong guesses kill one), the first to end first. One query."""
    found = PairingCode.objects.filter(used_at__isnull=True, ends_at__gt=now, tries__lt=most_tries).order_by(
        "ends_at", "pk"
    )
    return [
        CodeRow(c.pk, c.name, c.get_role_display(), c.ends_at, -((now - c.ends_at) // MINUTE), c.tries)
        for c in found
    ]


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
