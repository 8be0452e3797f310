"""Settings of practice: what growers decide or assume, with meaning, unit, default and range. Their one home.

Where a computation has the number as a default of its own, the default here is that one. All are common
practice, no source, unless the computation's module names one.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from . import branches
from .gates import PRIORS
from .practice_looks import OfLooks
from .practice_setting import GROUPS, N_, In, Setting
from .practice_shape import OfShape
from .practice_walk import OfWalks

__all__ = ["DEFAULT", "GROUPS", "SETTINGS", "Practice", "Setting"]
_READY, _DUE, _UNSEEN = In("ready"), In("due"), In("unseen")


def _unseen(criterion: str, label: str) -> Any:
    meaning = N_("The chance counted with until somebody looks.")
    return _UNSEEN.share(PRIORS[criterion], 0.01, 0.99, label, meaning)


@dataclass(frozen=True)
class Practice(OfLooks, OfShape, OfWalks):
    """The numbers in force. Shares lie in 0..1."""

    ready: float = _READY.share(
        0.8,
        0.5,
        0.99,
        N_("Called ready from"),
        N_("A tree is ready when the chance that all criteria of its gate are met is at least this."),
    )
    surest: float = _READY.share(
        0.999,
        0.9,
        0.9999,
        N_("No criterion is surer than"),
        N_("A slip of the pen is always possible, either way."),
    )

    soil_days: int = _DUE.whole(
        7, 1, 60, N_("days"), N_("Soil, in the growing months"), N_("A pot is felt again after so many days.")
    )
    soil_days_at_rest: int = _DUE.whole(
        21,
        1,
        120,
        N_("days"),
        N_("Soil, in the months of rest"),
        N_("The same from November to February, when a pot hardly dries."),
    )
    bud_days: int = _DUE.whole(
        60,
        5,
        730,
        N_("days"),
        N_("Low buds"),
        N_("Looked at again after so many days of the growing season."),
    )
    caliper_days: int = _DUE.whole(
        365, 30, 1500, N_("days"), N_("Trunk"), N_("Measured again after so many days.")
    )
    firm_days: int = _DUE.whole(
        180, 14, 730, N_("days"), N_("Firm in its pot"), N_("Rocked again after so many days.")
    )
    branch_days: int = _DUE.whole(
        365, 30, 1500, N_("days"), N_("Branches"), N_("Counted again after so many days.")
    )
    repot_from: int = _DUE.whole(
        2,
        1,
        12,
        N_("month"),
        N_("Repotting from"),
        N_("Roots are looked at when pots are open (2 is February)."),
    )
    repot_until: int = _DUE.whole(
        4, 1, 12, N_("month"), N_("Repotting until"), N_("The last month of repotting (4 is April).")
    )

    unseen_alive: float = _unseen("alive", N_("Alive"))
    unseen_season_old: float = _unseen("season_old", N_("One season old"))
    unseen_firm: float = _unseen("firm", N_("Firm in its pot"))
    unseen_roots_spread: float = _unseen("roots_spread", N_("Roots on all sides"))
    unseen_roots_level: float = _unseen("roots_level", N_("Roots level"))
    unseen_no_defect: float = _unseen("no_defect", N_("No root defect"))
    unseen_at_target: float = _unseen("at_target", N_("Trunk at its target, no target set"))
    unseen_taper: float = _unseen("taper", N_("Trunk tapers"))
    unseen_wire_done: float = _unseen("wire_done", N_("First wire done"))
    unseen_primaries: float = _unseen("primaries", N_("Branches set"))
    unseen_internodes: float = _unseen("internodes", N_("Short internodes"))
    unseen_order: float = _unseen("order", N_("Branched finely enough"))

    @staticmethod
    def of(values: Mapping[str, float]) -> "Practice":
        """With some numbers of the grower's own. Values unknown or not allowed here are passed over."""
        kept = {
            name: int(value) if SETTINGS[name].whole else float(value)
            for name, value in values.items()
            if name in SETTINGS and not SETTINGS[name].wrong(value)
        }
        return replace(DEFAULT, **kept)  # type: ignore[arg-type]

    def value(self, name: str) -> float:
        """A setting by its name."""
        return float(getattr(self, name))

    def unseen(self, criterion: str) -> float:
        """P(criterion met) before anybody looked."""
        return self.value(f"unseen_{criterion}")

    def need(self, style: str) -> branches.Need:
        """What a design of a style needs; that of a usual one for "" and for one without own numbers."""

        def own(what: str) -> int:
            return int(getattr(self, f"{what}_{style}", getattr(self, what)))

        return branches.Need(own("primaries"), own("secondaries"), own("order"))

    def repotting(self, month: int) -> bool:
        """Whether a month (1-12) is one of repotting; the season may go over the turn of the year."""
        first, last = self.repot_from, self.repot_until
        return first <= month <= last if first <= last else month >= first or month <= last


SETTINGS: dict[str, Setting] = {
    one.name: replace(one.metadata["setting"], name=one.name) for one in fields(Practice)
}
DEFAULT = Practice()
