"""Planes through a mesh, against circles, boxes and trimesh's own cuts."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from builder.form.slices import Slices, slices
from tests.scenes import Piece, ball, box, bumpy, rod

UP, LEFT = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
SLANT = np.array([2.0, -1.0, 2.0]) / 3.0


def lengths(cut: Slices) -> dict[int, float]:
    """Length of the lines of each plane."""
    sums: dict[int, float] = {}
    for k, plane in enumerate(cut.plane.tolist()):
        line = cut.points[cut.first[k] : cut.first[k + 1]]
        steps = np.diff(np.vstack([line, line[:1]]) if cut.closed[k] else line, axis=0)
        sums[plane] = sums.get(plane, 0.0) + float(np.linalg.norm(steps, axis=1).sum())
    return sums


def test_balls_cuts_are_circles() -> None:
    """Each plane cuts a ball in one closed line of length 2 pi sqrt(R^2 - z^2) (textbook), all of it in the plane."""
    made = ball(100.0, 6)
    cut = slices(made.vertices, made.faces, UP, 5.0, 20.0)
    assert cut.plane.tolist() == [-5, -4, -3, -2, -1, 0, 1, 2, 3, 4] and cut.closed.all()
    for plane, length in lengths(cut).items():
        assert length == pytest.approx(2 * np.pi * np.sqrt(100.0**2 - (5.0 + 20.0 * plane) ** 2), rel=2e-3)
    height = np.repeat(5.0 + 20.0 * cut.plane, np.diff(cut.first))
    np.testing.assert_allclose(cut.points[:, 2], height, atol=1e-9)
    assert (np.linalg.norm(cut.points, axis=1) <= 100.0 + 1e-9).all()


def test_lines_keep_what_rises_on_their_left() -> None:
    """Seen from outside, the surface rises along the normal on a line's left: round a ball, from above, to the left."""
    made = ball(100.0, 3)
    cut = slices(made.vertices, made.faces, UP, 5.0, 50.0)
    for k in range(len(cut.plane)):
        x, y, _ = cut.points[cut.first[k] : cut.first[k + 1]].T
        assert (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() > 0


@pytest.mark.parametrize("normal", [UP, LEFT, SLANT])
@pytest.mark.parametrize("made", [bumpy(80.0, 4), rod(30.0, 90.0), box(100.0, 60.0, 45.0, cells=4)])
def test_cuts_are_those_of_trimesh(made: Piece, normal: np.ndarray) -> None:
    """trimesh.intersections.mesh_multiplane finds as long a cut in every plane; ours are closed lines as well."""
    cut = slices(made.vertices, made.faces, normal, 1.3, 7.0)
    assert cut.closed.all()
    ours = lengths(cut)
    heights = [1.3 + 7.0 * plane for plane in ours]
    mesh = trimesh.Trimesh(made.vertices, made.faces, process=False)
    lines, _, _ = trimesh.intersections.mesh_multiplane(mesh, np.zeros(3), normal, heights)
    theirs = [np.linalg.norm(line[:, 1] - line[:, 0], axis=1).sum() for line in lines]
    np.testing.assert_allclose(list(ours.values()), theirs, rtol=1e-6)


def test_planes_through_a_box_are_counted_and_flat_ends_are_not_cut() -> None:
    """100 x 60 x 45 every 10: nine planes between the sides at -50 and 50, four over the base at 0; the ends are not
    cut though they lie in planes. Every line is the rectangle's outline.
    """
    made = box(100.0, 60.0, 45.0)
    across = lengths(slices(made.vertices, made.faces, LEFT, 0.0, 10.0))
    assert across == {plane: pytest.approx(2 * (60.0 + 45.0)) for plane in range(-4, 5)}
    assert lengths(slices(made.vertices, made.faces, UP, 0.0, 10.0)) == {
        plane: pytest.approx(2 * (100.0 + 60.0)) for plane in range(1, 5)
    }


def test_cuts_of_an_open_surface_end_at_its_border() -> None:
    """A ball without the triangles in front is cut in open lines whose ends lie on the border."""
    made = ball(100.0, 4)
    kept = made.faces[made.vertices[made.faces].mean(axis=1)[:, 1] > -60.0]
    cut = slices(made.vertices, kept, UP, 7.0, 30.0)
    low = np.abs(7.0 + 30.0 * cut.plane) < 70.0
    assert (cut.closed == ~low).all()
    ends = np.concatenate([cut.points[cut.first[:-1]], cut.points[cut.first[1:] - 1]])[np.tile(low, 2)]
    assert (np.abs(ends[:, 1] + 60.0) < 8.0).all()  # a triangle is 8 mm long


def test_no_cut_where_no_plane_passes() -> None:
    """A small ball between two planes has none."""
    made = ball(1.0, 2)
    cut = slices(made.vertices, made.faces, UP, 5.0, 10.0)
    assert len(cut.plane) == 0 and len(cut.points) == 0 and cut.first.tolist() == [0]
