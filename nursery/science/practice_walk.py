"""Settings of practice: what looks and ways take on a walk, and what is worth a stop."""

from dataclasses import dataclass
from typing import Any

from .looking import CHECKS, USUAL
from .practice_setting import In

_WALK = In("walk")


def _look(name: str, label: str) -> Any:
    meaning = "What one such look takes at the tree, with the tap on the phone."
    return _WALK.number(CHECKS[name].seconds, 1, 1800, "s", label, meaning)


@dataclass(frozen=True)
class OfWalks:
    """What a walk's plan reckons with."""

    look_wire: float = _look("wire", "A look at a wire")
    look_soil: float = _look("soil", "Feeling the soil")
    look_firm: float = _look("firm", "Rocking a tree in its pot")
    look_buds: float = _look("buds", "A look for low buds")
    look_caliper: float = _look("caliper", "Measuring above the roots")
    look_taper: float = _look("taper", "Measuring higher up")
    look_roots: float = _look("roots", "A survey of the surface roots")
    look_branches: float = _look("branches", "Counting the branches")
    way_place: float = _WALK.number(
        USUAL.place, 0, 60, "s", "From a place to the next", "The way along a row, for each place."
    )
    way_row: float = _WALK.number(
        USUAL.row, 0, 300, "s", "From a row to the next", "The way across the rows, for each row."
    )
    way_bench: float = _WALK.number(
        USUAL.bench, 0, 1800, "s", "To a bench", "The way there and finding the first place."
    )
    way_stop: float = _WALK.number(
        USUAL.stop, 0, 120, "s", "Stopping at a tree", "Finding the tag, and the tree in the app."
    )
    least_gain: float = _WALK.number(
        USUAL.least_gain,
        0,
        0.5,
        "bit",
        "A look worth a stop tells at least",
        "A look that hardly changes whether a tree counts as ready is left out, however much time there is.",
    )
