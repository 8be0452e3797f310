"""How densely a tree's silhouette fills its picture: box counting on a photo.

====  =============================================================================================
s     side of a box [px]
N     boxes of a grid that hold any of the silhouette
D     box-counting dimension, the slope of ln N on ln 1/s: 1 for a line, 2 for a solid shape
t     the grey that parts tree and backdrop best (Otsu 1979, IEEE Trans. SMC 9:62-66)
eta   share of the greys' variance that lies between the two sides of t, 0..1
====  =============================================================================================

Box counting: Falconer 2014, Fractal Geometry, 3rd ed., 2.1. D is of the scales that were counted and of the
whole silhouette, pot and stand too: two pictures compare if they were framed alike. That eta, the borders and
the share of the picture tell whether a tree stands out from its backdrop at all: common practice, no source.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .ragged import Bools, Floats, Ints, floats, ints

#: The finest box [px], and the coarsest as a share of the picture's shorter side.
FINEST, COARSEST = 2, 1 / 8
#: Places of the grid, each way.
PLACES = 4
#: A tree stands out where eta is at least this much.
STANDS_OUT = 0.8
#: The upper and side borders may hold this share of it at most: else it is cut off, or no tree.
ON_BORDER = 0.1
#: The silhouette's share of the picture.
LEAST, MOST = 0.01, 0.6


@dataclass(frozen=True)
class Density:
    """D, and its standard error as the slope of a line."""

    dimension: float
    error: float


def box_counts(mask: ArrayLike, sides: ArrayLike) -> Ints:
    """N for each side, of the grid that begins at the upper left corner.

    Parameters
    ----------
    mask : (h, w) bool. sides : (k,) [px], at least 1.
    """
    of = np.asarray(mask, dtype=bool)
    return ints([_boxes(of, int(side), 0, 0) for side in ints(sides)])


def mean_counts(mask: ArrayLike, sides: ArrayLike) -> Floats:
    """N for each side, on average over where the grid begins: ``PLACES`` down and as many across.

    A grid laid one way or another over a small picture moves D by 0.2; the average stands still.
    """
    of = np.asarray(mask, dtype=bool)
    # Off any lattice of the boxes themselves.
    begin = np.mod((np.arange(PLACES) + np.sqrt(0.5)) / PLACES, 1.0)
    found = []
    for side in ints(sides):
        starts = np.unique((begin * side).astype(int))
        found.append(np.mean([_boxes(of, int(side), down, right) for down in starts for right in starts]))
    return floats(found)


def _boxes(mask: Bools, side: int, down: int, right: int) -> int:
    rows, columns = (
        np.union1d([0], np.arange(begin, length, side))
        for begin, length in zip((down, right), mask.shape, strict=True)
    )
    any_of = np.logical_or.reduceat(np.logical_or.reduceat(mask, rows, axis=0), columns, axis=1)
    return int(any_of.sum())


def dimension(sides: ArrayLike, counts: ArrayLike) -> Density:
    """D by least squares from at least two sides; the error is NaN from two."""
    x, y = -np.log(floats(sides)), np.log(floats(counts))
    x, y = x - x.mean(), y - y.mean()
    slope = float((x * y).sum() / (x * x).sum())
    free = x.size - 2
    if free < 1:
        return Density(slope, float("nan"))
    return Density(slope, float(np.sqrt(np.square(y - slope * x).sum() / free / (x * x).sum())))


def otsu(grey: ArrayLike) -> tuple[float, float]:
    """t and eta of whole greys 0..255, any shape; eta is 0 where all are alike."""
    count = np.bincount(ints(grey).ravel(), minlength=256).astype(np.float64)
    share = count / count.sum()
    below = np.cumsum(share)
    moment = np.cumsum(share * np.arange(256))
    mean = moment[-1]
    total = float((share * np.square(np.arange(256) - mean)).sum())
    if total == 0:
        return float(mean), 0.0
    inside = (below > 0) & (below < 1)
    between = np.zeros(256)
    between[inside] = np.square(mean * below - moment)[inside] / (below * (1 - below))[inside]
    best = np.flatnonzero(between >= between.max() * (1 - 1e-12))
    return float(best.mean()), float(between.max()) / total


def silhouette(grey: ArrayLike) -> Bools | None:
    """The tree before its backdrop, (h, w); None where it does not stand out, is cut off, or is too small.

    grey : (h, w) whole, 0..255. What most of the upper and side borders show is the backdrop, light or dark.
    """
    picture = ints(grey)
    t, eta = otsu(picture)
    if eta < STANDS_OUT:
        return None
    dark = np.asarray(picture <= t)
    border = np.concatenate([dark[0], dark[:, 0], dark[:, -1]])
    tree = ~dark if border.mean() > 0.5 else dark
    on_border = min(float(border.mean()), 1 - float(border.mean()))
    there = float(tree.mean())
    return tree if on_border <= ON_BORDER and LEAST <= there <= MOST else None


def density(grey: ArrayLike) -> Density | None:
    """D of a tree's picture, as for ``silhouette``; None where it has none."""
    tree = silhouette(grey)
    if tree is None:
        return None
    sides = FINEST * 2 ** np.arange(0, 16)
    sides = sides[sides <= max(min(tree.shape) * COARSEST, 4 * FINEST)]
    return dimension(sides, mean_counts(tree, sides))
