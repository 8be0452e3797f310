"""Standings of trees whose surface roots are not level, and what is told of them."""

import pytest

from tests.rollup.test_standings import criterion, planted, roots, saw, standing

pytestmark = pytest.mark.django_db


def test_too_few_level_roots_hold_it_and_what_is_open_about_it_is_told():
    tree = planted("roots")
    seen = roots(0, 60, 120, 180, 240, 300)
    for root in seen[:2]:
        root["level"] = False
    saw(tree, "root_survey", "2026-03-03", roots=seen)
    row = standing(tree)
    assert row.held_by == "roots_level"
    held = criterion(row, "roots_level")
    # By practice 85% of roots are level and 5% misjudged: 0.85 * 0.05 / (0.85 * 0.05 + 0.15 * 0.95) = 23%.
    assert held["why"] == (
        "4 of 6 roots were called level, at least 5 wanted (surveyed 3 March); "
        "about 23% of those called off level are level all the same."
    )
    # P by scipy's beta-binomial, as in tests/science/test_roots.py: 0.374, and three months' ageing to 0.6.
    assert held["p"] == pytest.approx(0.376, abs=2e-3)


def test_a_survey_that_found_no_root_says_so():
    tree = planted("roots")
    saw(tree, "root_survey", "2026-03-03", roots=[])
    assert criterion(standing(tree), "roots_level")["why"] == "No root found on 3 March."
