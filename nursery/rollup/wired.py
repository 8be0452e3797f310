"""Wire on a tree: its state, the last safe day to look, and whether the first wire is done."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from nursery.models import WirePart, WireState, untranslated
from nursery.science import wire
from nursery.science.practice import Practice
from nursery.science.ragged import Floats, Ints
from nursery.science.season import YEAR
from nursery.sentences import N_, Sentence, sentence

from .load import Sheet, local_date, moment
from .wire_days import BY_CONTRADICTION, look_by
from .wire_fit import Learned
from .words import Evidence, Judged, evidence, iso

#: P(first wire done without harm | still on). No source.
STILL_ON = 0.03
STILL_ON_HARMFUL = 0.01
#: A look at a wire whose putting on was never recorded stands in for the wire so long [day].
STRAY_DAYS = 120
ON = {
    WirePart.TRUNK: N_("trunk wire on since {day:on}"),
    WirePart.BRANCH: N_("branch wire on since {day:on}"),
    WirePart.LEADER: N_("wire on the leader on since {day:on}"),
}
OFF = {
    WirePart.TRUNK: N_("Trunk wire off since {day:on}, {scars:word}."),
    WirePart.BRANCH: N_("Branch wire off since {day:on}, {scars:word}."),
    WirePart.LEADER: N_("Wire on the leader off since {day:on}, {scars:word}."),
}
SCARS = {
    "none": N_("no scars"),
    "": N_("scars not noted"),
    "light": N_("light scars"),
    "deep": N_("deep scars"),
}
STATES = {state.value: untranslated(state) for state in WireState}
#: Of each look at a wire, as evidence.
SEEN = {
    "loose": N_("wire loose"),
    "snug": N_("wire snug"),
    "marking": N_("wire marking"),
    "biting": N_("wire biting"),
    "sunk_in": N_("wire sunk in"),
}


@dataclass(frozen=True)
class Wires:
    """The wires that are on, one entry each (k of them), trees by index; and what each tree's are together.

    Attributes
    ----------
    tree, on, seen : (k,) tree, day of wiring, day of the last look.
    state : (k,) what that saw, in ``wire.STATES``; -1 unseen.
    row : (k,) row in ``sheet.wirings``; -1 for a wire known only from a look.
    look : (k,) row in ``sheet.wire_looks`` of the last look, -1 where there was none.
    by, why : (k,) the last safe day and what set it.
    first : (n,) the entry to look at first, -1 where no wire is on.
    worst : (n,) worst state seen, -1 where none was.
    learned : what it was reckoned from.
    """

    tree: Ints
    on: Ints
    seen: Ints
    state: Ints
    row: Ints
    look: Ints
    by: Ints
    why: Ints
    first: Ints
    worst: Ints
    learned: Learned


def _entries(sheet: Sheet) -> list[tuple[int, int, int, int, int, int]]:
    """(tree, on, seen, state, row, look) of each wire that is on."""
    looks, wirings = sheet.wire_looks, sheet.wirings
    newest = {id: row for row, id in enumerate(looks["wiring_text"]) if id is not None}
    out = []
    for row, off in enumerate(wirings["off"]):
        if off is not None:
            continue
        tree, day = int(wirings.tree[row]), int(wirings.day[row])
        look = newest.get(wirings.id[row], -1)
        if look < 0:
            out.append((tree, day, day, wire.UNSEEN, row, -1))
        else:
            state = wire.STATES.index(looks["state"][look])
            out.append((tree, day, max(int(looks.day[look]), day), state, row, look))
    return out + _strays(sheet)


def _strays(sheet: Sheet) -> list[tuple[int, int, int, int, int, int]]:
    """Wires known only from a look: newer than all that is recorded of the tree's wires, and not old."""
    looks, wirings = sheet.wire_looks, sheet.wirings
    out = []
    for tree in np.flatnonzero(looks.last >= 0):
        look = int(looks.last[tree])
        day = int(looks.day[look])
        if looks["wiring_text"][look] is not None or sheet.now - day > STRAY_DAYS:
            continue
        rows = wirings.rows(int(tree))
        known = [moment(wirings["off"][row] or wirings.at[row]) for row in rows]
        if all(before < moment(looks.at[look]) for before in known):
            out.append((int(tree), day, day, wire.STATES.index(looks["state"][look]), -1, look))
    return out


def wires(sheet: Sheet, learned: Learned) -> Wires:
    """Find the wires that are on and when each must be looked at, in one call for all."""
    found = np.array(_entries(sheet), dtype=np.intp).reshape(-1, 6)
    tree, put_on, seen, state, row, look = found.T
    out = look_by(sheet, learned, tree, put_on, seen, state, row)
    by = out.day.astype(np.intp)
    first, worst = np.full(sheet.n, -1, dtype=np.intp), np.full(sheet.n, -1, dtype=np.intp)
    latest_first = np.lexsort((row, -by))
    first[tree[latest_first]] = latest_first  # the earliest day is written last
    np.maximum.at(worst, tree, state)
    return Wires(tree, put_on, seen, state, row, look, by, out.why.astype(np.intp), first, worst, learned)


def _name(sheet: Sheet, found: Wires, at: int) -> Sentence:
    """``trunk wire on since 4 April``."""
    if found.row[at] < 0:
        return sentence("wire whose putting on was never recorded")
    return sentence(ON[sheet.wirings["part"][found.row[at]]], day=iso(int(found.on[at])))


def _seen(found: Wires, at: int) -> Sentence:
    if found.look[at] < 0:
        return sentence("never looked at")
    word = STATES[wire.STATES[found.state[at]]]
    return sentence("{state:word} on {day:on}", state=word, day=iso(int(found.seen[at])))


def reason(sheet: Sheet, found: Wires, at: int) -> Sentence:
    """Why this wire must be looked at by its day, without the day itself."""
    text, values = _reason(sheet, found, at)
    return sentence(text, wire=_name(sheet, found, at), seen=_seen(found, at), **values)


def _reason(sheet: Sheet, found: Wires, at: int) -> tuple[str, dict[str, Any]]:
    practice = sheet.practice
    if found.why[at] == wire.BY_SIGHT:
        return N_("{wire:word}, {seen:word}: see to it now"), {}
    if found.why[at] == BY_CONTRADICTION:
        return CONTRADICTS, {}
    if found.why[at] == wire.BY_RISK:
        grounds, risk = _grounds(sheet, found, at), float(f"{practice.wire_risk * 100:.2g}")
        return (BY_RISK_ON, {"risk": risk, "grounds": grounds}) if grounds else (BY_RISK, {"risk": risk})
    if found.state[at] == wire.MARKING and not found.learned.trusted:
        return CAP_MARKING, {"days": practice.wire_cap_marking_days}
    trusted = found.learned.trusted
    return CAP, {"days": practice.wire_cap_learned_days if trusted else practice.wire_cap_days}


CONTRADICTS = N_(
    "{wire:word}, {seen:word}, yet far tighter the time before: look again, and mend the record that is wrong"
)
BY_RISK = N_("{wire:word}, {seen:word}; timed so that at most {risk:percent} of wires ever sink in")
BY_RISK_ON = N_(
    "{wire:word}, {seen:word}; timed so that at most {risk:percent} of wires ever sink in; {grounds:word}"
)
CAP_MARKING = N_("{wire:word}, {seen:word}; a marking wire is looked at within {days} days")
CAP = N_("{wire:word}, {seen:word}; no wire goes unseen for more than {days} days")


def _grounds(sheet: Sheet, found: Wires, at: int) -> Sentence:
    """What the day rests on: wires like this one, or practice."""
    row = int(found.row[at])
    if row < 0:
        return ""
    if not found.learned.settled:
        return sentence("reckoned by practice, for your own figures do not settle")
    species = sheet.trees[int(found.tree[at])].species
    told = found.learned.like.get((species.slug, sheet.wirings["part"][row]))
    if told is not None:
        low, high = round(float(told[1]), 1), round(float(told[2]), 1)
        return sentence(
            "{n} wires like this bit between {low:1} and {high:1} growth-years", n=told[0], low=low, high=high
        )
    low, high = (round(float(share * species.bite_months / YEAR), 1) for share in found.learned.span)
    return sentence("by practice such wire bites after {low:1} to {high:1} growth-years", low=low, high=high)


def due_sentence(sheet: Sheet, found: Wires, at: int) -> Sentence:
    """The same in a few words."""
    if found.why[at] == wire.BY_SIGHT:
        return sentence("wire {seen:word}: see to it now", seen=_seen(found, at))
    if found.why[at] == BY_CONTRADICTION:
        return sentence("wire {seen:word}, tighter the time before: look again", seen=_seen(found, at))
    late, by = int(found.by[at] < sheet.now), iso(int(found.by[at]))
    if found.row[at] < 0:
        return sentence(STRAY[late], seen=_seen(found, at), by=by)
    return sentence(DUE[late], day=iso(int(found.on[at])), by=by)


#: Due some day, and overdue.
STRAY = N_("wire {seen:word}: look by {by:on}"), N_("wire {seen:word}: overdue since {by:on}")
DUE = (
    N_("wire on since {day:on}: look by {by:on}"),
    N_("wire on since {day:on}: overdue since {by:on}"),
)


def wire_done(sheet: Sheet, found: Wires) -> Judged:
    """First wire done: some wire of trunk or branches was on, none is, and no scar matters."""
    still = np.full(sheet.n, -1, dtype=np.intp)
    counts = [row < 0 or sheet.wirings["part"][row] != WirePart.LEADER for row in found.row]
    for at in np.flatnonzero(np.array(counts, dtype=bool)):
        still[found.tree[at]] = at
    clean = _by_scars(sheet.practice)
    off = _worst_off(sheet, clean)
    p = np.full(sheet.n, sheet.practice.unseen_wire_done)
    for tree, row in off.items():
        p[tree] = clean[sheet.wirings["scars"][row]]
    harmful = found.state[still] >= wire.BITING if found.state.size else np.zeros(sheet.n, dtype=bool)
    p = np.where(still >= 0, np.where(harmful, STILL_ON_HARMFUL, STILL_ON), p)
    looked = (still >= 0) | np.array([tree in off for tree in range(sheet.n)], dtype=bool)

    def tell(tree: int) -> tuple[Sentence, list[Evidence]]:
        if still[tree] >= 0:
            at = int(still[tree])
            told = sentence(
                "{wire:capital}, {seen:word}.", wire=_name(sheet, found, at), seen=_seen(found, at)
            )
            return told, _proof(sheet, found, at)
        if tree not in off:
            return sentence("No wire recorded yet."), []
        row = off[tree]
        values = {
            "day": local_date(moment(sheet.wirings["off"][row])).isoformat(),
            "scars": SCARS[sheet.wirings["scars"][row]],
        }
        text = sentence("wire on, taken off on {day:on}, {scars:word}", **values)
        proof = [evidence(sheet.wirings.id[row], int(sheet.wirings.day[row]), text)]
        return sentence(OFF[sheet.wirings["part"][row]], **values), proof

    return Judged(p, looked, tell)


def _by_scars(practice: Practice) -> dict[str, float]:
    """P(first wire done without harm), by the worst scars of wires taken off."""
    return {
        "none": practice.wire_clean_none,
        "": practice.wire_clean_unnoted,
        "light": practice.wire_clean_light,
        "deep": practice.wire_clean_deep,
    }


def _worst_off(sheet: Sheet, clean: dict[str, float]) -> dict[int, int]:
    """Of each tree's wires of trunk and branches that are off, the one with the worst scars (or newest)."""
    wirings = sheet.wirings
    counts = [
        off is not None and part != WirePart.LEADER
        for off, part in zip(wirings["off"], wirings["part"], strict=True)
    ]
    rows = np.flatnonzero(np.array(counts, dtype=bool))
    order: Floats = np.array([clean[scars] for scars in wirings["scars"]], dtype=float)
    worst_last = rows[np.lexsort((rows, -order[rows]))]
    return dict(zip(wirings.tree[worst_last].tolist(), worst_last.tolist(), strict=True))


def _proof(sheet: Sheet, found: Wires, at: int) -> list[Evidence]:
    out = []
    if found.look[at] >= 0:
        id = sheet.wire_looks.id[found.look[at]]
        out.append(evidence(id, int(found.seen[at]), SEEN[wire.STATES[found.state[at]]]))
    if found.row[at] >= 0:
        out.append(evidence(sheet.wirings.id[found.row[at]], int(found.on[at]), sentence("wire put on")))
    return out


def state_of(found: Wires, tree: int) -> str:
    """The worst state seen on a tree; "" where no wire is on or none was looked at."""
    return "" if found.worst[tree] < 0 else wire.STATES[found.worst[tree]]
