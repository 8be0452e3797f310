"""Why a tree is on a walk, in one line each."""

from datetime import date

from nursery.models import WireState
from nursery.science.looking import Check, if_good

from . import words
from .planned_trees import Planned

#: Each look as a thing to do.
DO = {
    "wire": "look at the wire",
    "soil": "feel the soil",
    "firm": "rock it in its pot",
    "roots": "scrape back the top soil, survey the roots",
    "buds": "look low down for buds",
    "caliper": "measure above the roots",
    "taper": "measure higher up as well",
    "branches": "count branches, measure an internode",
}
#: What was never done, and what was done last on some day.
LAST = {
    "soil": ("never looked at", "last looked at"),
    "firm": ("never felt whether it is firm", "firmness last felt"),
    "roots": ("roots never surveyed", "roots last surveyed"),
    "buds": ("low buds never looked at", "low buds last looked at"),
    "caliper": ("trunk never measured", "trunk last measured"),
    "taper": ("taper never measured", "taper last measured"),
    "branches": ("branches never counted", "branches last counted"),
}
#: What a good answer is.
GOOD = {
    "soil": "if it lives",
    "firm": "if it stands firm",
    "roots": "if they are good",
    "buds": "if there are some",
    "caliper": "if it is at its target",
    "taper": "if it tapers",
    "branches": "if they are set",
}
#: What this look means for the hands.
CARE = {
    "wire": "Wire ends spring back: eye protection. Cut wire off, never unwind it.",
    "roots": "A chopstick, not a blade; cover the roots again at once.",
}


def wire(tree: Planned, today: date) -> str:
    """Why the wire must be seen on this walk."""
    if tree.harm:
        seen = f" on {day(tree.last['wire'], today)}" if "wire" in tree.last else ""
        return f"wire seen {WireState(tree.wire_state).label}{seen}: have it off"
    assert tree.wire_by is not None
    by = day(tree.wire_by.isoformat(), today)
    if tree.wire_by < today:
        return f"wire overdue since {by}"
    return "wire: today is its last safe day" if tree.wire_by == today else f"wire: look by {by}"


def dry(tree: Planned) -> str:
    return f"soil {tree.dry}, no watering recorded since"


def worth(tree: Planned, check: Check, today: date) -> str:
    """``low buds never looked at; ready for branches: 48% now, 74% if there are some``."""
    last = tree.seen.get(next(iter(check.tells)), "")
    never, before = LAST[check.name]
    seen = f"{before} {day(last, today)}" if last else never
    then = float(if_good([list(tree.p.values())], *_errors(tree, check))[0])
    title = words.GATES[tree.gate].title
    gate = title[:1].lower() + title[1:]
    return f"{seen}; {gate}: {chance(tree.readiness)} now, {chance(then)} {GOOD[check.name]}"


def _errors(tree: Planned, check: Check) -> tuple[list[float], list[float]]:
    errors = [check.tells.get(name, (0.5, 0.5)) for name in tree.p]
    return [error[0] for error in errors], [error[1] for error in errors]


def chance(p: float) -> str:
    """Never 0% or 100%, for nothing here is certain."""
    if p < 0.005:
        return "<1%"
    return ">99%" if p >= 0.995 else f"{100 * p:.0f}%"


def day(iso: str, today: date) -> str:
    """``4 June`` this year, ``4 June 2024`` otherwise."""
    at = date.fromisoformat(iso)
    return f"{at.day} {at:%B}" + ("" if at.year == today.year else f" {at.year}")
