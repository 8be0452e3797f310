"""Trees with records, and their standings as somebody reads them."""

from datetime import UTC, date, datetime

from nursery.models import Standing
from nursery.rollup import roll_up
from nursery.sentences import say
from tests.factories import TreeFactory, record, take

TODAY = date(2026, 6, 10)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(hour=9, tzinfo=UTC)


def planted(phase: str, **rest):
    return TreeFactory(phase=phase, at=at("2025-03-01"), **rest)


def saw(tree, kind: str, on: str, **body):
    made = record(kind, body, tree=tree.id, at=at(on))
    take(made)
    return made


def standing(tree, today: date = TODAY) -> Standing:
    """Its standing, each reason said as somebody reads it on that day."""
    roll_up([tree.id], today=today, head=None)
    row = Standing.objects.get(tree=tree)
    row.wire_why = say(row.wire_why, today=today)
    for entry in [*row.due, *row.criteria]:
        entry["why"] = say(entry["why"], today=today)
        for proof in entry.get("evidence", ()):
            proof["text"] = say(proof["text"], today=today)
    return row


def criterion(row: Standing, name: str) -> dict:
    return next(entry for entry in row.criteria if entry["name"] == name)


def due(row: Standing) -> dict[str, str]:
    return {entry["what"]: entry["why"] for entry in row.due}


def roots(*angles: float) -> list[dict]:
    return [{"deg": angle, "grade": 3, "level": True} for angle in angles]
