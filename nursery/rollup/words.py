"""What a standing says of a tree, and what each saying rests on."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypedDict

from nursery.science.ragged import Bools, Floats
from nursery.sentences import Sentence

from .load import Looks, day_of


class Evidence(TypedDict):
    record: str
    on: str
    text: Sentence


class CriterionRow(TypedDict):
    name: str
    p: float
    looked: bool
    why: Sentence
    evidence: list[Evidence]


class DueRow(TypedDict):
    what: str
    why: Sentence


@dataclass(frozen=True)
class Judged:
    """One criterion of all trees of a chunk.

    Attributes
    ----------
    p : (n,) P(met | evidence), the prior where nobody looked.
    looked : (n,) whether anybody did.
    tell : the sentence and the evidence of tree i; asked only for trees at the gate.
    """

    p: Floats
    looked: Bools
    tell: Callable[[int], tuple[Sentence, list[Evidence]]]


def iso(day: int) -> str:
    """A day number as sentences hold it."""
    return day_of(day).isoformat()


def evidence(record: str, day: int, text: Sentence) -> Evidence:
    return {"record": _dashed(record), "on": iso(day), "text": text}


def _dashed(id: str) -> str:
    """An id as records are told; SQLite keeps 32 hex digits, PostgreSQL has the dashes."""
    return id if len(id) == 36 else f"{id[:8]}-{id[8:12]}-{id[12:16]}-{id[16:20]}-{id[20:]}"


def newest(looks: Looks, tree: int, say: Callable[[int], Sentence], most: int = 3) -> list[Evidence]:
    """The newest rows of a tree as evidence, newest first."""
    rows = looks.rows(tree)[: -most - 1 : -1]
    return [evidence(looks.id[at], int(looks.day[at]), say(at)) for at in rows]
