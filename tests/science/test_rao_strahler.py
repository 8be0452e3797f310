"""Rao's p by its exact distribution; orders of branching by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nursery.science import roots
from nursery.science.rao import p_rao
from nursery.science.strahler import branching, read


def test_two_roots_by_hand():
    # U = 360 |gap / 360 - 1/2|, uniform on 0..180.
    assert p_rao([2, 2, 2], [0.0, 45.0, 135.0]).tolist() == pytest.approx([1.0, 0.75, 0.25])


def test_known_surveys():
    # Zar's leaning trees and Batschelet's pigeons: pycircstat2's simulation gave .0058 and .0814 (+-.005);
    # Batschelet's table puts the pigeons between .05 and .10.
    assert p_rao([8, 13], [206.0, 161.923077]) == pytest.approx([0.0058, 0.0814], abs=0.005)


# Russell & Levitin 1995, Commun. Stat. Simul. Comput. 24:879, table 2: critical values of U [degree].
CRITICAL = {
    4: (247.32, 221.14, 186.45, 168.02),
    5: (245.19, 211.93, 183.44, 168.66),
    6: (236.81, 206.79, 180.65, 166.30),
    8: (224.41, 198.46, 175.68, 163.56),
    10: (215.44, 192.37, 171.98, 161.23),
}


def test_published_critical_values():
    for n, critical in CRITICAL.items():
        assert p_rao([n] * 4, critical) == pytest.approx([0.001, 0.01, 0.05, 0.1], abs=2e-5, rel=1e-3)


@pytest.mark.parametrize("n", [3, 5, 12, 40, 60])
def test_it_is_what_a_simulation_finds(n):
    rng = np.random.default_rng(n)
    angle = np.sort(rng.uniform(0, 360, (20000, n)), axis=1)
    gap = np.diff(angle, axis=1, append=angle[:, :1] + 360)
    rao = np.abs(gap - 360 / n).sum(axis=1) / 2
    for q in (0.1, 0.5, 0.9):
        u = float(np.quantile(rao, q))
        assert p_rao([n], [u])[0] == pytest.approx(1 - q, abs=0.012)


def test_ends_and_what_cannot_be_told():
    even, bunched = np.full(59, 0.0), 360.0 * (1 - 1 / np.arange(2, 61))
    assert p_rao(np.arange(2, 61), even) == pytest.approx(np.ones(59), abs=1e-8)
    assert p_rao(np.arange(2, 61), bunched).tolist() == [0.0] * 59
    assert np.isnan(p_rao([0, 1, 61], [0.0, 0.0, 90.0])).all()


@given(st.lists(st.floats(0, 359), min_size=2, max_size=12), st.floats(0, 1))
def test_it_is_a_probability_and_less_for_roots_more_uneven(angles, share):
    u = float(roots.spread([0] * len(angles), angles, 1).rao[0])
    more = u + share * (360 * (1 - 1 / len(angles)) - u)
    p = p_rao([len(angles)] * 4, [0.0, share * u, u, more])
    assert p[0] == pytest.approx(1.0)
    assert ((p >= 0) & (p <= 1)).all()
    assert (np.diff(p) <= 1e-12).all()


def _complete(ways, depth):
    parent, row = [-1], [0]
    for _ in range(depth):
        new = []
        for up in row:
            for _ in range(ways):
                parent.append(up)
                new.append(len(parent) - 1)
        row = new
    return parent


# Orders and streams counted by hand from Strahler's rule; ratios are his R_b (Strahler 1957).
@pytest.mark.parametrize(
    ("parent", "order", "streams", "ratios"),
    [
        pytest.param([-1], 1, (1,), (), id="bare"),
        pytest.param(_complete(2, 3), 4, (8, 4, 2, 1), (2, 2, 2), id="binary"),
        pytest.param(_complete(3, 3), 4, (27, 9, 3, 1), (3, 3, 3), id="ternary"),
        # A stem of six pieces, a twig at each, the last with the tip and a twig.
        pytest.param([-1, 0, 0, 1, 1, 3, 3, 5, 5, 7, 7, 9, 9], 2, (7, 1), (7,), id="fishbone"),
    ],
)
def test_orders(parent, order, streams, ratios):
    out = branching(parent)
    assert (out.order, out.streams) == (order, streams)
    assert out.ratios == ratios


def test_a_tree_typed_with_brackets():
    # r(a(c(e,f),d(g,h(m,n))),b(i(k,l),j))
    out = branching(read("( ((()()) (()(()()))) ((()()) ()) )"))
    assert (out.order, out.streams) == (3, (8, 3, 1))
    assert out.ratios == pytest.approx((8 / 3, 3.0))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "must be closed"),
        ("(()", "must be closed"),
        ("())", "only brackets"),
        ("()()", "must hold all others"),
        ("(a)", "only brackets"),
        ("(" * 61 + ")" * 61, "60 deep"),
    ],
)
def test_what_cannot_be_read_is_told(typed, said):
    with pytest.raises(ValueError, match=said):
        read(typed)


def test_a_branch_grows_from_one_before_it():
    with pytest.raises(ValueError, match="before it"):
        branching([-1, 2, 0])
