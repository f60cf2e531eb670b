"""Outlines of shapes whose areas are known in closed form; the source stands beside each check."""

from __future__ import annotations

import numpy as np
import pytest

from builder.plates.outline_svg import outline_svg
from builder.plates.outlines import find_outlines
from tests.plates.read_svg import read_shapes

HEIGHT, WIDTH = 240, 300
Y, X = np.mgrid[:HEIGHT, :WIDTH] + 0.5


def drawn_area(inside: np.ndarray) -> float:
    """Area of the shape drawn, px."""
    shapes = read_shapes(outline_svg(find_outlines(inside.astype(np.uint8)), {}, "Known"))
    return sum(shape.area.area for shape in shapes if shape.label == 1)


# Archimedes, Measurement of a Circle: a circle is as large as a right triangle whose legs are its radius and its
# circumference, pi r^2.
@pytest.mark.parametrize("radius", [20, 33.3, 60, 100])
@pytest.mark.parametrize("off", [0.0, 0.3])
def test_area_of_circles(radius: float, off: float) -> None:
    inside = np.hypot(X - WIDTH / 2 - off, Y - HEIGHT / 2 + off / 2) < radius
    assert drawn_area(inside) == pytest.approx(np.pi * radius**2, rel=0.005)


# Archimedes, On Conoids and Spheroids, 4-5: an ellipse is to the circle on its major axis as its minor axis to its
# major, pi a b.
@pytest.mark.parametrize("turn_deg", [0, 25, 70])
def test_area_of_ellipses(turn_deg: float) -> None:
    x, y = X - WIDTH / 2, Y - HEIGHT / 2
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    inside = ((c * x + s * y) / 100) ** 2 + ((c * y - s * x) / 40) ** 2 < 1
    assert drawn_area(inside) == pytest.approx(np.pi * 100 * 40, rel=0.005)


# Euclid, Elements I 41: a triangle is half the parallelogram on its base and in the same parallels.
@pytest.mark.parametrize("apex", [40.0, 130.0, 260.0])
def test_area_of_triangles(apex: float) -> None:
    left, right, base, top = 30.5, 270.25, 210.0, 31.0
    down = (Y - top) / (base - top)
    inside = (base > Y) & (apex + (left - apex) * down < X) & (apex + (right - apex) * down > X) & (down > 0)
    assert drawn_area(inside) == pytest.approx((right - left) * (base - top) / 2, rel=0.005)


# A half-plane through the middle of a rectangle halves it, whatever its slope (central symmetry).
@pytest.mark.parametrize("slope_deg", [0, 10, 33, 45, 60, 85, 90, 120, 170])
def test_half_planes_halve_the_picture(slope_deg: float) -> None:
    far = (X - WIDTH / 2) * np.sin(np.radians(slope_deg)) - (Y - HEIGHT / 2) * np.cos(np.radians(slope_deg))
    assert drawn_area(far > 0.001) == pytest.approx(WIDTH * HEIGHT / 2, rel=0.005)
