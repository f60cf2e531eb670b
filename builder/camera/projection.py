"""Points to pixels and pixels to rays, for a pinhole eye.

Picture coordinates are pixels from the top left corner, x to the right and y down; the centre of the pixel in column i
and row j is (i + 0.5, j + 0.5). Depth is the distance along the optic axis.
"""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats
from builder.camera.sight import SUPERSAMPLE, Eye


def camera_from_world(eye: Eye) -> Floats:
    """(4, 4) rigid transform from the model frame to the camera frame (x right, y up, looking along -z)."""
    turn = eye.world_from_camera[:3, :3].T
    matrix: Floats = np.eye(4)
    matrix[:3, :3] = turn
    matrix[:3, 3] = -turn @ eye.position
    return matrix


def project(eye: Eye, points: Floats) -> tuple[Floats, Floats]:
    """Where points are seen.

    points (n, 3) float64, mm, model frame. Returns (n, 2) float64, px, and depth (n,) float64, mm; where depth is not
    positive the point lies behind the eye and its place is nan.
    """
    points = np.asarray(points, np.float64)
    assert points.ndim == 2 and points.shape[1] == 3, f"expected (n, 3), got {points.shape}"
    local = (points - eye.position) @ eye.world_from_camera[:3, :3]
    depth: Floats = -local[:, 2]
    ahead = np.where(depth > 0, depth, np.nan)
    x = (local[:, 0] / (ahead * eye.tan_x) + 1) * (eye.width_px / 2)
    y = (1 - local[:, 1] / (ahead * eye.tan_y)) * (eye.height_px / 2)
    return np.stack([x, y], axis=1), depth


def directions(eye: Eye, places: Floats) -> Floats:
    """Rays through places of the picture.

    places (n, 2) float64, px. Returns (n, 3) float64, model frame, with a length of 1 along the optic axis: the point
    at depth t is ``eye.position + t * direction``.
    """
    places = np.asarray(places, np.float64)
    right, up, back = (eye.world_from_camera[:3, k] for k in range(3))
    x = (2 * places[:, 0] / eye.width_px - 1) * eye.tan_x
    y = (1 - 2 * places[:, 1] / eye.height_px) * eye.tan_y
    rays: Floats = x[:, None] * right + y[:, None] * up - back
    return rays


def sample_places(eye: Eye, first: int, last: int) -> Floats:
    """Centres of the samples in sample rows ``first`` to ``last`` (not included), row by row: (n, 2) float64, px."""
    x = (np.arange(eye.width_px * SUPERSAMPLE) + 0.5) / SUPERSAMPLE
    y = (np.arange(first, last) + 0.5) / SUPERSAMPLE
    columns, rows = np.meshgrid(x, y)
    return np.stack([columns.ravel(), rows.ravel()], axis=1)


def rays(eye: Eye, first: int = 0, last: int | None = None) -> Floats:
    """Rays through the sample centres of sample rows ``first`` to ``last`` (not included; all when ``None``).

    Returns (rows, width_px * SUPERSAMPLE, 3) float64, as :func:`directions` gives them.
    """
    last = eye.height_px * SUPERSAMPLE if last is None else last
    flat = directions(eye, sample_places(eye, first, last))
    return flat.reshape(last - first, eye.width_px * SUPERSAMPLE, 3)


def mm_per_px(eye: Eye) -> float:
    """Size of a pixel at the model's middle, in the plane across the line of sight."""
    return 2 * eye.tan_y * eye.distance_mm / eye.height_px
