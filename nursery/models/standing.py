"""The rolled-up state of each tree, and what it rests on."""

from django.db import models

from nursery.sentences import N_

from .trees import Tree

#: Why soil is due where a pot was dry when last felt and no watering was recorded since.
SEEN_DRY = N_("dry on {day:on}")


class Standing(models.Model):
    """Made by the roll-up from the tree's records as of a day; never edited."""

    tree = models.OneToOneField(Tree, primary_key=True, on_delete=models.CASCADE, related_name="standing")
    as_of = models.DateField()
    #: The gate ahead: "roots", "trunk", "branches", "refinement"; "" where no gate is left.
    gate = models.CharField(max_length=12, blank=True)
    #: P(all criteria of the gate met | evidence); null where no gate is left.
    readiness = models.FloatField(null=True)
    #: The criterion with the smallest p, and whether it was never looked at.
    held_by = models.CharField(max_length=30, blank=True)
    held_not_looked = models.BooleanField(default=False)
    #: [{"name", "p", "looked", "why", "evidence": [{"record", "on", "text"}]}] in the gate's order.
    #: Each "why" and "text", here and below, is a sentence (nursery/sentences.py).
    criteria = models.JSONField(default=list)
    #: ["wire" | "soil" | "buds" | "caliper" | "roots"] with a reason each: [{"what", "why"}]
    due = models.JSONField(default=list)
    #: The open wirings' worst state seen, "" where no wire is on; and the day to look by.
    wire_state = models.CharField(max_length=10, blank=True)
    wire_on_since = models.DateField(null=True)
    wire_look_by = models.DateField(null=True)
    wire_why = models.JSONField(default=str)
    #: P(live low buds now).
    buds_p = models.FloatField(null=True)
    #: Last looks: {"wire": ["snug", "2026-06-01"], "soil": [...], "buds": [...], "caliper": [12.5, "..."]}
    last = models.JSONField(default=dict)
    caliper_mm = models.FloatField(null=True)

    class Meta:
        indexes = [
            models.Index(fields=["gate", "-readiness"], name="standing_by_gate"),
            models.Index(fields=["held_by"], name="standing_by_held"),
            models.Index(fields=["wire_look_by"], name="standing_by_wire"),
        ]


class Stale(models.Model):
    """A tree with records newer than its standing. Written with them; gone when it is rolled up."""

    tree = models.UUIDField(primary_key=True)


class WireFit(models.Model):
    """What the nursery's own wires taught, as of a day; one row. Standings rest on it as they do on the day.

    It is not made anew by a rebuild: records that came in since would change it, and with it standings of the
    same day. Backups keep it.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    made_on = models.DateField()
    #: Wires learned from; of them seen biting or worse, and sunk in.
    n = models.PositiveIntegerField()
    bitten = models.PositiveIntegerField()
    sunk = models.PositiveIntegerField()
    #: False: the fit did not settle, and practice stands in.
    converged = models.BooleanField()
    #: Parameters of ``science.wire_model.WireModel``, and what wires of each species and part did.
    parameters = models.JSONField()

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="wire_fit_once")]
