"""The closed lists of words that records use. The phone's copy is checked against these by a test."""

from functools import cache

from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import override


@cache
def untranslated(choice: models.TextChoices) -> str:
    """Its label as sentences hold it, whatever language is active."""
    with override(None):
        return str(choice.label)


class Phase(models.TextChoices):
    SOWN = "sown", _("sown")
    SEEDLING = "seedling", _("seedling")
    ROOTS = "roots", _("roots")
    TRUNK = "trunk", _("trunk")
    BRANCHES = "branches", _("branches")
    REFINEMENT = "refinement", _("refinement")


class WireState(models.TextChoices):
    """From slack to harm, in this order."""

    LOOSE = "loose", _("loose")
    SNUG = "snug", _("snug")
    MARKING = "marking", _("marking")
    BITING = "biting", _("biting")
    SUNK_IN = "sunk_in", _("sunk in")


class Soil(models.TextChoices):
    WET = "wet", _("wet")
    MOIST = "moist", _("moist")
    DRY = "dry", _("dry")


class Buds(models.TextChoices):
    NONE = "none", _("none")
    FEW = "few", _("few")
    MANY = "many", _("many")


class WirePart(models.TextChoices):
    TRUNK = "trunk", _("trunk")
    BRANCH = "branch", _("branch")
    LEADER = "leader", _("sacrifice leader")


class Scars(models.TextChoices):
    NONE = "none", _("none")
    LIGHT = "light", _("light")
    DEEP = "deep", _("deep")


class Leaving(models.TextChoices):
    DIED = "died", _("died")
    CULLED = "culled", _("culled")
    SOLD = "sold", _("sold")
    GIVEN = "given", _("given away")


class Style(models.TextChoices):
    """Tree shapes, in the trade's own words."""

    FORMAL_UPRIGHT = "formal_upright", _("formal upright")
    INFORMAL_UPRIGHT = "informal_upright", _("informal upright")
    SLANTING = "slanting", _("slanting")
    SEMI_CASCADE = "semi_cascade", _("semi-cascade")
    CASCADE = "cascade", _("cascade")
    BROOM = "broom", _("broom")
    CLUMP = "clump", _("clump")
    LITERATI = "literati", _("literati")


class Work(models.TextChoices):
    REPOTTED = "repotted", _("repotted")
    ROOT_PRUNED = "root_pruned", _("root-pruned")
    FED = "fed", _("fed")
    WATERED = "watered", _("watered")
    DECANDLED = "decandled", _("decandled")
    NEEDLES_THINNED = "needles_thinned", _("needles thinned")
    DEFOLIATED = "defoliated", _("defoliated")
    CUT_BACK = "cut_back", _("cut back")
    LEADER_CUT = "leader_cut", _("leader cut")
    SPRAYED = "sprayed", _("sprayed")


class Role(models.TextChoices):
    OWNER = "owner", _("owner")
    HELPER = "helper", _("helper")
    VIEWER = "viewer", _("viewer")


class Fate(models.TextChoices):
    """What became of a record. PENDING is a record stored by a server that died before it judged it."""

    PENDING = "pending", _("pending")
    APPLIED = "applied", _("applied")
    SET_ASIDE = "set_aside", _("set aside")
    WITHDRAWN = "withdrawn", _("withdrawn")
