"""A trunk's diameter from a picture: the code on the tag gives the plane and the scale.

Four corners of a square of known edge fix the projective map between the picture and the tag's plane
(Heckbert 1989, "Fundamentals of Texture Mapping and Image Warping", section 2.2.3: the map of the unit square
onto a quadrilateral). Two taps on the trunk's edges, mapped onto that plane, lie one diameter apart, if the
trunk's silhouette lies in it. The twin in ``bench/model/photoScale.ts`` computes the same.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

#: Error of a found corner, and of a tap under the magnifier, along each axis; one standard deviation [px].
CORNER_SD_PX = 1.0
TAP_SD_PX = 1.0
#: Relative error of the scale, one standard deviation: the print (its check bar was measured), and what a
#: phone leaves of its lens's distortion. Assumed, no source.
SCALE_SD = 0.005
#: The stated interval reaches so many standard deviations to each side: 95% of a normal error.
REACH = 1.96
#: A code smaller than this gives no scale worth having [px along its shortest side].
LEAST_EDGE_PX = 60.0
#: Its shortest side over its longest, below which the phone was held too much aslant.
LEAST_SQUARENESS = 0.5
#: Focal length over the picture's longer side, as phones' main cameras have it (26 mm on 36 mm of film).
FOCAL = 26.0 / 36.0
_STEP_PX = 0.25


@dataclass(frozen=True)
class PhotoReading:
    """What pictures say, one entry each, shape (n,).

    ``mm`` diameter, ``sd_mm`` its standard deviation, ``low_mm`` to ``high_mm`` the stated interval [mm].
    ``distance_mm``: from camera to tag, about. A trunk so many mm behind the tag's plane reads too thin by
    that part of the distance, one before it too thick: it is told, not corrected.
    """

    mm: Floats
    sd_mm: Floats
    low_mm: Floats
    high_mm: Floats
    distance_mm: Floats


def plane_of(corners: ArrayLike, edge_mm: ArrayLike) -> Floats:
    """The map from picture [px] to the tag's plane [mm], origin at the code's top left corner.

    Parameters
    ----------
    corners : shape (n, 4, 2) or (4, 2), [px]
        Top left, top right, bottom right, bottom left, as printed.
    edge_mm : shape (n,) or one number, [mm]

    Returns
    -------
    shape (n, 3, 3), for homogeneous column vectors (x, y, 1).

    Raises
    ------
    ValueError : the corners are no convex quadrilateral in that order, or none of a size; names which.
    """
    at = np.asarray(corners, dtype=np.float64).reshape(-1, 4, 2)
    _check(at)
    edge = np.broadcast_to(np.asarray(edge_mm, dtype=np.float64), (len(at),))
    if not np.all(np.isfinite(edge) & (edge > 0)):
        raise ValueError("edge_mm: the printed edge is not a positive length")
    return _plane(at, edge)


def _check(at: Floats) -> None:
    if not np.all(np.isfinite(at)):
        raise ValueError("corners: a corner is no number")
    along = np.roll(at, -1, axis=1) - at
    turn = (
        along[:, :, 0] * np.roll(along, -1, axis=1)[:, :, 1]
        - along[:, :, 1] * np.roll(along, -1, axis=1)[:, :, 0]
    )
    if not np.all(turn > 0):
        raise ValueError("corners: they do not go round a code clockwise")
    length = np.hypot(along[:, :, 0], along[:, :, 1])
    if np.any(length.min(axis=1) < LEAST_EDGE_PX):
        raise ValueError("corners: the code is too small in the picture; come nearer")
    if np.any(length.min(axis=1) / length.max(axis=1) < LEAST_SQUARENESS):
        raise ValueError("corners: the phone is held too much aslant; hold it flat before the tag")


def _plane(at: Floats, edge: Floats) -> Floats:
    """Invert the map of the unit square onto the corners, and scale it."""
    p0, p1, p2, p3 = (at[:, i] for i in range(4))
    d1, d2, s = p1 - p2, p3 - p2, p0 - p1 + p2 - p3
    det = d1[:, 0] * d2[:, 1] - d2[:, 0] * d1[:, 1]
    g = (s[:, 0] * d2[:, 1] - d2[:, 0] * s[:, 1]) / det
    h = (d1[:, 0] * s[:, 1] - s[:, 0] * d1[:, 1]) / det
    there = np.empty((len(at), 3, 3))
    there[:, :2, 0] = p1 - p0 + g[:, None] * p1
    there[:, :2, 1] = p3 - p0 + h[:, None] * p3
    there[:, :2, 2] = p0
    there[:, 2, 0], there[:, 2, 1], there[:, 2, 2] = g, h, 1.0
    back: Floats = np.linalg.inv(there).astype(np.float64)
    back[:, :2] *= edge[:, None, None]
    return back


def _apart(at: Floats, edge: Floats, taps: Floats) -> Floats:
    """Distance of the two taps on the tag's plane, shape (n,) [mm]."""
    ones = np.ones((*taps.shape[:2], 1))
    mapped = np.einsum("nij,ntj->nti", _plane(at, edge), np.concatenate([taps, ones], axis=2))
    on_plane = mapped[:, :, :2] / mapped[:, :, 2:]
    difference = on_plane[:, 1] - on_plane[:, 0]
    apart: Floats = np.hypot(difference[:, 0], difference[:, 1])
    return apart


def read_diameter(
    corners: ArrayLike,
    edge_mm: ArrayLike,
    taps: ArrayLike,
    *,
    longer_side_px: ArrayLike,
    corner_cov: ArrayLike | None = None,
    tap_sd_px: float = TAP_SD_PX,
    scale_sd: float = SCALE_SD,
) -> PhotoReading:
    """Diameter with its uncertainty: first-order propagation of the errors of corners, taps and print.

    Parameters
    ----------
    corners, edge_mm : as for ``plane_of``.
    corner_cov : shape (n, 8, 8) or (8, 8), [px^2]; of the corners' coordinates. None: those of a decoder that
        gives whole pixels.
    taps : shape (n, 2, 2) or (2, 2), [px]; one on each edge of the trunk, straight across it.
    longer_side_px : shape (n,) or one number; of the picture that corners and taps are counted in.

    Raises
    ------
    ValueError : as ``plane_of``; or the taps are no numbers.
    """
    plane_of(corners, edge_mm)
    at = np.asarray(corners, dtype=np.float64).reshape(-1, 4, 2)
    two = np.asarray(taps, dtype=np.float64).reshape(-1, 2, 2)
    if len(two) != len(at) or not np.all(np.isfinite(two)):
        raise ValueError("taps: there are not two of them in each picture")
    edge = np.broadcast_to(np.asarray(edge_mm, dtype=np.float64), (len(at),))
    mm = _apart(at, edge, two)
    slopes = np.stack([_slope(at, edge, two, point, axis) for point in range(6) for axis in range(2)], axis=1)
    cov = np.eye(8) * CORNER_SD_PX**2 if corner_cov is None else np.asarray(corner_cov, dtype=np.float64)
    by_corners = np.einsum(
        "ni,nij,nj->n", slopes[:, :8], np.broadcast_to(cov, (len(at), 8, 8)), slopes[:, :8]
    )
    variance = (scale_sd * mm) ** 2 + by_corners + tap_sd_px**2 * (slopes[:, 8:] ** 2).sum(axis=1)
    sd_mm = np.sqrt(variance)
    along = np.roll(at, -1, axis=1) - at
    side = np.hypot(along[:, :, 0], along[:, :, 1]).mean(axis=1)
    distance = FOCAL * np.asarray(longer_side_px, dtype=np.float64) * edge / side
    return PhotoReading(mm, sd_mm, np.maximum(0.0, mm - REACH * sd_mm), mm + REACH * sd_mm, distance)


def _slope(at: Floats, edge: Floats, taps: Floats, point: int, axis: int) -> Floats:
    """Change of the diameter with one coordinate of one corner (0-3) or tap (4, 5) [mm/px]."""
    sides = []
    for step in (_STEP_PX, -_STEP_PX):
        moved, tapped = at.copy(), taps.copy()
        if point < 4:
            moved[:, point, axis] += step
        else:
            tapped[:, point - 4, axis] += step
        sides.append(_apart(moved, edge, tapped))
    slope: Floats = (sides[0] - sides[1]) / (2 * _STEP_PX)
    return slope
