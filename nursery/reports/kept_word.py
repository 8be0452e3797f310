"""How often trees with a score were advanced: scores at the ends of seasons beside what was decided."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from nursery.models import Leaving, Phase, Score, Stay, Tree
from nursery.science.gates import GATE_OF
from nursery.science.proportion import wilson

#: A decision counts for the score of the season's end before it, for so long.
YEAR = timedelta(days=365)
#: Deciles of the score; fewer trees than this in one say little.
STEPS, FEW = 10, 10
#: Decisions that are listed.
LATEST = 40


@dataclass(frozen=True)
class Decile:
    """Trees scored from ``low`` up to ``high``: how many, how many advanced within the year, the share
    with its 95% interval.
    """

    low: float
    high: float
    trees: int
    advanced: int
    share: float
    least: float
    most: float

    @property
    def tens(self) -> str:
        """From what score to what score [%]."""
        return f"{100 * self.low:.0f}–{100 * self.high:.0f}"

    @property
    def interval(self) -> str:
        """The 95% interval of the share [%]."""
        return f"{100 * self.least:.0f}–{100 * self.most:.0f}"

    @property
    def few(self) -> bool:
        return self.trees < FEW


@dataclass(frozen=True)
class Decision:
    """A tree moved on a phase, with the readiness at the end of the season before; None where none was."""

    tree: UUID
    tag: str
    on: date
    was: str
    now: str
    p: float | None


@dataclass(frozen=True)
class KeptWord:
    """``seasons``: ends of seasons that are counted; ``trees``: tree-seasons; ``open``: not a year old."""

    deciles: list[Decile]
    seasons: int
    trees: int
    advanced: int
    open: int
    latest: list[Decision]


def kept_word(today: date) -> KeptWord:
    """Three queries."""
    stays = {stay.id: stay for stay in Stay.objects.filter(id__in=Score.objects.values("stay"))}
    scores = [
        (stays[stay], on, p) for stay, on, p in Score.objects.values_list("stay", "on", "p") if stay in stays
    ]
    told = [(p, came, on) for stay, on, p in scores for came in [_came(stay, on, today)] if came is not None]
    return KeptWord(
        deciles=_deciles([(p, came) for p, came, _ in told]),
        seasons=len({on for _, _, on in told}),
        trees=len(told),
        advanced=sum(came for _, came, _ in told),
        open=sum(_is_open(stay, on, today) for stay, on, _ in scores),
        latest=_latest(scores),
    )


def _advanced(stay: Stay) -> bool:
    """Whether it ended by the step that its gate leads to."""
    return stay.end == GATE_OF[stay.phase]


def _within(stay: Stay, on: date) -> bool:
    return stay.until is not None and stay.until <= on + YEAR


def _is_open(stay: Stay, on: date, today: date) -> bool:
    return today <= on + YEAR and not _within(stay, on)


def _came(stay: Stay, on: date, today: date) -> bool | None:
    """Whether the tree was advanced within the year; None where nobody decided (yet).

    A tree that died, or was sold or given away, was not judged by its gate; one that was culled was not
    advanced.
    """
    if _within(stay, on):
        return None if stay.end in set(Leaving.values) - {Leaving.CULLED} else _advanced(stay)
    return None if _is_open(stay, on, today) else False


def _deciles(pairs: Sequence[tuple[float, bool]]) -> list[Decile]:
    trees, came = [0] * STEPS, [0] * STEPS
    for p, advanced in pairs:
        at = min(int(p * STEPS), STEPS - 1)
        trees[at] += 1
        came[at] += advanced
    low, high = wilson(came, trees)
    return [
        Decile(
            at / STEPS,
            (at + 1) / STEPS,
            trees[at],
            came[at],
            came[at] / trees[at],
            float(low[at]),
            float(high[at]),
        )
        for at in range(STEPS)
        if trees[at]
    ]


def _latest(scores: Sequence[tuple[Stay, date, float]]) -> list[Decision]:
    """The newest steps forward of all, with their scores."""
    stood: dict[UUID, tuple[date, float]] = {}
    for stay, on, p in scores:
        if stay.id not in stood or stood[stay.id][0] < on:
            stood[stay.id] = (on, p)
    gates = [gate for gate in GATE_OF.values() if gate]
    ended = Stay.objects.filter(end__in=gates).order_by("-until", "-ended_by")[: 3 * LATEST]
    steps = [stay for stay in ended if _advanced(stay)][:LATEST]
    tags = dict(Tree.objects.filter(id__in=[stay.tree for stay in steps]).values_list("id", "tag"))
    return [
        Decision(
            stay.tree,
            tags.get(stay.tree, ""),
            stay.until,
            str(Phase(stay.phase).label),
            str(Phase(stay.end).label),
            stood[stay.id][1] if stay.id in stood and stay.until <= stood[stay.id][0] + YEAR else None,
        )
        for stay in steps
        if stay.until is not None
    ]
