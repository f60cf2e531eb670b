"""Every way in which scans arrive damaged, and how near the model comes to the undamaged form, in mm."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from builder.errors import ModelError
from builder.model.axes import axis_vector
from builder.model.load import read_mesh
from builder.model.reduce import farthest
from builder.model.triangles import Triangles, edges_of
from builder.model.working import Working, working
from builder.study.description import Axis, MeshSource
from tests.model.test_damage import joined, ply

Built = Callable[..., Working]
Mesh = tuple[NDArray[np.float64], NDArray[np.int64]]
LONGEST_S = 20.0
"""A model of 5,120 faces takes under a second; the first call also compiles."""


@pytest.fixture
def built(tmp_path: Path) -> Built:
    """The working model of bytes in a PLY file."""

    def make(data: bytes, **mesh: Any) -> Working:
        path = tmp_path / "egg.ply"
        path.write_bytes(data)
        source = MeshSource(path, **{"unit": "mm", "up": "+z", "front": "-y", "height_mm": None, **mesh})
        return working(read_mesh(path, "egg.ply").triangles, source, "egg.ply")

    return make


def holes(v: NDArray[np.float64], f: NDArray[np.int64]) -> Mesh:
    middles = v[f].mean(axis=1)
    near = np.linalg.norm(middles[:, None] - middles[100::640][None], axis=2) < 12.0
    return v, f[~near.any(axis=1)]


def third_turned(v: NDArray[np.float64], f: NDArray[np.int64]) -> Mesh:
    turned = np.arange(len(f)) % 3 == 0
    return v, np.where(turned[:, None], f[:, ::-1], f)


def soup(v: NDArray[np.float64], f: NDArray[np.int64], jitter_mm: float = 0.0) -> Mesh:
    loose = v[f].reshape(-1, 3)
    return loose + np.random.default_rng(1).uniform(-jitter_mm, jitter_mm, loose.shape), np.arange(3 * len(f)).reshape(
        -1, 3
    )


def one_at(place: tuple[float, float, float]) -> Callable[..., Mesh]:
    def damage(v: NDArray[np.float64], f: NDArray[np.int64]) -> Mesh:
        moved = v.copy()
        moved[100] = place
        return moved, f

    return damage


def flattened(v: NDArray[np.float64], f: NDArray[np.int64]) -> Mesh:
    return v, np.concatenate([f, f[::17][:, [0, 1, 1]], np.repeat(f[::31, :1], 3, axis=1)])


def twice(v: NDArray[np.float64], f: NDArray[np.int64]) -> Mesh:
    return v, np.concatenate([f, f[:300], f[500:700, ::-1]])


def fins(v: NDArray[np.float64], f: NDArray[np.int64]) -> Mesh:
    tips = v[f[10:300:7]].mean(axis=1) * (1.3, 1.3, 1.0)
    flaps = np.column_stack([f[10:300:7, :2], len(v) + np.arange(len(tips))])
    return np.concatenate([v, tips]), np.concatenate([f, flaps])


def moved(by: tuple[float, float, float]) -> Callable[..., Mesh]:
    return lambda v, f: (v + np.array(by), f)


def single(v: NDArray[np.float64], f: NDArray[np.int64]) -> Mesh:
    return (v + np.array([3e3, -5e4, 900.0])).astype(np.float32).astype(np.float64), f


MENDED: dict[str, tuple[Callable[..., Mesh], float]] = {
    # the form's points lie 13 mm apart and each hole is some 30 mm across, on a form of 90 mm radius: what a
    # plate over it must guess is a^4 / 8 R^3 and the form's own bumps
    "holes": (holes, 3.0),
    "a third turned over": (third_turned, 1e-6),
    "inside out": (lambda v, f: (v, f[:, ::-1]), 1e-6),
    "loose triangles": (soup, 1e-6),
    "loose triangles, each a little off": (lambda v, f: soup(v, f, 1e-4), 1e-3),
    "not a number": (one_at((np.nan, 0.0, 0.0)), 2.0),
    "infinite": (one_at((0.0, np.inf, 0.0)), 2.0),
    "a kilometre off": (one_at((1e6, 0.0, 0.0)), 2.0),
    "without area": (flattened, 1e-6),
    "faces twice": (twice, 1e-6),
    "fins": (fins, 1e-6),
    "far from its origin": (moved((4e5, -5e6, 90.0)), 1e-6),
    "far from its origin in single precision": (single, 0.01),
}


def apart(model: Working, v: NDArray[np.float64], f: NDArray[np.int64]) -> float:
    """Greatest distance either way between the model's sculpture and the form, both centred with base at 0."""
    low, high = v.min(axis=0), v.max(axis=0)
    form = Triangles(v - ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, low[2]), f)
    body = model.clean.triangles
    return max(farthest(form.vertices, body), farthest(body.vertices, form))


@pytest.mark.parametrize("way", MENDED)
def test_a_damaged_form_comes_back_to_itself(bust: trimesh.Trimesh, built: Built, way: str) -> None:
    # closed, one body, and within so many mm of the form before it was damaged, measured both ways
    damage, within_mm = MENDED[way]
    start = time.perf_counter()
    model = built(ply(*damage(bust.vertices, bust.faces)), close_holes_mm=125.0)
    assert time.perf_counter() - start < LONGEST_S
    assert edges_of(model.clean.triangles).closed and model.clean.bodies == 1
    assert apart(model, bust.vertices, bust.faces) < within_mm


@pytest.mark.parametrize(("up", "front"), [("+y", "+z"), ("-y", "+z"), ("-z", "+x"), ("+x", "-z"), ("+z", "-x")])
def test_a_form_that_lies_or_stands_on_its_head_is_stood_up(
    bust: trimesh.Trimesh, built: Built, up: Axis, front: Axis
) -> None:
    # on its back, on its face, upside down, on its side, turned: the file's axes are written here by hand as the
    # cross product of front and up, and the study names two of them
    z, y = axis_vector(up), -axis_vector(front)
    turned = bust.vertices @ np.stack([np.cross(y, z), y, z])
    assert apart(built(ply(turned, bust.faces), up=up, front=front), bust.vertices, bust.faces) < 1e-6


def test_a_tilted_form_keeps_its_shape(bust: trimesh.Trimesh, built: Built) -> None:
    # 20 degrees off plumb is nothing that a file can tell: it is drawn as it leans, whole
    lean = trimesh.transformations.rotation_matrix(np.radians(20.0), (1.0, 0.3, 0.0))[:3, :3]
    leaning = bust.vertices @ lean.T
    model = built(ply(leaning, bust.faces))
    assert apart(model, leaning, bust.faces) < 1e-6
    assert model.clean.triangles.volumes().sum() == pytest.approx(bust.volume)


@pytest.mark.parametrize(("unit", "per_mm"), [("m", 1e-3), ("cm", 0.1), ("in", 1 / 25.4), ("mm", 1.0)])
def test_a_form_in_any_unit_is_the_same(bust: trimesh.Trimesh, built: Built, unit: str, per_mm: float) -> None:
    # the unit named, or a true height instead, even where the file is three ten-thousandths of a millimetre tall
    assert apart(built(ply(bust.vertices * per_mm, bust.faces), unit=unit), bust.vertices, bust.faces) < 1e-6
    tiny = built(ply(bust.vertices * per_mm * 1e-6, bust.faces), unit=unit, height_mm=float(bust.extents[2]))
    assert apart(tiny, bust.vertices, bust.faces) < 1e-6


def test_crumbs_and_a_turntable_leave_no_trace(bust: trimesh.Trimesh, built: Built) -> None:
    # two hundred crumbs and a disc that stands apart, just under the foot
    places = np.random.default_rng(4).uniform(-250, 250, (200, 3))
    crumbs = [trimesh.creation.icosphere(subdivisions=1, radius=1.5).apply_translation(place) for place in places]
    table = trimesh.creation.cylinder(225.0, 20.0, sections=64).apply_translation((0.0, 0.0, -14.0))
    assert apart(built(joined(*crumbs, table, bust)), bust.vertices, bust.faces) < 1e-6


@pytest.mark.parametrize("scale", [1e-28, 1e-12, 1e12, 1e26])
def test_a_true_height_mends_any_size(bust: trimesh.Trimesh, built: Built, scale: float) -> None:
    # with a true height the size of the file's numbers is nothing; without one there is a word about it
    data = ply(bust.vertices * scale, bust.faces)
    model = built(data, height_mm=float(bust.extents[2]))
    assert apart(model, bust.vertices, bust.faces) < 1e-6


@pytest.mark.parametrize(
    ("scale", "said"),
    [
        (1e-200, "is 3e-198 mm across: it has no size; export the model at its true size."),
        (1e200, "has no face whose points are all numbers; export or copy the file again."),
    ],
)
def test_sizes_beyond_reach_are_refused(bust: trimesh.Trimesh, built: Built, scale: float, said: str) -> None:
    # one sentence, no overflow
    with pytest.raises(ModelError) as refused:
        built(ply(bust.vertices * scale, bust.faces), height_mm=300.0)
    assert str(refused.value) == f"egg.ply: {said}"
