"""The first lines of a tree's page: what holds it back, what to do, and what else is to be seen to."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from nursery.models import WireState
from nursery.sentences import N_, chance, said

from . import words
from .rose import Rose
from .thick import Measure, Thickness
from .tree import CriterionRow, StandingRow, TreePage
from .wiring import WireTale

#: Criteria told after the first, at most: a line that is read in a few seconds.
AFTER = 3


@dataclass(frozen=True)
class FirstLines:
    """``title`` and ``do`` say it all; ``why`` gives the ground; ``more`` what comes with it or after."""

    title: str
    do: str
    why: list[str]
    more: list[str]
    urgent: bool = False


@dataclass(frozen=True)
class Check:
    """Something recorded that does not fit: ``what`` it is, and what to check about it."""

    what: str
    check: str
    record: str = ""


def first_lines(
    tree: TreePage, st: StandingRow, rose: Rose | None, tales: Sequence[WireTale], today: date
) -> FirstLines:
    """For a tree that is here and has a standing."""
    if st.wire_state in ("biting", "sunk in"):
        return _harm(st, tales)
    if st.gate is None:
        due = ", ".join(what for what, _ in st.due)
        do = said("Nothing is due: go on refining it")
        if due:
            do = said("On the next walk look at: {due}", due=due)
        return FirstLines(said("In refinement: no gate is left"), do, [], _looks(st, today))
    if st.ready:
        return FirstLines(str(st.gate.title), st.do, [_chance(st)], _looks(st, today))
    first = next((c for c in st.criteria if c.name == _held_by(st)), None)
    title = said("Held back: {what}", what=st.held)
    if first is not None and not first.looked:
        title = said("Not looked at yet: {what}", what=first.words)
    elif first is not None and words.likely(st.readiness):
        title = said("Not sure enough: {what}", what=first.words)
    why = [_chance(st), *([st.why] if st.why else []), *_detail(first, rose, tree.thickness, today)]
    after = _after(st, first)
    return FirstLines(title, st.do, why, [*_looks(st, today), *([after] if after else [])])


def _held_by(st: StandingRow) -> str:
    """The criterion with the smallest p; the first of equals, as the roll-up chooses."""
    lowest = min(st.criteria, key=lambda c: 1.0 if c.p is None else c.p, default=None)
    return lowest.name if lowest else ""


def _chance(st: StandingRow) -> str:
    return "" if st.readiness is None else said("{p:chance} that it is ready", p=chance(st.readiness))


def _harm(st: StandingRow, tales: Sequence[WireTale]) -> FirstLines:
    """Wire that does harm comes before any gate."""
    state = st.wire_state
    harming = (WireState.SUNK_IN, WireState.BITING)
    seen = [
        said(
            "The {part} wire, on since {day:short}, was seen {state:word} on {seen:short}",
            part=t.part,
            state=state,
            day=t.on.isoformat(),
            seen=t.looks[-1].on.isoformat(),
        )
        for t in tales
        if t.off is None and t.looks and t.looks[-1].state in harming
    ]
    do = said("Cut it off in short pieces, without unwinding, and record how deep the scars are")
    if state == "biting":
        do = said("Cut it off in short pieces now, before it sinks in, and record the scars")
    more = [said("After that it is held back: {what}", what=st.held)] if st.held else []
    return FirstLines(
        said("Wire {state:word}: have it off now", state=state), do, seen[:1], more, urgent=True
    )


def _detail(first: CriterionRow | None, rose: Rose | None, thick: Thickness | None, today: date) -> list[str]:
    """What the page's charts add to the reason."""
    if first is None:
        return []
    if first.name == "roots_spread" and first.looked and rose and rose.gap:
        fill = said("No root at the {side}: that is the side to fill", side=str(rose.gap.side))
        return [fill] if rose.uneven else []
    if first.name == "at_target" and thick and thick.target and thick.arrival:
        middle = thick.arrival[1]
        if middle is None:
            never = N_(
                "As it grows now it is not likely there within 40 years: repot larger, or lower the target"
            )
            return [said(never)]
        if middle > today + timedelta(days=30):
            return [said("As it grows now it is there about {day:month}", day=middle.isoformat())]
    return []


def _looks(st: StandingRow, today: date) -> list[str]:
    if st.wire_look_by and st.wire_look_by <= today:
        return [said("Look at its wire today: it was due on {day:short}", day=st.wire_look_by.isoformat())]
    return []


def _after(st: StandingRow, first: CriterionRow | None) -> str:
    """The other criteria that are not met, the worst first."""
    rest = [c for c in st.criteria if c is not first and c.p is not None and c.p < st.mark]
    rest.sort(key=lambda c: c.p or 0.0)
    told = [_short(c) for c in rest[:AFTER]]
    if not told:
        return ""
    return said("Then: {what}", what="; ".join(told))


def _short(c: CriterionRow) -> str:
    known = words.CRITERIA.get(c.name)
    if not c.looked:
        return said("{what}, not looked at yet", what=c.words)
    held = str(known.held) if known and not words.likely(c.p) else c.words
    return said("{what} ({p:chance} that it is right)", what=held, p=chance(c.p or 0.0))


def checks(measures: Sequence[Measure], tales: Sequence[WireTale]) -> list[Check]:
    """All that was recorded of a tree and does not fit, wires that are on first."""
    wires = sorted((tale for tale in tales if tale.check), key=lambda tale: tale.off is not None)
    out = [Check(_wire(tale), tale.check, str(tale.odd[1].id) if tale.odd else "") for tale in wires]
    return out + [
        Check(_reading(m), said("{check}. It counts for little until then", check=m.check))
        for m in measures
        if m.check
    ]


def _wire(tale: WireTale) -> str:
    put_on = tale.on.isoformat()
    if tale.odd is None:
        return said("The {part} wire of {day:short}", part=tale.part, day=put_on)
    tight, slack = tale.odd
    return said(
        "The {part} wire of {day:short}: {tight} on {then:short}, then {slack} on {later:short}:",
        part=tale.part,
        day=put_on,
        tight=tight.word,
        then=tight.on.isoformat(),
        slack=slack.word,
        later=slack.on.isoformat(),
    )


def _reading(m: Measure) -> str:
    """As it was recorded: the fault may lie in its last digit."""
    if m.height_mm is None:
        return said("{mm} mm just above the roots on {day:short}", mm=m.mm, day=m.at.isoformat())
    return said("{mm} mm {height} mm up on {day:short}", mm=m.mm, height=m.height_mm, day=m.at.isoformat())
