"""The drawing of a trunk on its tree's page, and its tables."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from frontend.charts import caliper_chart
from nursery.reports.thick import Band, Measure, Thickness
from tests.factories import TreeFactory, record, take
from tests.shed import visitor

AHEAD = Thickness(
    target=30.0,
    reached=0.1,
    arrival=(date(2027, 1, 1), date(2028, 1, 1), date(2029, 1, 1)),
    years=[Band(date(2026, 1, 1), 19.0, 20.0, 21.0)],
    line=[Band(date(2026, 1, 1), 19.0, 20.0, 21.0), Band(date(2030, 1, 1), 32.0, 36.0, 40.0)],
    grounds="",
)
READ = [
    Measure(date(2024, 1, 1), 12.0, None),
    Measure(date(2025, 1, 1), 160.0, None, "looks ten times too large"),
    Measure(date(2025, 6, 1), 9.0, 200.0),
    Measure(date(2026, 1, 1), 20.0, None),
]


def test_where_things_are_drawn() -> None:
    chart = caliper_chart(READ, AHEAD)
    assert chart is not None
    # 2024-01-01 to 2030-01-01 is 2192 days over 582 units from 46; the top is 40 mm * 1.08 over 180 units.
    assert [dot.x for dot in chart.dots] == [46.0, 143.2, 240.1]
    assert chart.dots[2].y == round(220 - 26 - 180 * 20 / 43.2, 1)
    # The slip is drawn at the top, is not joined, and does not stretch the scale.
    assert (chart.dots[1].odd, chart.dots[1].y) == (True, 14.0)
    assert chart.path == f"M46.0 {chart.dots[0].y} L240.1 {chart.dots[2].y}"
    assert chart.band.split()[0].split(",")[0] == "240.1"
    assert len(chart.band.split()) == 4
    assert chart.today == 240.1
    assert chart.arrival == (337.0, 531.1, 433.9)
    # A target that was reached before today has no day to come.
    there = caliper_chart(READ, replace(AHEAD, arrival=(date(2026, 1, 1),) * 3))
    assert there
    assert there.arrival is None


def test_one_reading_without_a_forecast_is_no_drawing() -> None:
    assert caliper_chart(READ[:1], None) is None
    plain = caliper_chart(READ, None)
    assert plain
    assert (len(plain.dots), plain.band, plain.arrival) == (3, "", None)


def test_the_target_s_words_stand_where_no_curve_runs_through_them() -> None:
    def words(target: float, *mm: float) -> tuple[bool, bool]:
        read = [Measure(date(2015 + 3 * n, 1, 1), size, None) for n, size in enumerate(mm)]
        chart = caliper_chart(read, replace(AHEAD, target=target, arrival=None, line=[]))
        assert chart
        assert chart.target
        return chart.target.end, chart.target.below

    # Above at the left, as long as the trunk is well under it or far over it there.
    assert words(100, 10, 40, 60) == (False, False)
    # It begins at the target and grows past it: at the right end.
    assert words(50, 52, 70, 110, 140) == (True, False)
    # All its life just over the target: under the line.
    assert words(50, 53, 54, 55) == (False, True)


@pytest.mark.django_db
def test_the_page_draws_the_band_and_tells_it_in_a_table() -> None:
    tree = TreeFactory(phase="trunk", sown_year=2019, target_base_mm=40, at=datetime(2022, 3, 1, tzinfo=UTC))
    for year, mm in ((2023, 14.0), (2024, 18.0), (2025, 225.0)):
        take(record("caliper", {"mm": mm}, tree=tree.id, at=datetime(year, 11, 1, 9, tzinfo=UTC)))
    page = visitor("owner").get(f"/trees/{tree.id}/").content.decode()
    assert re.search(r'<polygon points="[\d., ]+"', page)
    assert "The forecast in numbers" in page
    assert page.count('<th scope="col" class="n">Half are under</th>') == 1
    assert "At its target of 40 mm by about" in page
    assert "looks ten times too large: check the decimal point" in page
    assert "Growth by practice (assumed)" in page
    assert "style=" not in page
