"""A score is the share that it says: the whole way from records to readiness, where the truth is known.

The benchmark ``tests.benchmarks.calibration`` does this with thousands of trees; here are enough to see a
computation that is off by a wide margin.
"""

import pytest

from nursery.models import Standing
from tests.benchmarks.calibration import deciles, fill, report

pytestmark = pytest.mark.django_db


def test_scores_hold_what_they_say() -> None:
    truth = fill(seed=7, trees=330)
    found = report(truth)
    assert found["gates"] == Standing.objects.exclude(gate="").count() >= 300
    pairs = [
        (row.readiness or 0.0, all(truth[str(row.tree_id)][1].values()))
        for row in Standing.objects.exclude(gate="")
    ]
    for low, high in ((0.0, 0.5), (0.5, 0.9), (0.9, 1.0)):
        band = [(p, so) for p, so in pairs if low <= p < high]
        expected, met = sum(p for p, _ in band), sum(so for _, so in band)
        spread = sum(p * (1 - p) for p, _ in band) ** 0.5
        # Three and a half standard deviations, and a tenth for what no computation knows.
        assert abs(met - expected) <= 3.5 * spread + 0.1 * len(band), (low, expected, met)
    assert sum(n for _, n, _, _ in found["readiness"]) == len(pairs)


def test_deciles_by_hand() -> None:
    pairs = [(0.05, False), (0.72, True), (0.78, False), (1.0, True)]
    assert deciles(pairs) == [[0.0, 1, 0.05, 0.0], [0.7, 2, 0.75, 0.5], [0.9, 1, 1.0, 1.0]]
