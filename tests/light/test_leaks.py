"""No light gets through thin walls, out of the light's way, or into what is closed."""

from __future__ import annotations

import numpy as np
import pytest

from builder.light.direct import lamp_irradiance
from builder.light.origins import shading_normals, smooth_points
from builder.light.solve import solve
from builder.light.transport import gather
from builder.model.model import Part
from builder.model.tracer import Tracer
from builder.study.description import Finish, Lamp, Length, Lighting
from tests.scenes import Piece, ball, box, room, scene_model

ABOVE = Lighting(
    "above",
    "",
    Lamp(0, 80, Length(3, in_sizes=True), "disc", Length(0.3, in_sizes=True), Length(0.3, in_sizes=True)),
    ambient_stops=-3,
)
ROOM = room(1500, -6, 1500, 40, 96, 12)


def without(piece: Piece, left_out) -> Piece:
    """The piece without the triangles whose middles are told to be left out."""
    middles = piece.vertices[piece.faces].mean(axis=1)
    return Piece(piece.part, piece.vertices, piece.faces[~left_out(middles)], piece.normals)


def test_a_wall_of_one_millimetre_keeps_a_dark_chamber_dark() -> None:
    # two chambers in a block, the left open to the lamp above: behind the wall between them arrives less than a
    # thousandth
    block = without(box(212, 112, 112, Part.MODEL, 12).moved(0, 0, -6), lambda at: (at[:, 2] > 105) & (at[:, 0] < 0))
    chamber = box(99.5, 100, 100, Part.MODEL, 12).inside_out()
    lit_one = without(chamber.moved(-50.25, 0, 0), lambda at: at[:, 2] > 99)
    model = scene_model(block, lit_one, chamber.moved(50.25, 0, 0), *ROOM)
    lit = solve(model, ABOVE, Finish(), gather(model, 96))
    light = lit.direct[0] + lit.indirect
    first, second = len(block.vertices), len(block.vertices) + len(lit_one.vertices)
    assert light[first:second].mean() > 0.1
    assert light[second : second + len(chamber.vertices)].max() < 1e-3 * light[first:second].mean()


@pytest.mark.parametrize("subdivisions", [2, 4])
def test_a_closed_shell_is_black_inside(subdivisions: int) -> None:
    # a hollow ball with a skin of one millimetre, also where its triangles are so coarse that their middles lie deeper
    # than that; at the corners and within the triangles, where rays start a little above them
    outer = ball(100, subdivisions).moved(0, 0, 120)
    inner = ball(99, subdivisions).inside_out().moved(0, 0, 120)
    model = scene_model(outer, inner, *ROOM)
    lit = solve(model, ABOVE, Finish(), gather(model, 96))
    light = lit.direct[0] + lit.indirect
    count = len(outer.vertices)
    assert light[:count].max() > 1.0
    assert light[count : 2 * count].max() < 1e-3
    rng = np.random.default_rng(8)
    face = np.repeat(np.arange(len(outer.faces), 2 * len(outer.faces), dtype=np.int32), 8)
    weights = rng.dirichlet(np.ones(3), len(face)).astype(np.float32)
    points = smooth_points(model.scene, face, weights[:, 1], weights[:, 2])
    normals = shading_normals(model.scene, face, weights[:, 1], weights[:, 2])
    within, _ = lamp_irradiance(points, normals, lit.emitters[0], 16, 0, Tracer(model.scene))
    assert within.max() < 1e-3


def test_no_light_leaks_under_a_slab_on_the_ground() -> None:
    # the ground under a slab and the slab's underside get none of the light beside it
    slab = box(210, 210, 20, Part.PLINTH, cells=12).moved(0, 0, -20)
    model = scene_model(ball(80, 3).moved(0, 0, 80), slab, *room(1000, -20, 1000, 90, 64, 8))
    low = Lamp(-90, 5, Length(3, in_sizes=True), "disc", Length(0.3, in_sizes=True), Length(0.3, in_sizes=True))
    lit = solve(model, Lighting("low", "", low, ambient_stops=-4), Finish(), gather(model, 96))
    scene = model.scene
    cell = 2200 / 90
    under = (np.abs(scene.vertices[:, :2]).max(axis=1) < 105 - 2 * cell) & (scene.vertices[:, 2] == -20)
    ground = under & (np.abs(scene.normals[:, 2] - 1) < 1e-6)
    assert ground.sum() > 4
    assert not lit.direct[0, under].any()
    assert not lit.indirect[ground].any()
