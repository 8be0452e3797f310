"""The wires of one tree: on, looked at, off; and looks that contradict each other."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils import timezone

from nursery.models import Scars, WireInspection, WirePart, WireState, Wiring
from nursery.science.wire import STATES
from nursery.science.wire_looks import FALL
from nursery.sentences import said

#: Wirings and looks that are shown, the newest.
MOST, MOST_LOOKS = 40, 500


@dataclass(frozen=True)
class WireLook:
    """One look: ``state`` is one of ``STATES``, ``word`` how it is said."""

    id: UUID
    on: date
    state: str
    word: str


@dataclass(frozen=True)
class WireTale:
    """One wiring. ``odd``: the looks that contradict, the tighter one first; ``check``: what to check."""

    id: UUID
    part: str
    wire_mm: float | None
    on: date
    off: date | None
    scars: str
    looks: list[WireLook]
    odd: tuple[WireLook, WireLook] | None
    check: str

    @property
    def worst(self) -> WireLook | None:
        """The tightest look, the first of equals."""
        return max(self.looks, key=lambda look: STATES.index(look.state), default=None)


def tales(tree: UUID) -> list[WireTale]:
    """A tree's wirings, the newest first. Two queries."""
    rows = list(Wiring.objects.filter(tree=tree).order_by("-at", "-id")[:MOST])
    looks: dict[UUID | None, list[WireLook]] = {}
    newest = WireInspection.objects.filter(tree=tree, wiring__isnull=False).order_by("-at", "-id")
    for look in reversed(newest[:MOST_LOOKS]):
        state = WireState(look.state)
        seen = WireLook(look.id, timezone.localdate(look.at), state.value, str(state.label))
        looks.setdefault(look.wiring_id, []).append(seen)
    return [_tale(row, looks.get(row.id, [])) for row in rows]


def _tale(row: Wiring, looks: list[WireLook]) -> WireTale:
    off = timezone.localdate(row.off_at) if row.off_at else None
    odd = fallen(looks)
    return WireTale(
        id=row.id,
        part=str(WirePart(row.part).label),
        wire_mm=row.wire_mm,
        on=timezone.localdate(row.at),
        off=off,
        scars=str(Scars(row.scars).label) if row.scars else "",
        looks=looks,
        odd=odd,
        check=_check(odd, looks, row.scars, off is not None),
    )


def fallen(looks: list[WireLook]) -> tuple[WireLook, WireLook] | None:
    """The first look far slacker than an earlier one, and the tightest before it; None where all agree.

    The rule is that of ``science.wire_looks``, by which such looks are trusted less.
    """
    tight: WireLook | None = None
    for look in looks:
        if tight and STATES.index(tight.state) - STATES.index(look.state) >= FALL:
            return tight, look
        if tight is None or STATES.index(look.state) > STATES.index(tight.state):
            tight = look
    return None


def _check(odd: tuple[WireLook, WireLook] | None, looks: list[WireLook], scars: str, off: bool) -> str:
    """What to check about a wiring; "" where nothing is odd."""
    if odd and off:
        return said(
            "can't both be right: wire does not get slack by itself, and no new wire is recorded between. "
            "The wire is off: look for its scars, and correct the record that is wrong"
        )
    if odd:
        return said(
            "can't both be right: wire does not get slack by itself, and no new wire is recorded between. "
            "Look at the wire today, and correct the record that is wrong"
        )
    if off and scars == Scars.NONE and any(look.state == WireState.SUNK_IN for look in looks):
        return said(
            "was seen sunk in, yet came off without a scar: look at the bark, and correct one of the two"
        )
    return ""
