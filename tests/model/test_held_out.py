"""The guess at up and front on bodies that it was not tuned on."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
import pytest

from builder.arrays import Floats
from builder.model.axes import axis_vector
from builder.model.facing import Facing, facings
from builder.model.triangles import Triangles
from tests.model.held_out import demo, head, seated, shoe, turned

BODIES: dict[str, Callable[[], Triangles]] = {
    "mask": partial(demo, "mask"),
    "solids": partial(demo, "solids"),
    "head": head,
    "shoe": shoe,
    "other shoe": partial(shoe, -1.0),
    "seated": seated,
}
SEEDS = (1000, 1003, 1004)
OFF_DEG = 46.0
"""A body without like halves is told by the axis nearest its front, at most half a quarter turn away."""
LEAN_DEG = 5.0


def off_deg(one: Floats, other: Floats) -> float:
    return float(np.degrees(np.arccos(np.clip(one @ other, -1.0, 1.0))))


def is_true(way: Facing, up: Floats, front: Floats, has_front: bool) -> bool:
    rise, ahead = axis_vector(way.up), axis_vector(way.front)
    turn = np.radians(way.turn_deg)
    looks = np.cos(turn) * ahead + np.sin(turn) * np.cross(rise, ahead)
    return off_deg(rise, up) < LEAN_DEG and (not has_front or off_deg(looks, front) < OFF_DEG)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("body", BODIES)
def test_the_true_way_is_among_the_guesses(body: str, seed: int) -> None:
    """Solids in a group have no front: of them only the way up is asked, and that it stands first."""
    mesh, up, front = turned(BODIES[body](), seed)
    true = [is_true(way, up, front, body != "solids") for way in facings(mesh)]
    assert any(true)
    if body == "solids":
        assert true[0]
