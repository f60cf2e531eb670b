"""The plane nearest to a few points, against LAPACK."""

from __future__ import annotations

import numpy as np
import pytest

from builder.planes.seat import least_axis


@pytest.mark.parametrize("spread", [(1.0, 0.7, 0.4), (1.0, 0.3, 1e-3), (1.0, 0.05, 1e-6), (1e-6, 5e-7, 0.0)])
def test_the_least_axis_is_that_of_the_least_eigenvalue(spread: tuple[float, float, float]) -> None:
    random = np.random.default_rng(4)
    for _ in range(50):
        points = random.normal(size=(6, 3)) * spread @ np.linalg.qr(random.normal(size=(3, 3)))[0]
        m = points.T @ points
        found = np.array(least_axis(m[0, 0], m[1, 1], m[2, 2], m[0, 1], m[0, 2], m[1, 2]))
        expected = np.linalg.eigh(m)[1][:, 0]
        assert abs(found @ expected) == pytest.approx(1.0, abs=1e-9)


def test_a_ball_of_points_has_no_least_axis() -> None:
    assert least_axis(1.0, 1.0, 1.0, 0.0, 0.0, 0.0) == (0.0, 0.0, 0.0)
