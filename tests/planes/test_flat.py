"""Every plane of every level lies flat, none is a sliver, and there are as many as were asked for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from builder.model.boxes import boxed
from builder.model.prepare import prepare
from builder.planes.break_up import break_up
from builder.planes.cut import Bent, best_cut, flatness
from builder.study.description import PlaneChoice
from builder.study.read import read_study
from tests.planes.shapes import check_flat, check_no_slivers, check_whole, model_of

ROOT = Path(__file__).resolve().parents[2]


def test_the_demo_mask_lies_flat_at_every_level() -> None:
    study = read_study(ROOT / "models/mask/study.yml", ROOT)
    levels = break_up(prepare(study), study.planes)
    check_whole(levels)
    assert levels.mirrored and not levels.notices
    zone = study.planes.zone
    assert zone is not None
    for planes, wanted, times in zip(levels.levels, study.planes.counts, (1.0, 1.0, zone.times), strict=True):
        assert abs(planes.count - wanted) <= max(0.05 * wanted, 1)
        check_flat(planes)
        check_no_slivers(planes, wanted, times)
    # no farther from the original than before planes were made flat: 4.7, 1.4 and 0.81 mm (our own, no source)
    for planes, most in zip(levels.levels, (4.7, 1.5, 0.95), strict=True):
        assert planes.rms_mm < most


def test_a_saddle_and_a_dent_lie_flat() -> None:
    # four-sided forms that no four corners of a plane fit: x y, and a bowl pressed into a ball
    ball = trimesh.creation.icosphere(subdivisions=4)
    points = np.array(ball.vertices)
    x, y, _ = points.T
    saddle = points * 80.0 + np.stack([0 * x, 0 * x, 60.0 * x * y], axis=1)
    dent = points * (90.0 - 45.0 * np.exp(-6.0 * (1.0 - points @ (0.0, -0.8, 0.6)))[:, None])
    for vertices in (saddle, dent):
        levels = break_up(model_of(vertices, ball.faces), PlaneChoice((10, 24, 50), mirrored=False))
        check_whole(levels)
        for planes, wanted in zip(levels.levels, (10, 24, 50), strict=True):
            check_flat(planes)
            check_no_slivers(planes, wanted)


def test_a_bent_square_is_cut_along_the_diagonal_that_the_form_follows() -> None:
    # a roof whose ridge runs from corner 0 to corner 2; it was drawn with the other diagonal
    points = np.array([(0, 0, 1), (1, 0, 0), (1, 1, 1), (0, 1, 0)], float)
    roof = np.array([(0, 1, 2), (0, 2, 3)], np.int32)
    drawn = ((0, 1, 3), (1, 2, 3))
    lines = frozenset((i, j) for face in drawn for i, j in zip(face, (*face[1:], face[0]), strict=True))
    up = np.array((0.0, 0.0, 1.0))
    cut = best_cut(Bent(points, drawn, up, 1.0, lines, np.zeros(4, np.bool_), boxed(points, roof)))
    assert cut.line is not None and set(cut.line) == {0, 2}
    assert sorted(len(part) for part in (cut.one, cut.other)) == [1, 1]
    a, b, c = (points[[face[k] for face in cut.one + cut.other]] for k in range(3))
    assert (np.cross(b - a, c - a) @ up > 0).all()


def test_how_far_corners_are_from_flat() -> None:
    # corners of a unit square lifted in turns by h: the nearest plane is the middle one, all stand off it by h
    for lift in (0.0, 0.1):
        points = np.array([(0, 0, lift), (1, 0, -lift), (1, 1, lift), (0, 1, -lift)])
        assert flatness(points) == pytest.approx(lift, abs=1e-12)
    assert flatness(points[:3]) == 0.0
