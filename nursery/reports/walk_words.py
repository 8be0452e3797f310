"""Why a tree is on a walk, in one line each."""

from datetime import date

from nursery.models import WireState, untranslated
from nursery.science.looking import Check, if_good
from nursery.sentences import N_, Sentence, chance, later, sentence

from .planned_trees import Planned

#: Each look as a thing to do.
DO = {
    "wire": later("look at the wire"),
    "soil": later("feel the soil"),
    "firm": later("rock it in its pot"),
    "roots": later("scrape back the top soil, survey the roots"),
    "buds": later("look low down for buds"),
    "caliper": later("measure above the roots"),
    "taper": later("measure higher up as well"),
    "branches": later("count branches, measure an internode"),
}
#: What was never done, and what was done last on some day.
LAST = {
    "soil": (N_("never looked at"), N_("last looked at {day:on}")),
    "firm": (N_("never felt whether it is firm"), N_("firmness last felt {day:on}")),
    "roots": (N_("roots never surveyed"), N_("roots last surveyed {day:on}")),
    "buds": (N_("low buds never looked at"), N_("low buds last looked at {day:on}")),
    "caliper": (N_("trunk never measured"), N_("trunk last measured {day:on}")),
    "taper": (N_("taper never measured"), N_("taper last measured {day:on}")),
    "branches": (N_("branches never counted"), N_("branches last counted {day:on}")),
}
GATES = {
    "roots": N_("ready for root work"),
    "trunk": N_("ready for the trunk"),
    "branches": N_("ready for branches"),
    "refinement": N_("ready for refinement"),
}
#: What a good answer is.
GOOD = {
    "soil": N_("{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it lives"),
    "firm": N_("{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it stands firm"),
    "roots": N_("{seen:word}; {gate:word}: {now:chance} now, {then:chance} if they are good"),
    "buds": N_("{seen:word}; {gate:word}: {now:chance} now, {then:chance} if there are some"),
    "caliper": N_("{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it is at its target"),
    "taper": N_("{seen:word}; {gate:word}: {now:chance} now, {then:chance} if it tapers"),
    "branches": N_("{seen:word}; {gate:word}: {now:chance} now, {then:chance} if they are set"),
}
#: What this look means for the hands.
CARE = {
    "wire": later("Wire ends spring back: eye protection. Cut wire off, never unwind it."),
    "roots": later("A chopstick, not a blade; cover the roots again at once."),
}


def wire(tree: Planned, today: date) -> Sentence:
    """Why the wire must be seen on this walk."""
    if tree.harm:
        state = untranslated(WireState(tree.wire_state))
        if "wire" not in tree.last:
            return sentence("wire seen {state:word}: have it off", state=state)
        day = tree.last["wire"]
        return sentence("wire seen {state:word} on {day:on}: have it off", state=state, day=day)
    assert tree.wire_by is not None
    by = tree.wire_by.isoformat()
    if tree.wire_by < today:
        return sentence("wire overdue since {day:on}", day=by)
    if tree.wire_by == today:
        return sentence("wire: today is its last safe day")
    return sentence("wire: look by {day:on}", day=by)


def dry(tree: Planned) -> Sentence:
    return sentence("soil {dry:word}, no watering recorded since", dry=tree.dry)


def worth(tree: Planned, check: Check) -> Sentence:
    """``low buds never looked at; ready for branches: 48% now, 74% if there are some``."""
    last = tree.seen.get(next(iter(check.tells)), "")
    never, before = LAST[check.name]
    then = float(if_good([list(tree.p.values())], *_errors(tree, check))[0])
    return sentence(
        GOOD[check.name],
        seen=sentence(before, day=last) if last else never,
        gate=GATES[tree.gate],
        now=chance(tree.readiness),
        then=chance(then),
    )


def _errors(tree: Planned, check: Check) -> tuple[list[float], list[float]]:
    errors = [check.tells.get(name, (0.5, 0.5)) for name in tree.p]
    return [error[0] for error in errors], [error[1] for error in errors]
