"""What to look at on a walk of so many minutes: must-sees first, then what tells most, in walking order."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

import numpy as np

from nursery import practice
from nursery.models import Bench, Tree
from nursery.science import looking
from nursery.science.looking import Check, Choice, Ladder
from nursery.science.practice import Practice
from nursery.sentences import Sentence
from nursery.sentences import say as in_words

from . import walk_words as say
from .planned_trees import Planned, planned
from .walk_checks import checks_of, costs_of

#: A walk is planned for so many minutes; more is a day's work, and more than a phone need carry.
LEAST_MINUTES, MOST_MINUTES = 1, 240
USUAL_MINUTES = 20
#: So many of what was left out are told by name.
FIRST_FEW = 8
#: The looks that bear on each gate.
LOOKS = {
    "roots": ("soil", "firm"),
    "trunk": ("roots",),
    "branches": ("buds", "caliper", "taper"),
    "refinement": ("branches",),
}
_MOST_LOOKS = max(len(names) for names in LOOKS.values())


@dataclass(frozen=True)
class Look:
    """One thing to look at. ``what`` is a word of ``looking.CHECKS``; ``value`` is what it adds [bit].

    ``seen``: the day of the look before it, "" for none known.
    """

    what: str
    reason: Sentence
    seconds: float
    must: bool = False
    value: float = 0.0
    seen: str = ""

    @property
    def why(self) -> str:
        return in_words(self.reason)

    @property
    def do(self) -> str:
        return say.DO[self.what]


@dataclass(frozen=True)
class Stop:
    """A tree on the walk, and what to look at there."""

    tree: UUID
    tag: str
    bench: UUID
    bench_name: str
    row: int
    place: int
    looks: list[Look]

    @property
    def must(self) -> bool:
        return any(look.must for look in self.looks)


@dataclass(frozen=True)
class Left:
    """A tree that is not on the walk although something there is worth a look."""

    tree: UUID
    tag: str
    reason: Sentence
    must: bool

    @property
    def why(self) -> str:
        return in_words(self.reason)


@dataclass(frozen=True)
class WalkPlan:
    """A walk.

    Attributes
    ----------
    bench : the bench that was asked for, None for the whole nursery; ``name`` says which.
    seconds : looking and walking together [s]; ``needed`` the same for all must-sees alone.
    left : the first few that were left out, the most pressing first; in all ``left_must`` must-sees and
        ``left_worth`` trees with a look worth a stop.
    unfelt : pots not felt for a while that no stop passes. homeless : trees on no bench, so on no walk.
    """

    day: date
    bench: UUID | None
    name: str
    minutes: int
    seconds: float
    needed: float
    stops: list[Stop]
    left: list[Left]
    left_must: int
    left_worth: int
    unfelt: int
    homeless: int

    @property
    def takes(self) -> int:
        """Minutes of looking and walking, rounded up."""
        return int(-(-self.seconds // 60))

    @property
    def must_takes(self) -> int:
        """Minutes that the must-sees alone need, rounded up."""
        return int(-(-self.needed // 60))

    @property
    def must(self) -> int:
        """Stops with a must-see."""
        return sum(stop.must for stop in self.stops)

    @property
    def benches(self) -> list[tuple[str, list[Stop]]]:
        """The stops of each bench, in walking order."""
        out: dict[UUID, tuple[str, list[Stop]]] = {}
        for stop in self.stops:
            out.setdefault(stop.bench, (stop.bench_name, []))[1].append(stop)
        return list(out.values())

    @property
    def looks(self) -> list[tuple[str, int]]:
        """How many looks of each sort, the most first."""
        return Counter(look.do for stop in self.stops for look in stop.looks).most_common()

    @property
    def care(self) -> list[str]:
        """Cautions for what is done on this walk."""
        done = {look.what for stop in self.stops for look in stop.looks}
        return [text for what, text in say.CARE.items() if what in done]


class _Weighed:
    """All trees with their must-sees and the looks worth having."""

    def __init__(self, trees: Sequence[Planned], day: date, numbers: Practice) -> None:
        self.trees, self.day = trees, day
        self.checks, self.costs = checks_of(numbers), costs_of(numbers)
        next_walk = day + timedelta(numbers.wire_ahead_days)
        self.must: dict[int, list[Look]] = {}
        self.order: list[int] = []
        pressing = []
        for at, tree in enumerate(trees):
            looks, rank = _must(tree, day, next_walk, self.checks)
            if looks:
                self.must[at] = looks
                pressing.append((*rank, at))
        self.order = [entry[-1] for entry in sorted(pressing)]
        self.ladder = _ladder(trees, day, self.checks)

    def feel(self, at: int) -> float:
        """Seconds to feel the soil of a tree that is stopped at anyway [s]."""
        # A seedling's soil is a look of its own: it tells whether it lives.
        tree = self.trees[at]
        return self.checks["soil"].seconds if tree.unfelt and tree.gate != "roots" else 0.0

    def choose(self, minutes: int) -> Choice:
        n = len(self.trees)
        must = np.zeros(n)
        for at, looks in self.must.items():
            must[at] = sum(look.seconds for look in looks)
        ground = looking.Ground(
            np.array([tree.rank for tree in self.trees], dtype=np.intp),
            np.array([tree.row for tree in self.trees], dtype=np.intp),
            np.array([tree.place for tree in self.trees], dtype=np.intp),
        )
        feel = [self.feel(at) for at in range(n)]
        return looking.choose(ground, self.order, must, self.ladder, 60.0 * minutes, feel, self.costs)

    def worth(self, at: int, rungs: int) -> list[Look]:
        """The first looks of a tree's ladder."""
        tree, out = self.trees[at], []
        for rung in range(rungs):
            check = self.checks[LOOKS[tree.gate][self.ladder.check[at, rung]]]
            value = round(float(self.ladder.value[at, rung]), 4)
            out.append(Look(check.name, say.worth(tree, check), check.seconds, value=value))
        return out

    def stop(self, at: int, chosen: Choice) -> Stop:
        tree = self.trees[at]
        looks = [*(self.must[at] if chosen.must[at] else []), *self.worth(at, int(chosen.rungs[at]))]
        if self.feel(at):
            looks.append(Look("soil", tree.unfelt, self.checks["soil"].seconds))
        looks = [replace(look, seen=tree.last.get(look.what, "")) for look in looks]
        return Stop(tree.id, tree.tag, tree.bench, tree.bench_name, tree.row, tree.place, looks)

    def left(self, stops: Collection[int]) -> tuple[list[Left], int, int]:
        """The first few that are on no stop, and how many of them must be, or are worth being, seen."""
        must = [at for at in self.order if at not in stops]
        value, seconds = self.ladder.value[:, 0], self.ladder.seconds[:, 0]
        rate = np.where(value >= self.costs.least_gain, value / np.maximum(seconds, 1.0), 0.0)
        rate[[*stops, *must]] = 0.0
        worth = [int(at) for at in np.argsort(-rate, kind="stable") if rate[at] > 0]
        told = [self._left(at, self.must[at][0].reason, must=True) for at in must[:FIRST_FEW]]
        more = worth[: FIRST_FEW - len(told)]
        told += [self._left(at, self.worth(at, 1)[0].reason, must=False) for at in more]
        return told, len(must), len(worth)

    def _left(self, at: int, reason: Sentence, *, must: bool) -> Left:
        return Left(self.trees[at].id, self.trees[at].tag, reason, must)


def _must(
    tree: Planned, day: date, next_walk: date, checks: Mapping[str, Check]
) -> tuple[list[Look], tuple[int, int]]:
    """What must be seen of a tree on this walk, and how pressing that is: lower comes first."""
    looks: list[Look] = []
    rank = (2, 0)
    if tree.dry:
        looks.append(Look("soil", say.dry(tree), checks["soil"].seconds, must=True))
    if tree.wire_by is not None and tree.wire_by <= next_walk:
        looks.insert(0, Look("wire", say.wire(tree, day), checks["wire"].seconds, must=True))
        rank = (0 if tree.harm else 1, tree.wire_by.toordinal())
    return looks, rank


def _ladder(trees: Sequence[Planned], day: date, known: Mapping[str, Check]) -> Ladder:
    """The looks that bear on each tree's gate, numbered as ``LOOKS`` of that gate has them."""
    shape = (len(trees), _MOST_LOOKS)
    out = Ladder(np.full(shape, -1, dtype=np.intp), np.zeros(shape), np.zeros(shape))
    for gate, names in LOOKS.items():
        rows = [at for at, tree in enumerate(trees) if tree.gate == gate and tree.p]
        if not rows:
            continue
        checks = [known[name] for name in names]
        criteria = list(trees[rows[0]].p)
        p = [[trees[at].p[name] for name in criteria] for at in rows]
        ask = [[trees[at].may_ask(check, day) for check in checks] for at in rows]
        found = looking.ladder(p, criteria, checks, ask)
        for table, part in zip(out, found, strict=True):
            table[rows, : len(names)] = part
    return out


def walk_plan(day: date, minutes: int, bench: UUID | None = None) -> WalkPlan:
    """Plan a walk along one bench, or all. At most four queries, for a nursery of any size.

    Parameters
    ----------
    day : the day of the walk. minutes : time for it, looking and walking [min].

    Raises
    ------
    Bench.DoesNotExist : an unknown bench.
    """
    name, homeless = "The whole nursery", 0
    if bench is None:
        homeless = Tree.objects.filter(left_how="", bench__isnull=True).count()
    else:
        name = Bench.objects.values_list("name", flat=True).get(pk=bench)
    trees = planned(bench)
    weighed = _Weighed(trees, day, practice.current())
    chosen = weighed.choose(minutes)
    stops = {
        int(at): weighed.stop(int(at), chosen) for at in np.flatnonzero(chosen.must | (chosen.rungs > 0))
    }
    left, left_must, left_worth = weighed.left(stops)
    return WalkPlan(
        day=day,
        bench=bench,
        name=name,
        minutes=minutes,
        seconds=chosen.seconds,
        needed=chosen.needed,
        stops=list(stops.values()),
        left=left,
        left_must=left_must,
        left_worth=left_worth,
        unfelt=sum(bool(tree.unfelt) for at, tree in enumerate(trees) if at not in stops),
        homeless=homeless,
    )
