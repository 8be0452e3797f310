"""Box counting against exact dimensions, and what is taken for a tree before a backdrop."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nursery.science import silhouette as on

TRIANGLE = np.array([[(row & column) == 0 for column in range(256)] for row in range(256)])
CARPET = np.array([[1, 1, 1], [1, 0, 1], [1, 1, 1]])
VICSEK = np.array([[0, 1, 0], [1, 1, 1], [0, 1, 0]])
CANTOR = np.array([[1, 0, 1]])


ROUND = np.hypot(*np.mgrid[-1:1:200j, -1:1:200j])


def grown(seed: np.ndarray, times: int = 5) -> np.ndarray:
    shape = np.ones((1, 1), dtype=int)
    for _ in range(times):
        shape = np.kron(shape, seed)
    return shape.astype(bool)


def koch(times: int) -> np.ndarray:
    """Points of the Koch curve from 0 to 1."""
    turn = np.exp(1j * np.pi / 3)
    points = np.array([0, 1], dtype=complex)
    for _ in range(times):
        a, step = points[:-1], np.diff(points) / 3
        parts = np.stack([a, a + step, a + step + step * turn, a + 2 * step], axis=1)
        points = np.append(parts.ravel(), points[-1])
    return points


def test_boxes_of_the_sierpinski_triangle_are_the_powers_of_three():
    """Computed exactly: 3^k boxes of side 2^(8 - k) on the aligned raster of 256 px; D = ln 3 / ln 2."""
    sides = 2 ** np.arange(9)
    counts = on.box_counts(TRIANGLE, sides)
    assert counts.tolist() == [6561, 2187, 729, 243, 81, 27, 9, 3, 1]
    found = on.dimension(sides, counts)
    assert found.dimension == pytest.approx(1.584963, abs=5e-7)
    assert found.error == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("seed", "exact"),
    [
        pytest.param(CARPET, 1.892789, id="carpet, ln 8 / ln 3"),
        pytest.param(VICSEK, 1.464974, id="Vicsek, ln 5 / ln 3"),
        pytest.param(CANTOR, 0.630930, id="Cantor, ln 2 / ln 3"),
        pytest.param(np.ones((3, 3), dtype=int), 2.0, id="solid square"),
        pytest.param(np.eye(3, dtype=int), 1.0, id="diagonal"),
    ],
)
def test_exact_dimensions_of_aligned_rasters(seed, exact):
    sides = 3 ** np.arange(6)
    assert on.dimension(sides, on.box_counts(grown(seed), sides)).dimension == pytest.approx(exact, abs=5e-7)


def test_the_koch_curve_is_met_as_near_as_its_raster_lets():
    """ln 4 / ln 3 = 1.261860; its points do not lie on the grid."""
    at = koch(8) * (729 - 1e-6)
    mask = np.zeros((243, 729), dtype=bool)
    mask[at.imag.astype(int), at.real.astype(int)] = True
    sides = 2 ** np.arange(1, 6)
    assert on.dimension(sides, on.mean_counts(mask, sides)).dimension == pytest.approx(1.261860, abs=0.015)


def test_where_the_grid_begins_matters_only_to_one_grid():
    sides, one, mean = 2 ** np.arange(1, 6), [], []
    for down, right in ((0, 0), (20, 22), (33, 17), (5, 9), (30, 40)):
        mask = np.zeros((320, 300), dtype=bool)
        mask[down : down + 256, right : right + 256] = TRIANGLE
        one.append(on.dimension(sides, on.box_counts(mask, sides)).dimension)
        mean.append(on.dimension(sides, on.mean_counts(mask, sides)).dimension)
    assert max(one) - min(one) > 0.1
    assert max(mean) - min(mean) < 0.03


def test_boxes_at_the_edge_are_counted_though_they_are_not_whole():
    mask = np.zeros((5, 7), dtype=bool)
    mask[4, 6] = True
    assert on.box_counts(mask, [1, 2, 3, 4, 8]).tolist() == [1, 1, 1, 1, 1]


@given(st.integers(0, 2**32 - 1), st.floats(0.02, 0.98))
def test_halving_the_boxes_never_lowers_their_number_nor_more_than_fours_it(seed, share):
    mask = np.random.default_rng(seed).random((37, 53)) < share
    counts = on.box_counts(mask, [1, 2, 4, 8, 16])
    assert counts[0] == mask.sum()
    assert (np.diff(counts) <= 0).all()
    assert (counts[:-1] <= 4 * counts[1:]).all()


def test_otsu_parts_two_greys_between_them():
    grey = np.repeat([40, 200], [300, 700])
    t, eta = on.otsu(grey)
    assert 40 <= t < 200
    assert eta == pytest.approx(1.0)
    assert on.otsu(np.full(10, 90)) == (90.0, 0.0)
    # By hand: 0 and 2 each once, 1 twice: variance 0.5; split after 0: 1/4 * 3/4 * (4/3 - 0)^2 = 1/3.
    assert on.otsu([0, 1, 1, 2])[1] == pytest.approx((1 / 3) / 0.5)


def drawn(tree: int, wall: int, noise: float = 6.0) -> np.ndarray:
    """A triangle of twigs on a stem before a wall, greys with a camera's noise."""
    picture = np.full((320, 300), float(wall))
    picture[20:276, 22:278][np.flipud(TRIANGLE)] = tree
    picture[276:320, 140:160] = tree
    return np.clip(np.round(picture + np.random.default_rng(1).normal(0, noise, picture.shape)), 0, 255)


@pytest.mark.parametrize(("tree", "wall"), [(40, 210), (200, 60)])
def test_a_tree_before_a_plain_wall_has_a_density_whichever_is_lighter(tree, wall):
    picture = drawn(tree, wall)
    mask = on.silhouette(picture)
    assert mask is not None
    assert mask.mean() == pytest.approx((TRIANGLE.sum() + 44 * 20) / picture.size, abs=1e-3)
    found = on.density(picture)
    assert found is not None
    assert found.dimension == pytest.approx(1.51, abs=0.05)
    assert 0 < found.error < 0.1


def test_a_denser_crown_tells_more():
    open_, filled = drawn(40, 210), drawn(40, 210)
    filled[150:276, 22:278] = 40
    less, more = on.density(open_), on.density(filled)
    assert less is not None
    assert more is not None
    assert more.dimension > less.dimension + 0.1


@pytest.mark.parametrize(
    "picture",
    [
        pytest.param(np.full((200, 200), 128), id="nothing in it"),
        pytest.param(np.random.default_rng(2).integers(0, 256, (200, 200)), id="leaves all over"),
        pytest.param(np.tile(np.linspace(0, 255, 200).astype(int), (200, 1)), id="a lit wall alone"),
        pytest.param(np.where(np.arange(200)[:, None] * np.ones(200) < 90, 30, 220), id="cut off"),
        pytest.param(np.pad(np.full((4, 4), 20), 98, constant_values=220), id="a speck"),
        pytest.param((60 + 150 * (1 - np.exp(-6 * ROUND**2))).astype(int), id="a shadow"),
    ],
)
def test_what_does_not_stand_out_has_none(picture):
    assert on.density(picture) is None
