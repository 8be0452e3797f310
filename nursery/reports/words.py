"""How gates, criteria and things due are told to a grower, and what to do next about each."""

from dataclasses import dataclass


@dataclass(frozen=True)
class GateWords:
    """One gate: the phase a ready tree enters, said as a heading, a state, and the next thing to do."""

    name: str
    title: str
    ready_means: str
    do: str
    care: str = ""


@dataclass(frozen=True)
class CriterionWords:
    """One criterion of a gate. ``do`` is for when it was seen and fails, ``look`` for when nobody looked."""

    name: str
    gate: str
    met: str
    held: str
    do: str
    look: str


GATES: dict[str, GateWords] = {
    g.name: g
    for g in (
        GateWords(
            "roots",
            "Ready for root work",
            "old and firm enough to have their roots worked",
            "Repot and cut back the taproot, in the repotting season of its species",
            "Cutters are sharp and old pots are heavy: gloves, a firm bench, both hands on the lift.",
        ),
        GateWords(
            "trunk",
            "Ready for the trunk",
            "roots good enough to feed hard for thickness",
            "Move to a grow box at the next repotting and let the leader run",
            "Grow boxes are heavy when wet: lift with your legs, or with two people.",
        ),
        GateWords(
            "branches",
            "Ready for branches",
            "a trunk that is done, with something low down to build on",
            "Take the leader off and choose primary branches from the low buds",
            "Saws and cutters: eye protection, gloves, and cut away from the hand that holds.",
        ),
        GateWords(
            "refinement",
            "Ready for refinement",
            "branches that are set and short enough to refine",
            "Move to a shallower pot and begin refining",
            "Wire ends spring back: eye protection when you cut wire off.",
        ),
    )
}

CRITERIA: dict[str, CriterionWords] = {
    c.name: c
    for c in (
        CriterionWords(
            "alive", "roots", "alive", "not sure that it is alive",
            "Look for green under the bark; record it as died if there is none",
            "Look at it on the next walk",
        ),
        CriterionWords(
            "season_old", "roots", "one season old", "not a full season old",
            "Wait: it needs a whole growing season first",
            "Record the year it was sown",
        ),
        CriterionWords(
            "firm", "roots", "firm in its pot", "loose in its pot",
            "Leave it in the pot another season",
            "Rock it gently and record it: 10 seconds",
        ),
        CriterionWords(
            "roots_spread", "trunk", "roots on all sides", "roots not on all sides",
            "Keep in the root pot; a graft or a layer can fill the gap",
            "Scrape back the top soil and look: 2 minutes",
        ),
        CriterionWords(
            "roots_level", "trunk", "roots level", "roots not level",
            "Cut back the high ones at repotting, and look again a year on",
            "Scrape back the top soil and look: 2 minutes",
        ),
        CriterionWords(
            "no_defect", "trunk", "no root defect", "a root defect",
            "Mend it at repotting: untangle, cut out, or graft",
            "Scrape back the top soil and look: 2 minutes",
        ),
        CriterionWords(
            "at_target", "branches", "trunk at its target", "trunk short of its target",
            "Keep feeding and let the leader run; measure again in autumn",
            "Measure the trunk just above the roots: 20 seconds",
        ),
        CriterionWords(
            "taper", "branches", "trunk tapers", "too little taper",
            "Plan a cut to a lower leader",
            "Measure the trunk again higher up, and record the height",
        ),
        CriterionWords(
            "wire_done", "branches", "first wire done", "first wire not done",
            "Finish the first wire and have it off before it marks",
            "Record the wire that is on, or that it was never wired",
        ),
        CriterionWords(
            "low_buds", "branches", "live buds low down", "too few live buds low down",
            "Let light reach the trunk, feed, and look again next season",
            "Look low on the trunk for buds: 5 seconds",
        ),
        CriterionWords(
            "primaries", "refinement", "primary branches set", "too few primary branches",
            "Grow or graft the branches that are lacking",
            "Count the branches: 1 minute",
        ),
        CriterionWords(
            "internodes", "refinement", "short internodes", "internodes too long",
            "Cut back to a short internode and ease off the feed",
            "Measure an internode at the tips: 1 minute",
        ),
        CriterionWords(
            "order", "refinement", "branched finely enough", "too little branching",
            "Pinch or cut back once more this year, as its species allows",
            "Count the order of branching: 1 minute",
        ),
    )
}  # fmt: skip

DUE: dict[str, str] = {
    "wire": "wire",
    "soil": "soil",
    "buds": "low buds",
    "caliper": "caliper",
    "roots": "roots",
    "firm": "stands firm",
    "branches": "branches",
}


def held_words(name: str, not_looked: bool) -> str:
    """What holds a tree back, in a few words; "" for nothing."""
    if not name:
        return ""
    known = CRITERIA.get(name)
    if known is None:
        return name.replace("_", " ")
    return f"{known.met}: not looked at" if not_looked else known.held


def next_step(gate: str, ready: bool, held_by: str, not_looked: bool) -> str:
    """What to do next about a tree at this gate."""
    if gate not in GATES:
        return "Refine it: no gate is left"
    if ready:
        return GATES[gate].do
    known = CRITERIA.get(held_by)
    if known is None:
        return "Open the tree and see what is lacking"
    return known.look if not_looked else known.do
