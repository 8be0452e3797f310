"""A diameter read from a picture, against rendered scenes of known geometry and values worked out by hand."""

import base64
import json
import os
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray

from nursery.science.photo_corners import refine
from nursery.science.photo_scale import plane_of, read_diameter

from .photo_scenes import WIDTH, scene

VECTORS: dict[str, Any] = json.loads(
    (Path(__file__).resolve().parents[1] / "vectors" / "photo_scale.json").read_text(encoding="utf-8")
)
SQUARE = [[100.0, 200.0], [300.0, 200.0], [300.0, 400.0], [100.0, 400.0]]
#: A third of them in everyday runs; all: ``SCENES=204 python -m pytest tests/science/test_photo_scale.py``.
SCENES = int(os.environ.get("SCENES", "68"))


def _decoded(image: NDArray[np.uint8]) -> NDArray[np.float64] | None:
    found = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
    if not found:
        return None
    at = found[0].position
    corners = (at.top_left, at.top_right, at.bottom_right, at.bottom_left)
    return np.array([[corner.x, corner.y] for corner in corners], dtype=float)


def test_rendered_scenes_are_read_within_two_percent_and_within_what_is_stated() -> None:
    """Tilted to 30 degrees, trunks of 3 to 80 mm, the three printed sizes, blur, noise, taps off by 1 px."""
    rng = np.random.default_rng(20260601)
    near, covered, read = 0, 0, 0
    for n in range(SCENES):
        mm = float(np.exp(rng.uniform(np.log(3.0), np.log(80.0))))
        made = scene(rng, tilt_deg=float(rng.uniform(0.0, 30.0)), mm=mm, edge_mm=(14.0, 22.0, 30.0)[n % 3])
        picture = np.asarray(made.image)
        rough = _decoded(picture)
        exact = None if rough is None else refine(picture, rough)
        if exact is None:
            continue
        read += 1
        told = read_diameter(exact.at, made.edge_mm, made.taps, corner_cov=exact.cov, longer_side_px=WIDTH)
        near += abs(told.mm[0] / made.mm - 1.0) <= 0.02
        covered += told.low_mm[0] <= made.mm <= told.high_mm[0]
        # Honest, and no wider than it has to be.
        assert told.sd_mm[0] < 0.03 * made.mm + 0.02
    assert read >= 0.97 * SCENES
    assert near / read >= 0.95
    assert covered / read >= 0.90


def test_flat_before_the_tag_the_scale_is_that_of_the_edge() -> None:
    told = read_diameter(SQUARE, 20.0, [[350.0, 300.0], [450.0, 300.0]], longer_side_px=2048)
    # 200 px are 20 mm, so 100 px are 10 mm.
    assert told.mm[0] == pytest.approx(10.0, abs=1e-9)
    # 26 mm on 36 mm of film: 2048 px * 26/36 * 20 mm / 200 px.
    assert told.distance_mm[0] == pytest.approx(147.91, abs=0.01)


def test_the_map_takes_the_corners_onto_the_printed_square() -> None:
    corners = np.array([[120.0, 90.0], [410.0, 130.0], [380.0, 400.0], [100.0, 350.0]])
    [back] = plane_of(corners, 22.0)
    seen = np.column_stack([corners, np.ones(4)]) @ back.T
    assert seen[:, :2] / seen[:, 2:] == pytest.approx(
        np.array([[0.0, 0.0], [22.0, 0.0], [22.0, 22.0], [0.0, 22.0]]), abs=1e-9
    )


def test_the_error_of_taps_alone_is_that_of_two_points_on_a_line() -> None:
    told = read_diameter(
        SQUARE,
        20.0,
        [[350.0, 300.0], [450.0, 300.0]],
        longer_side_px=2048,
        corner_cov=np.zeros((8, 8)),
        scale_sd=0.0,
    )
    # Each tap is off by 1 px = 0.1 mm along the line: the square root of 2 times that.
    assert told.sd_mm[0] == pytest.approx(0.1 * 2**0.5, rel=1e-6)
    assert (told.low_mm[0], told.high_mm[0]) == pytest.approx((9.7228, 10.2772), abs=1e-4)


def test_many_pictures_are_read_in_one_call() -> None:
    told = read_diameter(
        np.stack([SQUARE, SQUARE]),
        [20.0, 10.0],
        np.full((2, 2, 2), [[350.0, 300.0], [450.0, 300.0]]),
        longer_side_px=2048,
    )
    assert told.mm == pytest.approx([10.0, 5.0])


@pytest.mark.parametrize(
    ("corners", "edge", "taps", "word"),
    [
        (SQUARE[::-1], 20.0, [[0, 0], [1, 1]], "clockwise"),
        ([[0, 0], [100, 0], [30, 30], [0, 100]], 20.0, [[0, 0], [1, 1]], "clockwise"),
        ([[0, 0], [50, 0], [50, 50], [0, 50]], 20.0, [[0, 0], [1, 1]], "come nearer"),
        ([[0, 0], [300, 0], [300, 100], [0, 100]], 20.0, [[0, 0], [1, 1]], "aslant"),
        ([[0, 0], [float("nan"), 0], [300, 100], [0, 100]], 20.0, [[0, 0], [1, 1]], "no number"),
        (SQUARE, 0.0, [[0, 0], [1, 1]], "edge_mm"),
        (SQUARE, 20.0, [[0, 0], [float("inf"), 1]], "taps"),
    ],
)
def test_what_cannot_be_is_refused_by_name(corners: Any, edge: float, taps: Any, word: str) -> None:
    with pytest.raises(ValueError, match=word):
        read_diameter(corners, edge, taps, longer_side_px=2048)


def test_where_no_code_lies_no_corner_is_made_up() -> None:
    grey = np.random.default_rng(1).uniform(0.0, 255.0, (480, 640))
    assert refine(grey, SQUARE) is None
    assert refine(np.full((480, 640), 90.0), SQUARE) is None


@pytest.mark.parametrize("case", VECTORS["readings"], ids=lambda case: case["name"])
def test_the_phone_s_twin_reads_the_same(case: dict[str, Any]) -> None:
    cov = case["corner_cov"]
    told = read_diameter(
        case["corners"],
        case["edge_mm"],
        case["taps"],
        longer_side_px=case["longer_side_px"],
        corner_cov=None if cov is None else np.array(cov).reshape(8, 8),
    )
    found = [told.mm[0], told.sd_mm[0], told.low_mm[0], told.high_mm[0], told.distance_mm[0]]
    assert found == pytest.approx(
        [case[name] for name in ("mm", "sd_mm", "low_mm", "high_mm", "distance_mm")], rel=1e-9
    )


def test_the_phone_s_twin_finds_the_same_corners() -> None:
    one = VECTORS["picture"]
    grey = np.frombuffer(base64.b64decode(one["grey"]), dtype=np.uint8).reshape(one["height"], one["width"])
    found = refine(grey, one["rough"])
    assert found is not None
    assert found.at == pytest.approx(np.array(one["corners"]), abs=1e-6)
    # And they are where the picture was made to have them.
    assert found.at == pytest.approx(np.array(one["true"]), abs=0.1)
    assert (found.borders, found.cov[0, 0]) == (one["borders"], pytest.approx(one["cov00"], rel=1e-6))
