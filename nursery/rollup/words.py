"""Days, numbers and sentences as a grower says them."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TypedDict
from uuid import UUID

from nursery.science.ragged import Bools, Floats

from .load import Looks, day_of

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


class Evidence(TypedDict):
    record: str
    on: str
    text: str


class CriterionRow(TypedDict):
    name: str
    p: float
    looked: bool
    why: str
    evidence: list[Evidence]


class DueRow(TypedDict):
    what: str
    why: str


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
    tell: Callable[[int], tuple[str, list[Evidence]]]


def on(day: date | int, today: date) -> str:
    """``4 April`` this year, ``4 April 2024`` otherwise."""
    day = day if isinstance(day, date) else day_of(day)
    text = f"{day.day} {MONTHS[day.month - 1]}"
    return text if day.year == today.year else f"{text} {day.year}"


def since(day: date | int, today: date) -> str:
    """As ``on``, but the month is enough for what is a year or more ago: ``March 2024``."""
    day = day if isinstance(day, date) else day_of(day)
    return on(day, today) if (today - day).days < 365 else f"{MONTHS[day.month - 1]} {day.year}"


def mm(value: float) -> str:
    """``18.2 mm``, ``21 mm``: one decimal where it is not zero."""
    return f"{value:.1f}".removesuffix(".0") + " mm"


def capital(sentence: str) -> str:
    """With a capital letter at its start."""
    return sentence[:1].upper() + sentence[1:]


def listed(words: list[str]) -> str:
    """``crossing``, ``crossing and high``, ``a, b and c``."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def evidence(record: str, day: int, text: str) -> Evidence:
    return {"record": str(UUID(record)), "on": day_of(day).isoformat(), "text": text}


def newest(looks: Looks, tree: int, say: Callable[[int], str], most: int = 3) -> list[Evidence]:
    """The newest rows of a tree as evidence, newest first."""
    rows = [int(at) for at in looks.rows(tree)[: -most - 1 : -1]]
    return [evidence(looks.id[at], int(looks.day[at]), say(at)) for at in rows]
