"""The first page: what to do today, before anything else."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Min, Q

from nursery.models import SEEN_DRY, Bench, JournalRecord, Standing, Tree
from nursery.sentences import N_, said

from .aside import ToSettle, to_settle
from .benches import BenchRow, benches, due_is, due_text
from .boards import HARM, GateCount, gates

#: Soil that is due because it was dry when last felt, and not watered since; by the roll-up's own words.
DRY = Q(due_text__contains=f'"why": ["{SEEN_DRY}"')


@dataclass(frozen=True)
class Today:
    """What presses today.

    ``dry``: pots dry when last felt; ``unfelt``: pots due to be felt; ``walks``: the benches with something
    due, in walking order; ``oldest``: the stalest standing.
    """

    day: date
    trees: int
    bench_count: int
    records: bool
    wires: int
    harm: int
    dry: int
    unfelt: int
    gates: list[GateCount]
    settle: ToSettle
    walks: list[BenchRow]
    benches: list[BenchRow]
    oldest: date | None

    @property
    def ready(self) -> int:
        return sum(g.ready for g in self.gates)

    @property
    def empty(self) -> bool:
        """Nothing is here yet: the first day."""
        return not self.trees

    @property
    def headline(self) -> str:
        """The answer in one line: the two most pressing things."""
        told = [
            (self.harm, N_("{n} {n:wire|wires} doing harm")),
            (self.wires, N_("{n} {n:wire|wires} to look at")),
            (self.dry, N_("{n} {n:pot|pots} seen dry")),
            (self.ready, N_("{n} {n:tree|trees} ready for {n:its|their} next phase")),
            (self.settle.total, N_("{n} {n:thing|things} to settle")),
        ]
        pressing = [said(text, n=count) for count, text in told if count][:2]
        return ", ".join(pressing) if pressing else said("Nothing presses today")

    @property
    def stale(self) -> bool:
        return self.oldest is not None and self.oldest < self.day


def today(day: date) -> Today:
    """Twelve queries, for a nursery of any size."""
    counts = (
        Standing.objects.filter(tree__left_how="")
        .annotate(due_text=due_text())
        .aggregate(
            wires=Count("tree", filter=Q(wire_look_by__lte=day)),
            harm=Count("tree", filter=Q(wire_state__in=HARM)),
            dry=Count("tree", filter=DRY),
            soil=Count("tree", filter=due_is("soil")),
            oldest=Min("as_of"),
        )
    )
    rows = benches(day)
    return Today(
        day=day,
        trees=Tree.objects.filter(left_how="").count(),
        bench_count=Bench.objects.count(),
        records=JournalRecord.objects.exists(),
        wires=counts["wires"],
        harm=counts["harm"],
        dry=counts["dry"],
        unfelt=counts["soil"] - counts["dry"],
        gates=gates(),
        settle=to_settle(),
        walks=[b for b in rows if b.any_due],
        benches=rows,
        oldest=counts["oldest"],
    )
