"""The domain's rows."""

from .growth import GrowthFit
from .journal import Contested, FeedHead, FeedRow, JournalRecord
from .looks import (
    BranchSurvey,
    BudCheck,
    Caliper,
    ChecklistRun,
    FirmCheck,
    Look,
    Note,
    RootSurvey,
    SoilCheck,
    WireInspection,
    Wiring,
    WorkDone,
)
from .people import Device, EntryLink, PairingCode, Person, WrongTry
from .photos import PhotoFile, Picture
from .places import Bench, Site
from .practice import Practice, Score, Stay, Taught
from .species import Habit, Species
from .standing import SEEN_DRY, Stale, Standing, WireFit
from .trees import SeedLot, Sowing, Tree
from .words import (
    Buds,
    Fate,
    Leaving,
    Phase,
    Role,
    Scars,
    Soil,
    Style,
    WirePart,
    WireState,
    Work,
    untranslated,
)

__all__ = [
    "SEEN_DRY",
    "Bench",
    "BranchSurvey",
    "BudCheck",
    "Buds",
    "Caliper",
    "ChecklistRun",
    "Contested",
    "Device",
    "EntryLink",
    "Fate",
    "FeedHead",
    "FeedRow",
    "FirmCheck",
    "GrowthFit",
    "Habit",
    "JournalRecord",
    "Leaving",
    "Look",
    "Note",
    "PairingCode",
    "Person",
    "Phase",
    "PhotoFile",
    "Picture",
    "Practice",
    "Role",
    "RootSurvey",
    "Scars",
    "Score",
    "SeedLot",
    "Site",
    "Soil",
    "SoilCheck",
    "Sowing",
    "Species",
    "Stale",
    "Standing",
    "Stay",
    "Style",
    "Taught",
    "Tree",
    "WireFit",
    "WireInspection",
    "WirePart",
    "WireState",
    "Wiring",
    "Work",
    "WorkDone",
    "WrongTry",
    "untranslated",
]
