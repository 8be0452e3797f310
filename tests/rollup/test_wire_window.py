"""The coming window of a wire, against the day to look by and what was seen."""

from datetime import UTC, date, datetime

import pytest

from nursery.models import Wiring
from nursery.rollup.wire_window import wire_windows
from nursery.sentences import say
from tests.factories import TreeFactory, record, take

pytestmark = pytest.mark.django_db
TODAY = date(2026, 7, 1)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def wired(*looks: tuple[str, str]) -> tuple[object, str]:
    tree = TreeFactory(phase="trunk", at=at("2026-03-01"))
    on = record("wire_on", {"part": "trunk", "wire_mm": 3}, tree=tree.id, at=at("2026-04-10"))
    take(on, *(record("wire_look", {"state": state}, tree=tree.id, at=at(day)) for day, state in looks))
    return tree, on["id"]


def test_a_tree_without_wire_has_no_window() -> None:
    tree = TreeFactory(phase="trunk", at=at("2026-03-01"))
    assert wire_windows(tree.id, TODAY) == []


def test_biting_comes_before_sinking_and_the_look_before_most_of_either() -> None:
    tree, id = wired(("2026-06-20", "loose"))
    [window] = wire_windows(tree.id, TODAY)
    assert str(window.wiring) == id
    for when in (window.bites, window.sinks):
        early, middle, late = when
        assert early
        assert middle
        assert late
        assert TODAY <= early < middle < late
    assert window.bites[0] < window.sinks[0]  # type: ignore[operator]
    assert window.look_by < window.sinks[0]  # type: ignore[operator]
    assert window.bitten == pytest.approx(0.0, abs=0.05)
    assert "loose on 20 June" in say(window.why, today=TODAY)


def test_a_marking_wire_bites_sooner_than_a_loose_one() -> None:
    loose, _ = wired(("2026-06-20", "loose"))
    marking, _ = wired(("2026-06-20", "marking"))
    slack, tight = (wire_windows(tree.id, TODAY)[0].bites[1] for tree in (loose, marking))
    assert slack
    assert tight
    assert (slack - tight).days > 30


def test_a_biting_wire_has_bitten() -> None:
    tree, _ = wired(("2026-06-01", "marking"), ("2026-06-20", "biting"), ("2026-06-28", "biting"))
    [window] = wire_windows(tree.id, TODAY)
    assert window.bitten is not None
    assert window.bitten > 0.9
    assert window.bites[1] == TODAY
    assert "see to it now" in say(window.why, today=TODAY)
    assert window.sight


def test_wire_whose_start_nobody_knows_has_a_day_to_look_but_no_window() -> None:
    tree = TreeFactory(phase="trunk", at=at("2026-03-01"))
    take(record("wire_look", {"state": "snug"}, tree=tree.id, at=at("2026-06-20")))
    assert not Wiring.objects.exists()
    [window] = wire_windows(tree.id, TODAY)
    assert (window.wiring, window.bites, window.sinks, window.bitten) == (
        None,
        (None,) * 3,
        (None,) * 3,
        None,
    )
    assert window.look_by > date(2026, 6, 20)
