"""Settings of practice: what looks and ways take on a walk, and what is worth a stop."""

from dataclasses import dataclass
from typing import Any

from .looking import CHECKS, USUAL
from .practice_setting import N_, In

_WALK = In("walk")


def _look(name: str, label: str) -> Any:
    meaning = N_("What one such look takes at the tree, with the tap on the phone.")
    return _WALK.number(CHECKS[name].seconds, 1, 1800, "s", label, meaning)


@dataclass(frozen=True)
class OfWalks:
    """What a walk's plan reckons with."""

    look_wire: float = _look("wire", N_("A look at a wire"))
    look_soil: float = _look("soil", N_("Feeling the soil"))
    look_firm: float = _look("firm", N_("Rocking a tree in its pot"))
    look_buds: float = _look("buds", N_("A look for low buds"))
    look_caliper: float = _look("caliper", N_("Measuring above the roots"))
    look_taper: float = _look("taper", N_("Measuring higher up"))
    look_roots: float = _look("roots", N_("A survey of the surface roots"))
    look_branches: float = _look("branches", N_("Counting the branches"))
    way_place: float = _WALK.number(
        USUAL.place, 0, 60, "s", N_("From a place to the next"), N_("The way along a row, for each place.")
    )
    way_row: float = _WALK.number(
        USUAL.row, 0, 300, "s", N_("From a row to the next"), N_("The way across the rows, for each row.")
    )
    way_bench: float = _WALK.number(
        USUAL.bench, 0, 1800, "s", N_("To a bench"), N_("The way there and finding the first place.")
    )
    way_stop: float = _WALK.number(
        USUAL.stop, 0, 120, "s", N_("Stopping at a tree"), N_("Finding the tag, and the tree in the app.")
    )
    least_gain: float = _WALK.number(
        USUAL.least_gain,
        0,
        0.5,
        N_("bit"),
        N_("A look worth a stop tells at least"),
        N_(
            "A look that hardly changes whether a tree counts as ready is left out, "
            "however much time there is."
        ),
    )
