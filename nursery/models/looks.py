"""What was seen and done, one typed row a record; the row's id is the record's id."""

from django.db import models
from django.db.models import Q

from .places import Bench
from .trees import Tree
from .words import Buds, Scars, Soil, WirePart, WireState, Work


class ChecklistRun(models.Model):
    """One walk along a bench; its id is the run that its records carry."""

    id = models.UUIDField(primary_key=True)
    bench = models.ForeignKey(Bench, on_delete=models.CASCADE, related_name="walks")
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    device = models.UUIDField(null=True)

    class Meta:
        ordering = ["-started_at"]


class Look(models.Model):
    """The shape shared by all rows about one tree."""

    id = models.UUIDField(primary_key=True)
    #: Each kind has an index by tree and time; one more by tree alone would cost every push.
    tree = models.ForeignKey(Tree, on_delete=models.CASCADE, db_index=False)
    run = models.UUIDField(null=True)
    at = models.DateTimeField()
    #: Given by "the rest is fine" or for a whole row, not tree by tree.
    bulk = models.BooleanField(default=False)

    class Meta:
        abstract = True


class Wiring(Look):
    part = models.CharField(max_length=10, choices=WirePart.choices)
    wire_mm = models.FloatField(null=True, help_text="[mm]")
    off_at = models.DateTimeField(null=True)
    scars = models.CharField(max_length=8, choices=Scars.choices, blank=True)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="wiring_by_tree")]
        constraints = [
            models.CheckConstraint(condition=Q(wire_mm__isnull=True) | Q(wire_mm__gt=0), name="wiring_mm"),
        ]


class WireInspection(Look):
    #: The wiring looked at; null when the record meant "the wire on this tree" and none was known to be on.
    wiring = models.ForeignKey(Wiring, null=True, on_delete=models.CASCADE, related_name="looks")
    state = models.CharField(max_length=10, choices=WireState.choices)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="wire_look_by_tree")]


class SoilCheck(Look):
    state = models.CharField(max_length=8, choices=Soil.choices)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="soil_by_tree")]


class BudCheck(Look):
    state = models.CharField(max_length=8, choices=Buds.choices)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="buds_by_tree")]


class FirmCheck(Look):
    """Whether a young tree stands firm in its pot."""

    firm = models.BooleanField()

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="firm_by_tree")]


class Caliper(Look):
    mm = models.FloatField(help_text="[mm] across the trunk")
    #: Height above the roots; null means just above them.
    height_mm = models.FloatField(null=True, help_text="[mm]")
    #: "photo" where it was measured in a picture beside the tag's code; "" by hand.
    method = models.CharField(max_length=10, blank=True)
    photo = models.UUIDField(null=True)
    #: The error that the way of measuring gave itself, one standard deviation; null: not said.
    sd_mm = models.FloatField(null=True, help_text="[mm]")

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="caliper_by_tree")]
        constraints = [models.CheckConstraint(condition=Q(mm__gt=0) & Q(mm__lte=1000), name="caliper_mm")]


class RootSurvey(Look):
    #: [{"deg": 0..359, "grade": 1..5, "level": bool}]
    roots = models.JSONField(default=list)
    #: Words: crossing, one_sided, high, girdling, rot
    defects = models.JSONField(default=list)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="roots_by_tree")]


class BranchSurvey(Look):
    primaries = models.PositiveSmallIntegerField()
    secondaries = models.PositiveSmallIntegerField()
    internode_mm = models.FloatField(null=True, help_text="[mm] at the tips")
    #: Order of branching by Strahler.
    order = models.PositiveSmallIntegerField(null=True)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="branches_by_tree")]


class Note(Look):
    text = models.CharField(max_length=2000)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="note_by_tree")]


class WorkDone(Look):
    task = models.CharField(max_length=20, choices=Work.choices)
    detail = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = [models.Index(fields=["tree", "at"], name="work_by_tree")]
