"""Lots, sowings and trees, as their records leave them."""

from django.db import models
from django.db.models import Q

from .places import Bench
from .species import Species
from .words import Leaving, Phase, Style


class SeedLot(models.Model):
    """Seed of one species from one source and year."""

    id = models.UUIDField(primary_key=True)
    code = models.CharField(max_length=30)
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="lots")
    source = models.CharField(max_length=120, blank=True)
    year = models.PositiveSmallIntegerField(null=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class Sowing(models.Model):
    """Seed of a lot put in the ground on one day."""

    id = models.UUIDField(primary_key=True)
    lot = models.ForeignKey(SeedLot, on_delete=models.CASCADE, related_name="sowings")
    on = models.DateField()
    seeds = models.PositiveIntegerField()
    floaters = models.PositiveIntegerField(null=True, help_text="seeds that floated after 24 h")
    flat = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(floaters__isnull=True) | Q(floaters__lte=models.F("seeds")),
                name="sowing_floaters",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.lot_id} {self.on}"


class Tree(models.Model):
    """One tree: where it stands, what it is meant to become, and whether it is still here.

    Tags are not unique by constraint: two phones may give out one tag offline, and neither record may be
    lost. The shed shows tags that are used twice.
    """

    id = models.UUIDField(primary_key=True)
    tag = models.CharField(max_length=16, db_index=True)
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="trees")
    lot = models.ForeignKey(SeedLot, null=True, on_delete=models.SET_NULL, related_name="trees")
    sown_year = models.PositiveSmallIntegerField(null=True)
    phase = models.CharField(max_length=12, choices=Phase.choices, default=Phase.SEEDLING)
    phase_since = models.DateField()
    bench = models.ForeignKey(Bench, null=True, on_delete=models.SET_NULL, related_name="trees")
    row = models.PositiveSmallIntegerField(null=True)
    place = models.PositiveSmallIntegerField(null=True)
    target_height_mm = models.FloatField(null=True, help_text="[mm]")
    target_base_mm = models.FloatField(null=True, help_text="[mm]")
    target_style = models.CharField(max_length=20, choices=Style.choices, blank=True)
    left_how = models.CharField(max_length=10, choices=Leaving.choices, blank=True)
    left_on = models.DateField(null=True)
    left_why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["tag"]
        indexes = [models.Index(fields=["bench", "row", "place"], name="tree_by_place")]
        constraints = [
            models.CheckConstraint(
                condition=Q(bench__isnull=True, row__isnull=True, place__isnull=True)
                | Q(bench__isnull=False, row__gte=1, place__gte=1),
                name="tree_place_whole",
            ),
            models.CheckConstraint(
                condition=Q(left_how="", left_on__isnull=True) | (~Q(left_how="") & Q(left_on__isnull=False)),
                name="tree_left_with_a_date",
            ),
            models.CheckConstraint(
                condition=Q(target_base_mm__isnull=True) | Q(target_base_mm__gt=0), name="tree_target_base"
            ),
        ]

    def __str__(self) -> str:
        return self.tag

    @property
    def has_target(self) -> bool:
        """Whether it is known how thick it shall be: by its base, or by its height."""
        return self.target_base_mm is not None or self.target_height_mm is not None
