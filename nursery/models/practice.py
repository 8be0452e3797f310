"""The grower's own settings of practice, as their records leave them."""

from django.db import models


class Practice(models.Model):
    """One setting that was ever changed. What the numbers mean is in ``science.practice``."""

    name = models.CharField(primary_key=True, max_length=40)
    #: None: back to the default.
    value = models.FloatField(null=True)
    #: When it was last changed, and by which record.
    at = models.DateTimeField()
    record = models.UUIDField()

    class Meta:
        verbose_name_plural = "practice"


class Taught(models.Model):
    """Settings that the nursery's own looks taught, as of a day; one row. The grower's own word goes before.

    Like the other fits it is not made anew by a rebuild, and backups keep it.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    made_on = models.DateField()
    #: {name: [value, number of looks]}
    numbers = models.JSONField()

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="taught_once")]


class Stay(models.Model):
    """A tree's time in one phase, as its records leave it: what began it and what ended it."""

    #: The record that began it.
    id = models.UUIDField(primary_key=True)
    tree = models.UUIDField(db_index=True)
    phase = models.CharField(max_length=12)
    since = models.DateField()
    until = models.DateField(null=True)
    #: "" while it lasts, the next phase, or how the tree left; and the record that said so.
    end = models.CharField(max_length=12, blank=True)
    ended_by = models.UUIDField(null=True)

    class Meta:
        indexes = [models.Index(fields=["since"], name="stay_by_since")]


class Score(models.Model):
    """The readiness that stood at the end of a season, reckoned from the records up to that day.

    Reckoned once, with what the nursery had learned by then or, for seasons long past, by the first run; kept
    so that scores can be held against what was decided. Like the fits it is not made anew by a rebuild.
    """

    stay = models.UUIDField()
    on = models.DateField()
    gate = models.CharField(max_length=12)
    p = models.FloatField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["stay", "on"], name="score_once")]
