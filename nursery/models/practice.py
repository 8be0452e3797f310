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
