from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest

from builder.errors import LightError
from builder.light.areas import vertex_areas
from builder.light.files import load_lit, load_transport, save_lit, save_transport
from builder.light.lit import Lit
from builder.light.solve import gathered, solve, vertex_parts
from builder.light.transport import Transport, gather
from builder.model.model import Model, Part
from builder.study.description import Finish, Lamp, Length, Lighting
from tests.scenes import Piece, ball, box, bumpy, room, scene_model

FINISH = Finish()


def sizes(value: float) -> Length:
    return Length(value, in_sizes=True)


KEY = Lamp(-45, 45, sizes(3), "disc", sizes(0.5), sizes(0.5))
FILL = Lamp(60, 10, sizes(3), "rectangle", sizes(1), sizes(1.5), -2)
SIDE = Lighting("side", "Side", KEY, FILL, ambient_stops=-4)


def stand(scale: float = 1.0, mirrored: bool = False) -> Model:
    """A swollen body on a slab in a room."""
    body = bumpy(100, 4)
    body = body.moved(0, 0, -body.vertices[:, 2].min())
    pieces = [body, box(210, 210, 20, Part.PLINTH, cells=12).moved(0, 0, -20), *room(1000, -20, 1000, 48, 64, 8)]
    if mirrored:
        flip = np.array([-1.0, 1.0, 1.0])
        pieces = [Piece(p.part, p.vertices * flip, p.faces[:, ::-1], p.normals * flip) for p in pieces]
    return scene_model(*(piece.scaled(scale) for piece in pieces))


@pytest.fixture(scope="module")
def model() -> Model:
    return stand()


@pytest.fixture(scope="module")
def transport(model: Model) -> Transport:
    return gather(model, 128)


@pytest.fixture(scope="module")
def lit(model: Model, transport: Transport) -> Lit:
    return solve(model, SIDE, FINISH, transport)


def test_a_lit_surface_covers_the_scene(model: Model, lit: Lit) -> None:
    count = len(model.scene.vertices)
    assert lit.direct.shape == lit.open.shape == (2, count)
    assert lit.indirect.shape == (count,)
    assert [emitter.role for emitter in lit.emitters] == ["key", "fill"]
    assert lit.reflectance.tolist() == pytest.approx([0.8, 0.8, 0.4, 0.3])
    for values in (lit.direct, lit.open, lit.indirect):
        assert np.isfinite(values).all()
        assert values.min() >= 0


def test_lamps_add(model: Model, transport: Transport, lit: Lit) -> None:
    # key and fill together are key alone and fill alone, the ambient counted once
    key = solve(model, Lighting("a", "", KEY, ambient_stops=-4), FINISH, transport)
    fill = solve(model, Lighting("b", "", FILL, ambient_stops=-4), FINISH, transport)
    assert np.array_equal(lit.direct, np.concatenate([key.direct, fill.direct]))
    albedo = lit.reflectance[vertex_parts(model.scene)]
    together, _ = gathered(transport, albedo, lit.direct.sum(axis=0), 2.0**-4)
    apart = gathered(transport, albedo, key.direct[0], 2.0**-4)[0] + gathered(transport, albedo, fill.direct[0], 0.0)[0]
    # what is left when a bounce adds a thousandth is at most four thousandths, at a reflectance of 0.8 all round
    assert np.abs(together - apart).max() < 4e-3 * together.mean()


def test_a_lamp_twice_as_strong_gives_twice_the_light_and_the_same_picture(model: Model, transport: Transport) -> None:
    one = solve(model, Lighting("a", "", KEY, ambient_stops=-4), FINISH, transport)
    two = Lighting("a", "", dataclasses.replace(KEY, stops=1.0), ambient_stops=-3)
    double = solve(model, two, FINISH, transport)
    assert double.direct == pytest.approx(2 * one.direct, rel=1e-5)
    assert double.indirect == pytest.approx(2 * one.indirect, rel=1e-5)
    assert double.facts.exposure_stops == pytest.approx(one.facts.exposure_stops - 1, abs=1e-4)


def test_a_mirrored_model_under_a_mirrored_lamp_has_mirrored_light(model: Model, lit: Lit) -> None:
    # to the grain: rays and lamp points are not mirrored with it
    other = stand(mirrored=True)
    flipped = dataclasses.replace(
        SIDE, key=dataclasses.replace(KEY, bearing_deg=45), fill=dataclasses.replace(FILL, bearing_deg=-60)
    )
    mirror = solve(other, flipped, FINISH, gather(other, 128))
    body = slice(0, model.body_vertices)
    assert mirror.open[:, body] == pytest.approx(lit.open[:, body], abs=1e-5)
    assert np.abs(mirror.direct[:, body] - lit.direct[:, body]).mean() < 1e-3
    assert np.abs(mirror.indirect[body] - lit.indirect[body]).mean() < 0.02 * lit.indirect[body].mean()
    assert mirror.indirect[body].mean() == pytest.approx(lit.indirect[body].mean(), rel=0.003)
    assert mirror.facts.exposure == pytest.approx(lit.facts.exposure, rel=0.005)


def test_a_model_twice_as_large_under_lamps_twice_as_far_has_the_same_light(lit: Lit) -> None:
    large = stand(2.0)
    same = solve(large, SIDE, FINISH, gather(large, 128))
    assert same.direct == pytest.approx(lit.direct, abs=1e-6)
    assert same.indirect == pytest.approx(lit.indirect, abs=1e-6)
    assert same.facts.exposure == pytest.approx(lit.facts.exposure, rel=1e-6)


def test_the_brightest_light_is_exposed_to_four_fifths(model: Model, lit: Lit) -> None:
    # 98 % of the key-lit surface of the sculpture is at or below a relative luminance of 0.80
    body = slice(0, model.body_vertices)
    area = vertex_areas(model.scene)[body]
    luminance = lit.facts.exposure * 0.8 * (lit.direct.sum(axis=0) + lit.indirect)[body]
    lit_by_key = lit.direct[0, body] > 0
    below = area[lit_by_key & (luminance <= 0.80001)].sum() / area[lit_by_key].sum()
    assert 0.98 <= below < 0.982
    assert lit.facts.exposure_stops == pytest.approx(math.log2(lit.facts.exposure))


def test_a_model_in_the_dark_of_its_key_is_exposed_by_what_it_gets(model: Model, transport: Transport) -> None:
    black = Finish(model=0.0)
    assert solve(model, SIDE, black, transport).facts.exposure == 1.0


def test_indirect_light_has_a_share_and_bounces(model: Model, lit: Lit) -> None:
    body = slice(0, model.body_vertices)
    area = vertex_areas(model.scene)[body]
    share = area @ lit.indirect[body] / (area @ (lit.direct.sum(axis=0) + lit.indirect)[body])
    assert lit.facts.indirect_share == pytest.approx(share, rel=1e-5)
    assert 6 <= lit.facts.bounces <= 20


def test_bounces_lose_no_light_that_has_not_settled(model: Model, transport: Transport, lit: Lit) -> None:
    # against the exact fixed point, reached by many more bounces
    albedo = lit.reflectance[vertex_parts(model.scene)]
    first = lit.direct.sum(axis=0, dtype=np.float32)
    few, bounces = gathered(transport, albedo, first, 2.0**-4)
    seen = np.where(transport.seen < 0, 0, transport.seen)
    exact = few.astype(float)
    for _ in range(40):
        radiosity = (albedo * (first + exact))[seen]
        exact = transport.sky * 2.0**-4 + np.where(transport.seen < 0, 0.0, radiosity).mean(axis=1)
    assert bounces < 20
    assert np.abs(few - exact).max() < 4e-3 * exact.mean()


def test_the_backdrop_is_the_walls_mean_luminance(model: Model, lit: Lit) -> None:
    scene = model.scene
    wall = scene.faces[scene.parts == Part.BACKDROP]
    luminance = 0.3 * (lit.direct.sum(axis=0) + lit.indirect)[wall]
    corners = model.scene.vertices[wall]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    assert lit.backdrop == pytest.approx(area @ luminance.mean(axis=1) / area.sum(), rel=1e-5)
    open_air = scene_model(ball(100, 3))
    lone = solve(open_air, SIDE, FINISH, gather(open_air, 16))
    assert lone.backdrop == 2.0**-4


def test_a_slab_sees_less_sky_beside_the_foot_of_a_body(model: Model, transport: Transport) -> None:
    top = (vertex_parts(model.scene) == Part.PLINTH) & (model.scene.normals[:, 2] > 0.5) & ~transport.buried
    out = np.linalg.norm(model.scene.vertices[:, :2], axis=1)
    assert transport.sky[top & (out < 55)].mean() < 0.6 * transport.sky[top & (out > 110)].mean()


def test_a_misplaced_lamp_is_refused_before_anything_is_solved(model: Model, transport: Transport) -> None:
    low = dataclasses.replace(KEY, elevation_deg=-60.0)
    with pytest.raises(LightError, match="under the ground"):
        solve(model, dataclasses.replace(SIDE, key=low), FINISH, transport)


def test_a_transport_of_another_model_is_refused(transport: Transport) -> None:
    with pytest.raises(AssertionError, match="another model"):
        solve(scene_model(ball(100, 2)), SIDE, FINISH, transport)


def test_the_same_input_gives_the_same_bytes(model: Model, transport: Transport, lit: Lit, tmp_path: Path) -> None:
    again = solve(model, SIDE, FINISH, gather(stand(), 128))
    paths = [tmp_path / name for name in ("one.npz", "two.npz", "three.npz", "four.npz")]
    save_lit(lit, paths[0])
    save_lit(again, paths[1])
    save_transport(transport, paths[2])
    save_transport(gather(model, 128), paths[3])
    assert paths[0].read_bytes() == paths[1].read_bytes()
    assert paths[2].read_bytes() == paths[3].read_bytes()


def test_what_is_saved_is_read_back_whole(transport: Transport, lit: Lit, tmp_path: Path) -> None:
    save_lit(lit, tmp_path / "lit.npz")
    save_transport(transport, tmp_path / "transport.npz")
    back, seen = load_lit(tmp_path / "lit.npz"), load_transport(tmp_path / "transport.npz")
    assert np.array_equal(seen.seen, transport.seen)
    assert np.array_equal(seen.sky, transport.sky)
    assert (back.name, back.backdrop, back.facts) == (lit.name, lit.backdrop, lit.facts)
    for name in ("direct", "open", "indirect", "reflectance"):
        assert np.array_equal(getattr(back, name), getattr(lit, name))
    for got, expected in zip(back.emitters, lit.emitters, strict=True):
        assert (got.role, got.shape, got.radiance) == (expected.role, expected.shape, expected.radiance)
        for name in ("centre", "normal", "across", "along"):
            assert np.array_equal(getattr(got, name), getattr(expected, name))
