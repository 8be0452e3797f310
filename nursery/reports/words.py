"""How gates, criteria and things due are told to a grower, and what to do next about each."""

from dataclasses import dataclass

from nursery.sentences import later, said


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
            later("Ready for root work"),
            later("old and firm enough to have their roots worked"),
            later("Repot and cut back the taproot, in the repotting season of its species"),
            later("Cutters are sharp and old pots are heavy: gloves, a firm bench, both hands on the lift."),
        ),
        GateWords(
            "trunk",
            later("Ready for the trunk"),
            later("roots good enough to feed hard for thickness"),
            later("Move to a grow box at the next repotting and let the leader run"),
            later("Grow boxes are heavy when wet: lift with your legs, or with two people."),
        ),
        GateWords(
            "branches",
            later("Ready for branches"),
            later("a trunk that is done, with something low down to build on"),
            later("Take the leader off and choose primary branches from the low buds"),
            later("Saws and cutters: eye protection, gloves, and cut away from the hand that holds."),
        ),
        GateWords(
            "refinement",
            later("Ready for refinement"),
            later("branches that are set and short enough to refine"),
            later("Move to a shallower pot and begin refining"),
            later("Wire ends spring back: eye protection when you cut wire off."),
        ),
    )
}

CRITERIA: dict[str, CriterionWords] = {
    c.name: c
    for c in (
        CriterionWords(
            "alive", "roots", later("alive"), later("not sure that it is alive"),
            later("Look for green under the bark; record it as died if there is none"),
            later("Look at it on the next walk"),
        ),
        CriterionWords(
            "season_old", "roots", later("one season old"), later("not a full season old"),
            later("Wait: it needs a whole growing season first"),
            later("Record the year it was sown"),
        ),
        CriterionWords(
            "firm", "roots", later("firm in its pot"), later("loose in its pot"),
            later("Leave it in the pot another season"),
            later("Rock it gently and record it: 10 seconds"),
        ),
        CriterionWords(
            "roots_spread", "trunk", later("roots on all sides"), later("roots not on all sides"),
            later("Keep in the root pot; a graft or a layer can fill the gap"),
            later("Scrape back the top soil and look: 2 minutes"),
        ),
        CriterionWords(
            "roots_level", "trunk", later("roots level"), later("roots not level"),
            later("Cut back the high ones at repotting, and look again a year on"),
            later("Scrape back the top soil and look: 2 minutes"),
        ),
        CriterionWords(
            "no_defect", "trunk", later("no root defect"), later("a root defect"),
            later("Mend it at repotting: untangle, cut out, or graft"),
            later("Scrape back the top soil and look: 2 minutes"),
        ),
        CriterionWords(
            "at_target", "branches", later("trunk at its target"), later("trunk short of its target"),
            later("Keep feeding and let the leader run; measure again in autumn"),
            later("Measure the trunk just above the roots: 20 seconds"),
        ),
        CriterionWords(
            "taper", "branches", later("trunk tapers"), later("too little taper"),
            later("Plan a cut to a lower leader"),
            later("Measure the trunk again higher up, and record the height"),
        ),
        CriterionWords(
            "wire_done", "branches", later("first wire done"), later("first wire not done"),
            later("Finish the first wire and have it off before it marks"),
            later("Record the wire that is on, or that it was never wired"),
        ),
        CriterionWords(
            "low_buds", "branches", later("live buds low down"), later("too few live buds low down"),
            later("Let light reach the trunk, feed, and look again next season"),
            later("Look low on the trunk for buds: 5 seconds"),
        ),
        CriterionWords(
            "primaries", "refinement", later("primary branches set"), later("too few primary branches"),
            later("Grow or graft the branches that are lacking"),
            later("Count the branches: 1 minute"),
        ),
        CriterionWords(
            "internodes", "refinement", later("short internodes"), later("internodes too long"),
            later("Cut back to a short internode and ease off the feed"),
            later("Measure an internode at the tips: 1 minute"),
        ),
        CriterionWords(
            "order", "refinement", later("branched finely enough"), later("too little branching"),
            later("Pinch or cut back once more this year, as its species allows"),
            later("Count the order of branching: 1 minute"),
        ),
    )
}  # fmt: skip

DUE: dict[str, str] = {
    "wire": later("wire"),
    "soil": later("soil"),
    "buds": later("low buds"),
    "caliper": later("caliper"),
    "roots": later("roots"),
    "firm": later("stands firm"),
    "branches": later("branches"),
}


#: More likely ready than not: what holds such a tree back is that nobody can be sure yet.
LIKELY = 0.5
#: What no further look makes surer: time does, or the work itself.
NO_LOOK_SETTLES = frozenset({"season_old", "wire_done"})


def likely(p: float | None) -> bool:
    """Whether it is rather so than not."""
    return p is not None and p >= LIKELY


def held_words(name: str, not_looked: bool, p: float | None = None) -> str:
    """What holds a tree back, in a few words; "" for nothing.

    ``p`` is the chance that it is ready. From a half on it is not told that the criterion fails: what was
    seen rather says that it is met, and not yet surely enough.
    """
    if not name:
        return ""
    known = CRITERIA.get(name)
    if known is None:
        return name.replace("_", " ")
    if not_looked:
        return said("{what:word}: not looked at", what=str(known.met))
    return said("{what:word}: not sure enough", what=str(known.met)) if likely(p) else str(known.held)


#: In place of the usual: a wire that is off can't be had off, and no look settles what was never said.
SCARS_LEFT = later("Its wire is off: let the scars grow out, then decide")
NO_TARGET = later("Say how thick its trunk shall be, and measure it")


def next_step(
    gate: str,
    ready: bool,
    held_by: str,
    not_looked: bool,
    p: float | None = None,
    *,
    wire_on: bool = True,
    target: bool = True,
) -> str:
    """What to do next about a tree at this gate.

    p : as in ``held_words``. wire_on : whether it is wired now. target : whether it has one.
    """
    if gate not in GATES:
        return said("Refine it: no gate is left")
    if ready:
        return str(GATES[gate].do)
    known = CRITERIA.get(held_by)
    if known is None:
        return said("Open the tree and see what is lacking")
    if held_by == "wire_done" and not not_looked and not wire_on:
        return str(SCARS_LEFT)
    if held_by == "at_target" and not target:
        return str(NO_TARGET)
    look = not_looked or (likely(p) and held_by not in NO_LOOK_SETTLES)
    return str(known.look if look else known.do)
