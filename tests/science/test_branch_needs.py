"""What a style needs of its branches: common practice, no source; that it counts is checked."""

import pytest

from nursery.models import Style
from nursery.science import branches


def test_every_style_has_its_need():
    assert set(branches.NEEDS) == set(Style.values)
    assert branches.need_of("") == branches.Need(5, 2, 3)
    assert branches.need_of("broom").secondaries == 15


def test_one_count_is_enough_for_one_style_and_too_few_for_another():
    literati, broom = branches.need_of("literati"), branches.need_of("broom")
    p = branches.p_set([4, 4], [5, 5], [literati.primaries, broom.primaries], [literati.each, broom.each])
    assert p[0] > 0.9
    assert p[1] < 0.01
    assert branches.p_order([2, 2], [literati.order, broom.order]) == pytest.approx([0.894, 0.0001], abs=1e-3)
