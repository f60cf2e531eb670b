"""The light on each pixel: baked light read through the eye's samples, shadow edges traced sample by sample."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Ints, Singles
from builder.camera.sight import SUPERSAMPLE, Sight
from builder.errors import PlateError, Problem
from builder.light.direct import open_factors
from builder.light.lit import Lit
from builder.light.origins import shading_normals, smooth_points
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.plates.edges import mixed_faces
from builder.plates.plate import Shown
from builder.plates.shadows import lamp_shares


def show(model: Model, lit: Lit, sight: Sight, tracer: Tracer, mixed: Bools | None = None) -> Shown:
    """What plate kinds are given: luminance and subject of every pixel. Arguments as for :func:`luminance`.

    Raises PlateError when the sculpture covers no pixel of this view.
    """
    subject = subject_pixels(model, sight)
    if not subject.any():
        raise PlateError(
            Problem(
                f"view {sight.eye.number}",
                "the sculpture does not cover a single pixel",
                "a view shows at least part of it",
                "change the bearing, the eye level or the distance",
            )
        )
    return Shown(model, sight, lit, luminance(model, lit, sight, tracer, mixed), subject)


def subject_pixels(model: Model, sight: Sight) -> Bools:
    """(h, w) bool, pixels more than half of whose samples lie on the sculpture."""
    subject = np.zeros((sight.eye.height_px, sight.eye.width_px), np.bool_)
    _mostly(sight.face, model.scene.parts == Part.MODEL, SUPERSAMPLE, subject)
    return subject


def luminance(model: Model, lit: Lit, sight: Sight, tracer: Tracer, mixed: Bools | None = None) -> Singles:
    """Relative luminance of every pixel, exposed, (h, w) float32: the mean of its samples in linear light.

    ``tracer`` holds the model's scene; ``mixed`` is :func:`~builder.plates.edges.mixed_faces` of ``lit``, worked out
    here when the caller has none. Samples of those triangles get each lamp's direct light traced, all others read the
    light baked on the vertices; a sample that meets nothing shows the backdrop.
    """
    if mixed is None:
        mixed = mixed_faces(model, lit)
    gain = (lit.facts.exposure * lit.reflectance.astype(np.float64))[model.scene.parts].astype(np.float32)
    baked = (lit.direct.sum(axis=0, dtype=np.float64) + lit.indirect).astype(np.float32)
    behind = np.float32(lit.facts.exposure * lit.backdrop)
    pixels = np.zeros((sight.eye.height_px, sight.eye.width_px), np.float32)
    at = np.zeros(sight.face.size, np.int32)
    found = _read_baked(
        sight.face, sight.u, sight.v, model.scene.faces, gain, baked, behind, mixed.any(axis=0), SUPERSAMPLE, pixels, at
    )
    at = at[:found].copy()
    face, u, v = sight.face.ravel()[at], sight.u.ravel()[at], sight.v.ravel()[at]
    for lamp in range(len(lit.emitters)):
        on_edge = mixed[lamp][face]
        _trace(model, lit, lamp, tracer, at[on_edge], face[on_edge], u[on_edge], v[on_edge], gain, pixels)
    # Taking baked light away and putting traced light back may leave a rounding error below black.
    return np.maximum(pixels, np.float32(0.0), out=pixels)


def _trace(
    model: Model, lit: Lit, lamp: int, tracer: Tracer, at: Ints, face: Ints, u: Singles, v: Singles, gain: Singles,
    pixels: Singles,
) -> None:  # fmt: skip
    """Put the traced light of one lamp in the place of its baked light; at (n,) are flat indices of samples.

    Of the traced light only the visible share is taken, times the baked light without shadows, so that no seam shows
    against the triangles that are not traced. Where the terminator crosses the triangle the baked light bends within
    it, and what the lamp gives unshadowed is worked out anew.
    """
    emitter, corners = lit.emitters[lamp], model.scene.faces
    row, column = np.divmod(at, np.int32(pixels.shape[1] * SUPERSAMPLE))
    points, normals = smooth_points(model.scene, face, u, v), shading_normals(model.scene, face, u, v)
    shares = lamp_shares(row, column, points, normals, emitter, tracer)
    crossed = np.flatnonzero((lit.open[lamp] <= 0)[corners].any(axis=1)[face] & (shares > 0))
    given = _between(face, u, v, corners, lit.open[lamp])
    given[crossed] = emitter.radiance * open_factors(points[crossed], normals[crossed], emitter)
    change = given * shares - _between(face, u, v, corners, lit.direct[lamp])
    _add(row // np.int32(SUPERSAMPLE), column // np.int32(SUPERSAMPLE), gain[face] * change, SUPERSAMPLE**2, pixels)


@njit(cache=True, nogil=True)
def _mostly(face: Any, counted: Any, side: int, pixels: Any) -> None:
    """Mark the pixels more than half of whose samples lie on faces that are counted."""
    for y in range(pixels.shape[0]):
        for x in range(pixels.shape[1]):
            count = 0
            for j in range(side):
                for i in range(side):
                    f = face[y * side + j, x * side + i]
                    if f >= 0 and counted[f]:
                        count += 1
            pixels[y, x] = 2 * count > side * side


@njit(cache=True, nogil=True)
def _read_baked(
    face: Any, u: Any, v: Any, corners: Any, gain: Any, baked: Any, behind: Any, mixed: Any, side: int, pixels: Any,
    at: Any,
) -> int:  # fmt: skip
    """Fill in the mean baked light of each pixel; list the samples on mixed faces, pixel by pixel, and count them."""
    found = 0
    for y in range(pixels.shape[0]):
        for x in range(pixels.shape[1]):
            total = np.float32(0.0)
            for j in range(y * side, y * side + side):
                for i in range(x * side, x * side + side):
                    f = face[j, i]
                    if f < 0:
                        total += behind
                        continue
                    a, b, c = baked[corners[f, 0]], baked[corners[f, 1]], baked[corners[f, 2]]
                    total += gain[f] * (a + u[j, i] * (b - a) + v[j, i] * (c - a))
                    if mixed[f]:
                        at[found] = j * face.shape[1] + i
                        found += 1
            pixels[y, x] = total / np.float32(side * side)
    return found


@njit(cache=True, nogil=True)
def _between(face: Any, u: Any, v: Any, corners: Any, light: Any) -> Any:
    """Light given on the vertices, read within the faces, (n,) float32."""
    read = np.zeros(len(face), np.float32)
    for i in range(len(face)):
        a, b, c = light[corners[face[i], 0]], light[corners[face[i], 1]], light[corners[face[i], 2]]
        read[i] = a + u[i] * (b - a) + v[i] * (c - a)
    return read


@njit(cache=True, nogil=True)
def _add(row: Any, column: Any, change: Any, samples: int, pixels: Any) -> None:
    """Add the change of each sample to its pixel, the mean of so many samples."""
    for i in range(len(change)):
        pixels[row[i], column[i]] += change[i] / np.float32(samples)
