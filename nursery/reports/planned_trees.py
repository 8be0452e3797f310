"""The trees that a walk may pass, in walking order, with what a plan weighs."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from nursery.models import SEEN_DRY, Standing
from nursery.science.looking import Check
from nursery.sentences import Sentence

from .boards import HARM


@dataclass(frozen=True)
class Planned:
    """One tree on a bench. ``rank``: of its bench, in walking order; ``row``, ``place``: 0 where unknown.

    Attributes
    ----------
    p : P(met) of each criterion of the gate ahead. seen : the newest evidence of each, "" for none.
    last : the day of the last look by what was looked at, as ``Standing.last`` names it.
    wire_by, wire_state : the day to look by, and what was last seen.
    dry, unfelt : the roll-up's reason why soil is due: seen dry, or not felt for a while; "" for neither.
    """

    id: UUID
    tag: str
    bench: UUID
    bench_name: str
    rank: int
    row: int
    place: int
    gate: str
    readiness: float
    p: dict[str, float]
    seen: dict[str, str]
    last: dict[str, str]
    wire_by: date | None
    wire_state: str
    dry: Sentence
    unfelt: Sentence

    @property
    def harm(self) -> bool:
        return self.wire_state in HARM

    def may_ask(self, check: Check, day: date) -> bool:
        """Whether a look of this sort can tell anything new: none was made lately, or must be made anyway."""
        if check.name == "soil" and self.dry:
            return False
        last = self.seen.get(next(iter(check.tells)), "")
        return last < (day - timedelta(check.again)).isoformat()


FIELDS = (
    *("tree_id", "tree__tag", "tree__bench_id", "tree__bench__name", "tree__row", "tree__place"),
    *("gate", "readiness", "criteria", "due", "wire_look_by", "wire_state", "last"),
)


def planned(bench: UUID | None) -> list[Planned]:
    """The trees of one bench, or of all benches, in walking order. One query."""
    rows = Standing.objects.filter(tree__left_how="", tree__bench__isnull=False)
    if bench is not None:
        rows = rows.filter(tree__bench=bench)
    order = ("tree__bench__walk_order", "tree__bench__name", "tree__bench_id")
    ranks: dict[UUID, int] = {}
    trees = [_planned(row, ranks) for row in rows.order_by(*order).values_list(*FIELDS)]
    return sorted(trees, key=walking)


def walking(tree: Planned) -> tuple[int, int, int, str]:
    """Odd rows from place 1 up, even rows from the far end back; trees without a place last, by tag."""
    place = -tree.place if tree.row % 2 == 0 else tree.place
    return tree.rank, tree.row or 1_000_000, place, tree.tag


def _planned(row: tuple[Any, ...], ranks: dict[UUID, int]) -> Planned:
    id, tag, bench, bench_name, at_row, place, gate, readiness, criteria, due, wire_by, wire_state, last = row
    soil: Sentence = next((one["why"] for one in due if one["what"] == "soil"), "")
    dry = soil if isinstance(soil, list) and soil[0] == SEEN_DRY else ""
    return Planned(
        id=id,
        tag=tag,
        bench=bench,
        bench_name=bench_name,
        rank=ranks.setdefault(bench, len(ranks)),
        row=at_row or 0,
        place=place or 0,
        gate=gate,
        readiness=readiness or 0.0,
        p={one["name"]: one["p"] for one in criteria},
        seen={one["name"]: _newest(one["evidence"]) for one in criteria},
        last={what: str(seen[1]) for what, seen in last.items()},
        wire_by=wire_by,
        wire_state=wire_state,
        dry=dry,
        unfelt="" if dry else soil,
    )


def _newest(evidence: Iterable[dict[str, str]]) -> str:
    """The newest day of these, as the roll-up wrote it; such days compare as text."""
    return max((one["on"] for one in evidence), default="")
