"""What must hold of every nursery: evidence that agrees, units, and neighbours."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st

from nursery.models import Standing, Tree
from nursery.rollup import roll_up_all
from nursery.science import branches, buds, growth, roots
from nursery.science.evidence import present_now
from tests.factories import TreeFactory, record, take

TODAY = date(2026, 6, 10)


@given(
    st.lists(st.integers(1, 900), min_size=1, max_size=6, unique=True),
    st.floats(0.02, 0.98),
    st.floats(0.51, 0.99),
    st.floats(0.51, 0.99),
    st.floats(0, 2),
    st.floats(0, 2),
    st.booleans(),
)
@examples(max_examples=50)
def test_one_more_look_that_agrees_never_lowers_certainty(days, prior, seen, clean, gain, loss, yes):
    """The same answer once more, today: P of what it says does not fall."""
    times = np.array([day / 365.25 for day in sorted(days)])
    like1, like0 = (seen, 1 - clean) if yes else (1 - seen, clean)

    def p(extra: int) -> float:
        at = np.concatenate([times, np.full(extra, 1000 / 365.25)])
        looks = [0] * at.size, at, [like1] * at.size, [like0] * at.size
        return float(present_now(*looks, prior=[prior], gain=gain, loss=loss, now=1000 / 365.25).now[0])

    none, one, two = p(0), p(1), p(2)
    assert (none - 1e-12 <= one <= two + 1e-12) if yes else (none + 1e-12 >= one >= two - 1e-12)


@given(st.integers(1, 12), st.integers(0, 11))
@examples(max_examples=40)
def test_more_of_what_is_wanted_never_lowers_a_gate(count: int, level: int):
    """One more level root, one branch more, one defect fewer."""
    called = [at < level for at in range(count)]
    more = roots.p_level([0] * (count + 1), [*called, True], 1, 0.5)
    better = [at <= level for at in range(count)]
    if level < count:
        assert roots.p_level([0] * count, better, 1)[0] > roots.p_level([0] * count, called, 1)[0]
    assert 0 <= more[0] <= 1
    assert branches.p_set([count + 1], [level])[0] >= branches.p_set([count], [level])[0]
    assert branches.p_order([count + 1])[0] >= branches.p_order([count])[0]
    assert roots.p_no_defect([count])[0] >= roots.p_no_defect([count + 1])[0]
    for bulk in (False, True):
        present, absent = buds.likelihoods([0, 1, 2], [bulk] * 3)
        assert (np.diff(present / absent) > 0).all()


@given(
    st.floats(5, 80),
    st.floats(0.2, 0.99),
    st.floats(50, 500),
    st.floats(1, 60),
    st.floats(100, 900),
    st.sampled_from([0.1, 10.0]),
)
@examples(max_examples=50)
def test_units_change_no_probability(base, ratio, height, internode, aim, scale):
    """All lengths in another unit, with their errors and limits: every p stays."""
    sd, top_sd = 0.03 * base, 0.03 * base * ratio
    one = growth.p_taper([base], [base * ratio], [height], [sd], [top_sd])
    other = growth.p_taper(*([scale * v] for v in (base, base * ratio, height, sd, top_sd)))
    assert one[0] == pytest.approx(other[0], abs=1e-9)
    short = branches.p_short([internode], branches.internode_limit([aim]))
    scaled = branches.p_short([scale * internode], branches.internode_limit([scale * aim]))
    assert short[0] == pytest.approx(scaled[0], abs=1e-9)


def standing(tree: Tree) -> dict[str, object]:
    row = Standing.objects.filter(tree=tree).values().get()
    return {name: value for name, value in row.items() if name != "as_of"}


@pytest.mark.django_db
def test_an_unrelated_tree_changes_no_other_beyond_pooling():
    """With what was learned held fast, a tree's standing is its own to the last digit."""
    start = datetime(2025, 3, 1, 9, tzinfo=UTC)

    def grown(phase: str, mm: float, angles: tuple[int, ...]) -> Tree:
        tree: Tree = TreeFactory(phase=phase, at=start, target_base_mm=30.0)
        survey = {"roots": [{"deg": deg, "grade": 2, "level": deg % 40 != 0} for deg in angles]}
        looks = [
            record("root_survey", survey, tree=tree.id, at=start + timedelta(days=5)),
            record("wire_on", {"part": "trunk"}, tree=tree.id, at=start + timedelta(days=10)),
            record("wire_look", {"state": "snug"}, tree=tree.id, at=start + timedelta(days=90)),
            record("bud_check", {"state": "few"}, tree=tree.id, at=start + timedelta(days=100)),
            record("caliper", {"mm": mm}, tree=tree.id, at=start + timedelta(days=200)),
        ]
        take(*looks)
        return tree

    trees = [grown("roots", 8.0, (0, 90, 170, 260)), grown("trunk", 27.0, (10, 80))]
    roll_up_all(TODAY, refit=True)
    before = [standing(tree) for tree in trees]
    grown("trunk", 55.0, (0, 40, 80))
    grown("roots", 12.0, (0, 60, 120, 180, 240, 300))
    roll_up_all(TODAY)
    assert [standing(tree) for tree in trees] == before
