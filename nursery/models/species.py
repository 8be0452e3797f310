"""A species is data: its habit selects techniques, windows and priors."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _


class Habit(models.TextChoices):
    TWO_FLUSH_PINE = "two_flush_pine", "two-flush pine"
    ONE_FLUSH_PINE = "one_flush_pine", "one-flush pine"
    BROADLEAF = "broadleaf", "broadleaf"
    JUNIPER = "juniper", "juniper"


#: Those of ``species.json``; a species that a nursery adds itself is called as it was written.
NAMES = (
    *(_("Japanese black pine"), _("Japanese red pine"), _("Japanese white pine"), _("Japanese maple")),
    *(_("trident maple"), _("Chinese elm"), _("shimpaku juniper")),
)


def called(slug: str) -> str:
    """A species in the reader's language, by its slug in a record; its own words where unknown."""
    words = slug.replace("-", " ")
    # The text of nothing is a catalogue's own head.
    return gettext({name.lower(): name for name in NAMES}.get(words, words)) if words else ""


class Species(models.Model):
    """One kind of tree. Priors are ``common practice, no source`` unless the data file names one."""

    slug = models.SlugField(primary_key=True, max_length=40)
    name = models.CharField(max_length=60, unique=True)
    latin = models.CharField(max_length=60)
    habit = models.CharField(max_length=20, choices=Habit.choices)
    techniques = models.JSONField(default=list, help_text="words of models.Work that suit it")
    #: Share of trees of this species expected to carry live low buds, before anybody looks.
    bud_prior = models.FloatField(default=0.5)
    #: Rates per year at which low buds appear and vanish.
    bud_gain = models.FloatField(default=0.4)
    bud_loss = models.FloatField(default=0.4)
    #: Trunk thickening in a free year: mean and spread [mm/year].
    growth_mm = models.FloatField(default=4.0)
    growth_sd_mm = models.FloatField(default=2.0)
    #: Median months from wiring until the wire bites, in the growing season.
    bite_months = models.FloatField(default=9.0)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "species"
        constraints = [
            models.CheckConstraint(
                condition=Q(bud_prior__gt=0) & Q(bud_prior__lt=1), name="species_bud_prior"
            ),
            models.CheckConstraint(condition=Q(growth_mm__gt=0), name="species_growth"),
        ]

    def __str__(self) -> str:
        return self.called

    @property
    def called(self) -> str:
        """Its name in the reader's language."""
        return gettext(self.name)
