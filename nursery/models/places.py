"""Where trees stand."""

from django.db import models
from django.db.models import Q


class Site(models.Model):
    """A nursery's ground: one climate, one clock."""

    id = models.UUIDField(primary_key=True)
    name = models.CharField(max_length=80)
    time_zone = models.CharField(max_length=64, default="UTC")
    latitude = models.FloatField(null=True, help_text="[degrees north]")
    longitude = models.FloatField(null=True, help_text="[degrees east]")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude__isnull=True) | Q(latitude__range=(-90, 90)), name="site_latitude"
            ),
            models.CheckConstraint(
                condition=Q(longitude__isnull=True) | Q(longitude__range=(-180, 180)), name="site_longitude"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Bench(models.Model):
    """Rows of places, walked as a serpentine: odd rows from place 1 up, even rows from the far end back."""

    id = models.UUIDField(primary_key=True)
    site = models.ForeignKey(Site, on_delete=models.CASCADE, related_name="benches")
    name = models.CharField(max_length=60)
    rows = models.PositiveSmallIntegerField()
    places = models.PositiveSmallIntegerField(help_text="places in each row")
    walk_order = models.IntegerField(default=0, help_text="lower is walked first")

    class Meta:
        ordering = ["walk_order", "name"]
        constraints = [
            models.CheckConstraint(condition=Q(rows__range=(1, 200)), name="bench_rows"),
            models.CheckConstraint(condition=Q(places__range=(1, 200)), name="bench_places"),
        ]

    def __str__(self) -> str:
        return self.name
