"""Faces of more than three corners, and strips, cut into triangles."""

from __future__ import annotations

from typing import Any

import numpy as np

from builder.model.triangles import Indices


def from_polygons(polygons: Any) -> Indices:
    """(m, 3) triangles that fan out from the first corner of each polygon.

    ``polygons`` is a (p, k) array, or a list of p arrays of corners of differing lengths; those with fewer than three
    corners give nothing.
    """
    if isinstance(polygons, np.ndarray) and polygons.ndim == 2:
        return _fans(_whole(polygons))
    by_length: dict[int, list[int]] = {}
    for place, corners in enumerate(polygons):
        by_length.setdefault(len(corners), []).append(place)
    pieces = [np.zeros((0, 3), np.int64)]
    owners = [np.zeros(0, np.int64)]
    for length, places in sorted(by_length.items()):
        if length >= 3:
            pieces.append(_fans(_whole(np.stack([polygons[place] for place in places]))))
            owners.append(np.repeat(places, length - 2))
    order = np.argsort(np.concatenate(owners), kind="stable")
    return np.concatenate(pieces)[order]


def from_strips(strips: Any) -> Indices:
    """(m, 3) triangles of strips, each a row of corners; -1 begins a new strip, every second triangle is turned."""
    pieces = [np.zeros((0, 3), np.int64)]
    for row in strips:
        corners = _whole(np.asarray(row))
        for strip in np.split(corners, np.flatnonzero(corners == -1)):
            run = strip[strip != -1]
            if len(run) >= 3:
                triangles = np.stack([run[:-2], run[1:-1], run[2:]], axis=1)
                triangles[1::2] = triangles[1::2, ::-1]
                pieces.append(triangles)
    return np.concatenate(pieces)


def _whole(corners: Any) -> Indices:
    """Corners as int64; what is not a number in reach becomes -2, which no file means."""
    values = np.asarray(corners)
    if values.dtype.kind == "f":
        values = np.where(np.abs(values) < 2.0**62, values, -2.0)
    elif values.dtype.kind == "u":
        values = np.minimum(values, np.array(2**62, np.uint64)) if values.dtype.itemsize == 8 else values
    return values.astype(np.int64)


def _fans(polygons: Indices) -> Indices:
    """(p (k - 2), 3) triangles of (p, k) polygons, those of one polygon together."""
    corners = polygons.shape[1]
    if corners < 3:
        return np.zeros((0, 3), np.int64)
    fans = [polygons[:, [0, k, k + 1]] for k in range(1, corners - 1)]
    return np.stack(fans, axis=1).reshape(-1, 3)
