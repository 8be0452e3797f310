"""People, their phones, and the codes that let them in."""

import uuid

from django.conf import settings
from django.db import models

from .words import Role


class Person(models.Model):
    """What a signed-in user may do."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="person")
    role = models.CharField(max_length=8, choices=Role.choices)

    class Meta:
        verbose_name_plural = "people"


class Device(models.Model):
    """A phone with a session of its own. Only a hash of its token is kept."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    name = models.CharField(max_length=60)
    role = models.CharField(max_length=8, choices=Role.choices)
    token_hash = models.CharField(max_length=64, unique=True)
    paired_at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True)
    revoked_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    @property
    def is_authenticated(self) -> bool:
        """What DRF asks of a request's user."""
        return self.revoked_at is None


class PairingCode(models.Model):
    """Single use, ten minutes; every wrong guess is counted on each open code, and ten kill it."""

    code_hash = models.CharField(max_length=64)
    name = models.CharField(max_length=60)
    role = models.CharField(max_length=8, choices=Role.choices)
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)


class EntryLink(models.Model):
    """A one-time link by which a person sets a password: the owner first, then whom the owner invites."""

    token_hash = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=8, choices=Role.choices)
    made_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)


class WrongTry(models.Model):
    """A failed sign-in or pairing, kept to slow the next one down."""

    gate = models.CharField(max_length=10)
    who = models.CharField(max_length=80)
    at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["gate", "who", "at"], name="wrong_try_by_who")]
