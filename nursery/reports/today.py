"""The first page: what to do today, before anything else."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Min, Q

from nursery.models import Bench, JournalRecord, Standing, Tree

from .aside import ToSettle, to_settle
from .benches import BenchRow, benches, due_is, due_text
from .boards import HARM, GateCount, gates


@dataclass(frozen=True)
class Today:
    """``walks``: the benches with something due, in walking order. ``oldest``: the stalest standing."""

    day: date
    trees: int
    bench_count: int
    records: bool
    wires: int
    harm: int
    dry: int
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
    def stale(self) -> bool:
        return self.oldest is not None and self.oldest < self.day

    @property
    def nothing(self) -> bool:
        return not (self.wires or self.harm or self.dry or self.ready or self.settle.total)


def today(day: date) -> Today:
    """Twelve queries, for a nursery of any size."""
    counts = (
        Standing.objects.filter(tree__left_how="")
        .annotate(due_text=due_text())
        .aggregate(
            wires=Count("tree", filter=Q(wire_look_by__lte=day)),
            harm=Count("tree", filter=Q(wire_state__in=HARM)),
            dry=Count("tree", filter=due_is("soil")),
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
        gates=gates(),
        settle=to_settle(),
        walks=[b for b in rows if b.any_due],
        benches=rows,
        oldest=counts["oldest"],
    )
