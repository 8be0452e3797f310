"""Readings higher up the trunk that do not fit."""

from datetime import date

import pytest

from nursery.reports.thick import Measure
from nursery.reports.upper import mark_upper

BASE = Measure(date(2025, 1, 1), 30.0, None)
UP = [Measure(date(2024, 1, 1), 16.0, 100.0), Measure(date(2025, 1, 2), 18.0, 105.0)]


def last_check(mm: float, height_mm: float, *before: Measure) -> str:
    return mark_upper([*before, Measure(date(2026, 1, 1), mm, height_mm)])[-1].check


@pytest.mark.parametrize(
    ("mm", "told"),
    [
        (19.0, ""),
        (9.0, ""),  # the leader may have been cut
        (190.0, "looks ten times too large: check the decimal point"),
        (1.9, "looks ten times too small: check the decimal point"),
        (45.0, "is far thicker than the trunk below it: check both, and the height"),
    ],
)
def test_beside_others_of_its_height(mm: float, told: str) -> None:
    assert last_check(mm, 100.0, BASE, *UP) == told


def test_beside_the_base_alone() -> None:
    assert last_check(2.5, 400.0, BASE) == ""  # a thin tip
    assert last_check(300.0, 400.0, BASE) == "looks ten times too large: check the decimal point"
    assert last_check(300.0, 400.0) == ""  # nothing to judge it by


def test_what_is_said_of_the_base_stays() -> None:
    odd = Measure(date(2025, 1, 1), 300.0, None, "odd")
    assert mark_upper([odd, *UP]) == [odd, *UP]
