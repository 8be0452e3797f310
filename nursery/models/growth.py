"""What the nursery's own readings taught of how its trees thicken."""

from django.db import models


class GrowthFit(models.Model):
    """The fit as of a day; one row. Standings rest on it as they do on the day.

    It is not made anew by a rebuild: records that came in since would change it, and with it standings of the
    same day. Backups keep it.
    """

    id = models.PositiveSmallIntegerField(primary_key=True, default=1)
    made_on = models.DateField()
    #: Trees and readings learned from.
    trees = models.PositiveIntegerField()
    readings = models.PositiveIntegerField()
    #: False: the fit did not settle, and the spreads are those of practice.
    converged = models.BooleanField()
    #: {"eta": [...], "width": [...], "species": {slug: [mean, cov]}, "lots": {id: [mean, cov]}} as
    #: ``science.growth_model.GrowthModel`` names them.
    parameters = models.JSONField()

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(id=1), name="growth_fit_once")]
