"""The mirror plane of a body that is its own image."""

from __future__ import annotations

import numpy as np
import pytest

from builder.planes.mirror import find_mirror
from builder.planes.skin import skin_of
from tests.planes.shapes import ball


def test_a_shifted_ball_is_mirrored_where_it_stands() -> None:
    model = ball((60.0, 80.0, 100.0))
    skin = skin_of(model)
    moved = type(skin)(skin.vertices + np.array((12.5, 0.0, 0.0)), skin.faces, skin.beside)
    mirror = find_mirror(moved)
    assert mirror.x == pytest.approx(12.5, abs=1e-6)
    assert mirror.residual < 1e-6
