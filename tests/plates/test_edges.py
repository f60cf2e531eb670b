"""Which triangles have their light traced."""

from __future__ import annotations

import numpy as np

from builder.model.model import Model, Part, Surface
from builder.plates.edges import mixed_faces
from tests.plates.known_light import cosine_light, disc_lamp, given_light, moon
from tests.scenes import scene_model, sheet


def floor(cells: int = 20) -> Model:
    return scene_model(sheet(200, 200, 0.0, cells, Part.MODEL))


def lit_where(model: Model, visible: np.ndarray, indirect: float = 0.0):
    lamp = disc_lamp(model.middle_mm, 0.0, 60.0, 1e4, 10.0)
    light = cosine_light(model, lamp)
    return given_light(model, [lamp], [light * visible], [light], indirect)


def test_even_light_needs_no_tracing():
    """All lit, all shadowed, or evenly half lit: no triangle is mixed."""
    model = floor()
    for share in (0.0, 0.5, 1.0):
        assert not mixed_faces(model, lit_where(model, np.full(len(model.scene.vertices), share))).any()


def test_a_shadow_edge_and_its_neighbours_are_traced():
    """Triangles that the edge crosses and those that touch them are mixed; those further off are not."""
    model = floor()
    x = model.scene.vertices[:, 0]
    mixed = mixed_faces(model, lit_where(model, (x > 5).astype(float)))[0]
    across = x[model.scene.faces]
    nearest = np.abs(across - 5).min(axis=1)
    assert mixed[nearest < 10].all()
    assert not mixed[nearest > 20].any()


def test_a_slow_gradient_is_read_between_vertices():
    """A penumbra that changes by a twentieth from vertex to vertex is not traced."""
    model = floor()
    x = model.scene.vertices[:, 0]
    assert not mixed_faces(model, lit_where(model, (x + 100) / 200)).any()


def test_a_shadow_that_other_light_drowns_is_not_traced():
    """What counts is the change against all the light there is."""
    model = floor()
    edge = (model.scene.vertices[:, 0] > 5).astype(float)
    assert mixed_faces(model, lit_where(model, edge, indirect=1.0)).any()
    assert not mixed_faces(model, lit_where(model, edge, indirect=10.0)).any()


def test_neighbours_are_found_across_creases():
    """A mesh whose triangles share no vertex, only places, has the same triangles traced."""
    model = floor()
    scene = model.scene
    edge = (scene.vertices[:, 0] > 5).astype(float)
    joined = mixed_faces(model, lit_where(model, edge))
    corner = scene.faces.ravel()
    split = Surface(scene.vertices[corner], np.arange(len(corner)).reshape(-1, 3), scene.normals[corner], scene.parts)
    apart = Model(model.name, split, len(split.faces), len(split.vertices), 0.0, model.facts, ())
    assert np.array_equal(mixed_faces(apart, lit_where(apart, edge[corner])), joined)


def test_the_terminator_is_traced():
    """On a ball nothing shadows, the triangles that the edge of the light crosses are mixed, and only those."""
    model, lit, _ = moon(60.0)
    facing = lit.open[0][model.scene.faces] > 0
    crossed = facing.any(axis=1) & ~facing.all(axis=1)
    mixed = mixed_faces(model, lit)[0]
    assert crossed.any()
    assert not mixed[~crossed].any()
    strong = lit.open[0][model.scene.faces].max(axis=1) > 1e-6
    assert np.array_equal(mixed, crossed & strong)


def test_each_lamp_has_its_own_edges():
    """A lamp whose light is even is not traced where another's shadow falls."""
    model = floor()
    edge = (model.scene.vertices[:, 0] > 5).astype(float)
    one = lit_where(model, edge)
    both = given_light(model, [*one.emitters] * 2, [one.direct[0], one.open[0]], [one.open[0]] * 2)
    mixed = mixed_faces(model, both)
    assert mixed[0].any() and not mixed[1].any()
