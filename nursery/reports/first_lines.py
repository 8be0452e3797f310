"""The first lines of a tree's page: what holds it back, what to do, and what else is to be seen to."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from nursery.models import WireState

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
        do = f"On the next walk look at: {due}" if due else "Nothing is due: go on refining it"
        return FirstLines("In refinement: no gate is left", do, [], _looks(st, today))
    if st.ready:
        return FirstLines(st.gate.title, st.do, [_chance(st)], _looks(st, today))
    first = next((c for c in st.criteria if c.name == _held_by(st)), None)
    title = f"Held back: {st.held}"
    if first is not None and not first.looked:
        title = f"Not looked at yet: {first.words}"
    why = [_chance(st), *([st.why] if st.why else []), *_detail(first, rose, tree.thickness, today)]
    after = _after(st, first)
    return FirstLines(title, st.do, why, [*_looks(st, today), *([after] if after else [])])


def _held_by(st: StandingRow) -> str:
    """The criterion with the smallest p; the first of equals, as the roll-up chooses."""
    lowest = min(st.criteria, key=lambda c: 1.0 if c.p is None else c.p, default=None)
    return lowest.name if lowest else ""


def _chance(st: StandingRow) -> str:
    return "" if st.readiness is None else f"{_percent(st.readiness)} that it is ready"


def _percent(p: float) -> str:
    return "<1%" if p < 0.005 else ">99%" if p >= 0.995 else f"{int(100 * p + 0.5)}%"


def _harm(st: StandingRow, tales: Sequence[WireTale]) -> FirstLines:
    """Wire that does harm comes before any gate."""
    state = st.wire_state
    harming = (WireState.SUNK_IN, WireState.BITING)
    seen = [
        f"The {t.part} wire, on since {day(t.on)}, was seen {state} on {day(t.looks[-1].on)}"
        for t in tales
        if t.off is None and t.looks and t.looks[-1].state in harming
    ]
    do = "Cut it off in short pieces, without unwinding, and record how deep the scars are"
    if state == "biting":
        do = "Cut it off in short pieces now, before it sinks in, and record the scars"
    more = [f"After that it is held back: {st.held}"] if st.held else []
    return FirstLines(f"Wire {state}: have it off now", do, seen[:1], more, urgent=True)


def _detail(first: CriterionRow | None, rose: Rose | None, thick: Thickness | None, today: date) -> list[str]:
    """What the page's charts add to the reason."""
    if first is None:
        return []
    if first.name == "roots_spread" and first.looked and rose and rose.gap:
        return [f"No root at the {rose.gap.side}: that is the side to fill"] if rose.uneven else []
    if first.name == "at_target" and thick and thick.target and thick.arrival:
        middle = thick.arrival[1]
        if middle is None:
            return [
                "As it grows now it is not likely there within 40 years: repot larger, or lower the target"
            ]
        if middle > today + timedelta(days=30):
            return [f"As it grows now it is there about {middle:%B %Y}"]
    return []


def _looks(st: StandingRow, today: date) -> list[str]:
    if st.wire_look_by and st.wire_look_by <= today:
        return [f"Look at its wire today: it was due on {day(st.wire_look_by)}"]
    return []


def _after(st: StandingRow, first: CriterionRow | None) -> str:
    """The other criteria that are not met, the worst first."""
    rest = [c for c in st.criteria if c is not first and c.p is not None and c.p < st.mark]
    rest.sort(key=lambda c: c.p or 0.0)
    told = [_short(c) for c in rest[:AFTER]]
    if not told:
        return ""
    return "Then: " + ("; ".join(told) if len(told) > 1 else told[0])


def _short(c: CriterionRow) -> str:
    known = words.CRITERIA.get(c.name)
    if not c.looked:
        return f"{c.words}, not looked at yet"
    return f"{known.held if known else c.words} ({_percent(c.p or 0.0)} that it is right)"


def checks(measures: Sequence[Measure], tales: Sequence[WireTale]) -> list[Check]:
    """All that was recorded of a tree and does not fit, wires that are on first."""
    wires = sorted((tale for tale in tales if tale.check), key=lambda tale: tale.off is not None)
    out = [Check(_wire(tale), tale.check, str(tale.odd[1].id) if tale.odd else "") for tale in wires]
    return out + [
        Check(f"{m.mm:g} mm {_where(m)} on {day(m.at)}", f"{m.check}. It counts for little until then")
        for m in measures
        if m.check
    ]


def _wire(tale: WireTale) -> str:
    name = f"The {tale.part} wire of {day(tale.on)}"
    if tale.odd is None:
        return name
    tight, slack = tale.odd
    return f"{name}: {tight.word} on {day(tight.on)}, then {slack.word} on {day(slack.on)}:"


def _where(m: Measure) -> str:
    return "just above the roots" if m.height_mm is None else f"{m.height_mm:g} mm up"


def day(value: date) -> str:
    """``1 Jun 2026``, as the pages write it."""
    return f"{value.day} {value:%b %Y}"
