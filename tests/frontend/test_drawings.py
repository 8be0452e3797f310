"""Where roots and wires are drawn."""

import uuid
from dataclasses import replace
from datetime import date

import pytest

from frontend import rose
from frontend.wire_chart import wire_chart
from nursery.reports.rose import Gap, Root, Rose
from nursery.reports.wiring import WireLook, WireTale, fallen
from nursery.rollup.wire_window import WireWindow

TODAY = date(2026, 7, 1)


def survey(*degrees: float, gap: Gap | None = None) -> Rose:
    found = [Root(deg, 3, deg != 90, "") for deg in degrees]
    return Rose(uuid.UUID(int=1), TODAY, found, [], 0, gap, 0, 0.5, None, None, "", None, None, True)


def test_the_front_is_below_and_angles_go_clockwise_from_above() -> None:
    assert [rose.spot(deg, 100) for deg in (0, 90, 180, 270)] == [
        (200.0, 300.0),
        (100.0, 200.0),
        (200.0, 100.0),
        (300.0, 200.0),
    ]


def test_a_rose() -> None:
    drawing = rose.draw(survey(0, 90, 350, gap=Gap(200, 180, 220, 100, 300, "back right")))
    assert [ray.level for ray in drawing.rays] == [True, False, True]
    assert drawing.rays[1].width == 9.0
    # A gap wider than half a round takes the long way.
    assert " 0 1 1 " in drawing.gap
    assert drawing.gap_label
    assert drawing.gap_label.words == "200°"
    # Sides of 60 degrees: 0 and 90 lie in the first two, 350 in the last.
    assert [arc.on for arc in drawing.sectors] == [True, True, False, False, False, True]
    assert drawing.words.endswith("the largest gap is 200 degrees at the back right")


def test_a_survey_of_one_root_has_no_gap_to_draw() -> None:
    drawing = rose.draw(survey(45))
    assert (drawing.gap, drawing.wedge, drawing.gap_label) == ("", "", None)
    assert drawing.words == "1 root round the trunk, seen from above with the front below"


def look(on: date, state: str) -> WireLook:
    return WireLook(uuid.UUID(int=on.toordinal()), on, state, state.replace("_", " "))


def tale(number: int, on: date, off: date | None, *looks: WireLook) -> WireTale:
    return WireTale(uuid.UUID(int=number), "trunk", 3.0, on, off, "", list(looks), None, "")


OPEN = tale(
    1,
    date(2026, 4, 1),
    None,
    look(date(2026, 5, 1), "loose"),
    look(date(2026, 5, 20), "loose"),
    look(date(2026, 6, 1), "loose"),
    look(date(2026, 6, 10), "snug"),
)
OLD = tale(2, date(2024, 4, 1), date(2024, 10, 1), look(date(2024, 9, 1), "biting"))
AHEAD = WireWindow(
    uuid.UUID(int=1),
    date(2026, 8, 10),
    "",
    (date(2026, 8, 20), date(2026, 9, 20), date(2027, 1, 26)),
    (date(2026, 10, 1), date(2026, 12, 1), None),
    0.0,
)


def test_wires_start_at_the_left_and_the_window_is_on_its_own_lane() -> None:
    chart = wire_chart([OPEN, OLD], [AHEAD], TODAY)
    assert chart is not None
    first, second = chart.lanes
    # 300 days to the late end of biting, and 20 more, over 618 units from 10.
    assert first.width == round(618 * 91 / 320, 1)
    assert second.width == round(618 * 183 / 320, 1)
    assert first.bites == (round(10 + 618 * 141 / 320, 1), round(618 * 159 / 320, 1))
    # Of sinking no late end is known: to the end of the drawing.
    assert first.sinks is not None
    assert sum(first.sinks) == pytest.approx(628, abs=0.2)
    assert (second.bites, second.sinks, second.look) == (None, None, None)
    assert first.look
    assert (first.look.words, first.look.end) == ("look by 10 Aug 2026", False)
    # Below the windows there is room for these words, above the next wire's name.
    assert (second.y - first.y, chart.floor) == (78.0, 148.0)
    assert first.name == "trunk, 3 mm: 1 Apr 2026, still on"
    assert second.name == "trunk, 3 mm: 1 Apr 2024 to 1 Oct 2024"
    assert [tick.words for tick in chart.months] == ["0", "2", "4", "6", "8", "10"]
    assert (chart.states, chart.coming, chart.more) == ({"", "loose", "snug", "biting"}, True, 0)


def test_the_same_seen_again_is_a_tick_and_the_last_look_a_shape() -> None:
    chart = wire_chart([OPEN], [], TODAY)
    assert chart is not None
    shapes = sorted(chart.lanes[0].shapes, key=lambda shape: shape.x)
    assert [shape.state for shape in shapes] == ["loose", "", "", "snug"]
    assert chart.coming is False


def test_only_the_newest_wires_are_drawn_and_a_late_look_is_told() -> None:
    late = WireWindow(uuid.UUID(int=1), date(2026, 6, 1), "", (TODAY,) * 3, (None,) * 3, 0.9)
    chart = wire_chart([OPEN, OLD, OLD, OLD, OLD, OLD, OLD], [late], TODAY)
    assert chart is not None
    assert (len(chart.lanes), chart.more) == (5, 2)
    assert chart.lanes[0].look
    assert chart.lanes[0].look.words == "look now"
    assert chart.lanes[0].bites is None  # it is past
    assert wire_chart([], [], TODAY) is None


def test_a_wire_seen_to_bite_waits_for_nothing() -> None:
    chart = wire_chart([OPEN], [replace(AHEAD, sight=True)], TODAY)
    assert chart is not None
    [lane] = chart.lanes
    assert lane.look
    assert (lane.bites, lane.sinks, lane.look.words) == (None, None, "have it off")


@pytest.mark.parametrize(
    ("states", "found"),
    [
        (["loose", "snug", "marking", "biting"], None),
        (["biting", "marking"], None),  # one state is within what eyes may differ
        (["loose", "sunk_in", "loose"], ("sunk_in", "loose")),
        (["sunk_in", "biting", "snug"], ("sunk_in", "snug")),
        ([], None),
    ],
    ids=["tightens", "one-state", "slack-again", "slower", "none"],
)
def test_looks_that_contradict(states: list[str], found: tuple[str, str] | None) -> None:
    odd = fallen([look(date(2026, 5, 1 + n), state) for n, state in enumerate(states)])
    assert (odd and (odd[0].state, odd[1].state)) == found
