"""Lots and benches side by side: what is counted, what is told first, and what it costs."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from frontend.strips import draw
from nursery.reports.side_by_side import BARS, By, Of, Strip, side_by_side
from nursery.science.practice import DEFAULT
from tests.factories import BenchFactory, SeedLotFactory, TreeFactory
from tests.shed import stand, text, visitor

pytestmark = pytest.mark.django_db
PAGES = [f"/ready/by/{by}/{of}/" for by in By for of in Of]


def lot_of(code: str, *readiness: float, gate: str = "trunk", mm: float | None = None) -> None:
    lot, bench = SeedLotFactory(code=code), BenchFactory(name=f"Bench {code}", rows=9, places=9)
    for n, p in enumerate(readiness):
        tree = TreeFactory(lot=lot, bench=bench, row=1 + n // 9, place=1 + n % 9, target_base_mm=40)
        stand(tree, gate=gate, readiness=p, caliper_mm=mm)


def test_what_is_told_of_a_lot() -> None:
    lot_of("L1", 0.1, 0.2, 0.5, 0.8, 0.9, mm=44.0)
    TreeFactory(tag="X1")
    lots = side_by_side(By.LOT, Of.READINESS, "", DEFAULT)
    [strip] = lots.page.rows
    assert (strip.name, strip.about) == ("L1", "Japanese black pine")
    assert (strip.trees, strip.known, strip.there) == (5, 5, 2)
    # Linear between order statistics, as numpy's default.
    assert (strip.low, strip.middle, strip.high) == pytest.approx((0.14, 0.5, 0.86))
    assert [at for at, n in enumerate(strip.bars) if n] == [2, 5, 12, 20, 22]
    thick = side_by_side(By.BENCH, Of.THICKNESS, "", DEFAULT)
    assert (thick.page.rows[0].middle, thick.page.rows[0].there) == (pytest.approx(1.1), 5)


def test_what_is_not_known_and_what_is_left_out_is_told() -> None:
    lot_of("L1", 0.5, 0.6)
    loose = TreeFactory(tag="X1")
    stand(loose, gate="trunk", readiness=0.3)
    gone = TreeFactory(tag="X2", left_how="sold", lot=SeedLotFactory(code="GONE"))
    stand(gone, gate="trunk", readiness=0.3)
    client = visitor("viewer")
    said = text(client.get("/ready/by/lot/readiness/"))
    assert "1 tree of no lot is left out." in said
    assert "GONE" not in said
    said = text(client.get("/ready/by/lot/thickness/"))
    assert "none measured with a target – – 0 0 of 2" in said


def test_a_height_alone_is_a_target_by_the_rule_of_practice() -> None:
    tree = TreeFactory(lot=SeedLotFactory(code="L1"), target_height_mm=300)
    stand(tree, gate="branches", readiness=0.5, caliper_mm=25.0)
    [strip] = side_by_side(By.LOT, Of.THICKNESS, "", DEFAULT).page.rows
    assert strip.middle == pytest.approx(25.0 / (300 / 6))


def test_the_page_says_who_is_furthest_and_can_look_at_one_gate() -> None:
    lot_of("EAST", *[0.9] * 5)
    lot_of("WEST", *[0.2] * 5)
    lot_of("THIN", 0.99)  # one tree says nothing of a lot
    lot_of("OLD", *[0.7] * 5, gate="branches")
    client = visitor("viewer")
    said = text(client.get("/ready/by/lot/readiness/"))
    assert "EAST is furthest" in said
    assert "Half of EAST has a chance of 90% or more to be ready; of WEST, 20%." in said
    assert "EAST Japanese black pine 90% 90% to 90% 5 5" in said
    only = text(client.get("/ready/by/lot/readiness/?gate=branches"))
    assert "only trees that are not yet ready for branches" in only
    assert "OLD" in only
    assert "EAST" not in only


def test_unknown_words_lead_nowhere_and_an_unknown_gate_is_all() -> None:
    client = visitor("viewer")
    assert client.get("/ready/by/moss/readiness/").status_code == 404
    assert client.get("/ready/by/lot/moss/").status_code == 404
    assert "Nothing to set side by side yet" in text(client.get("/ready/by/lot/readiness/?gate=moss"))


def test_lists_lead_here() -> None:
    lot_of("L1", 0.5)
    client = visitor("viewer")
    assert "/ready/by/lot/readiness/" in client.get("/ready/").content.decode()
    assert "/ready/by/bench/readiness/" in client.get("/benches/").content.decode()


def test_as_much_is_asked_for_twice_the_trees_and_lots() -> None:
    client = visitor("viewer")
    lot_of("A", *[0.5] * 4, mm=20.0)

    def cost() -> dict[str, int]:
        counts = {}
        for page in PAGES:
            with CaptureQueriesContext(connection) as asked:
                assert client.get(page).status_code == 200, page
            counts[page] = len(asked)
        return counts

    cost()  # what is asked once in a process is not the page's
    before = cost()
    lot_of("B", *[0.6] * 8, mm=30.0)
    assert cost() == before
    assert max(before.values()) <= 13


def test_where_a_strip_is_drawn() -> None:
    bars = [0] * BARS
    bars[0], bars[24] = 1, 40
    drawing = draw(Strip(None, "", "", 41, 41, 40, bars, 0.3, 1.2, 1.8), 1.5, 1.0)  # type: ignore[arg-type]
    assert (drawing.low, drawing.middle, drawing.high, drawing.mark) == (60.0, 240.0, 300.0, 200.0)
    # One tree in forty is still seen; the tallest bar fills the height of 32.
    assert [(bar.x, bar.height) for bar in drawing.bars] == [(0.5, 2.0), (288.5, 32.0)]
