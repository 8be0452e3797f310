"""The closed lists of words that records use. The phone's copy is checked against these by a test."""

from django.db import models


class Phase(models.TextChoices):
    SOWN = "sown", "sown"
    SEEDLING = "seedling", "seedling"
    ROOTS = "roots", "roots"
    TRUNK = "trunk", "trunk"
    BRANCHES = "branches", "branches"
    REFINEMENT = "refinement", "refinement"


class WireState(models.TextChoices):
    """From slack to harm, in this order."""

    LOOSE = "loose", "loose"
    SNUG = "snug", "snug"
    MARKING = "marking", "marking"
    BITING = "biting", "biting"
    SUNK_IN = "sunk_in", "sunk in"


class Soil(models.TextChoices):
    WET = "wet", "wet"
    MOIST = "moist", "moist"
    DRY = "dry", "dry"


class Buds(models.TextChoices):
    NONE = "none", "none"
    FEW = "few", "few"
    MANY = "many", "many"


class WirePart(models.TextChoices):
    TRUNK = "trunk", "trunk"
    BRANCH = "branch", "branch"
    LEADER = "leader", "sacrifice leader"


class Scars(models.TextChoices):
    NONE = "none", "none"
    LIGHT = "light", "light"
    DEEP = "deep", "deep"


class Leaving(models.TextChoices):
    DIED = "died", "died"
    CULLED = "culled", "culled"
    SOLD = "sold", "sold"
    GIVEN = "given", "given away"


class Style(models.TextChoices):
    """Tree shapes, in the trade's own words."""

    FORMAL_UPRIGHT = "formal_upright", "formal upright"
    INFORMAL_UPRIGHT = "informal_upright", "informal upright"
    SLANTING = "slanting", "slanting"
    SEMI_CASCADE = "semi_cascade", "semi-cascade"
    CASCADE = "cascade", "cascade"
    BROOM = "broom", "broom"
    CLUMP = "clump", "clump"
    LITERATI = "literati", "literati"


class Work(models.TextChoices):
    REPOTTED = "repotted", "repotted"
    ROOT_PRUNED = "root_pruned", "root-pruned"
    FED = "fed", "fed"
    WATERED = "watered", "watered"
    DECANDLED = "decandled", "decandled"
    NEEDLES_THINNED = "needles_thinned", "needles thinned"
    DEFOLIATED = "defoliated", "defoliated"
    CUT_BACK = "cut_back", "cut back"
    LEADER_CUT = "leader_cut", "leader cut"
    SPRAYED = "sprayed", "sprayed"


class Role(models.TextChoices):
    OWNER = "owner", "owner"
    HELPER = "helper", "helper"
    VIEWER = "viewer", "viewer"


class Fate(models.TextChoices):
    """What became of a record. PENDING is a record stored by a server that died before it judged it."""

    PENDING = "pending", "pending"
    APPLIED = "applied", "applied"
    SET_ASIDE = "set_aside", "set aside"
    WITHDRAWN = "withdrawn", "withdrawn"
