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
