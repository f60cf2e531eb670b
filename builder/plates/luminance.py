"""The light on each pixel: baked light read through the eye's samples, shadow edges traced sample by sample."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Ints, Singles
from builder.camera.sight import SUPERSAMPLE, Sight
from builder.light.direct import open_factors
from builder.light.lit import Lit
from builder.light.origins import shading_normals, smooth_points
from builder.model.model import Model
from builder.model.tracer import Tracer
from builder.plates.edges import mixed_faces
from builder.plates.shadows import lamp_shares


@dataclass(frozen=True, slots=True, eq=False)
class PixelLight:
    """Light on the pixels of a view, each (h, w) float32, relative and exposed.

    luminance; key, the part of it that comes straight from the key lamp; key_open, that part as if nothing stood
    between.
    """

    luminance: Singles
    key: Singles
    key_open: Singles


def pixel_light(model: Model, lit: Lit, sight: Sight, tracer: Tracer, mixed: Bools | None = None) -> PixelLight:
    """The light on every pixel, the mean of its samples.

    ``tracer`` holds the model's scene; ``mixed`` is :func:`~builder.plates.edges.mixed_faces` of ``lit``, worked out
    here when the caller has none. Samples of those triangles get each lamp's direct light traced, all others read the
    light baked on the vertices; a sample that meets nothing shows the backdrop, and nothing of the key.
    """
    if mixed is None:
        mixed = mixed_faces(model, lit)
    gain = (lit.facts.exposure * lit.reflectance.astype(np.float64))[model.scene.parts].astype(np.float32)
    total = lit.direct.sum(axis=0, dtype=np.float64) + lit.indirect
    baked = np.stack([total, lit.direct[0], lit.open[0]], axis=1).astype(np.float32)
    behind = np.float32(lit.facts.exposure * lit.backdrop)
    pixels, key, key_open = np.zeros((3, sight.eye.height_px, sight.eye.width_px), np.float32)
    at = np.zeros(sight.face.size, np.int32)
    found = _read_baked(
        sight.face, sight.u, sight.v, model.scene.faces, gain, baked, behind, mixed.any(axis=0), SUPERSAMPLE,
        pixels, key, key_open, at,
    )  # fmt: skip
    at = at[:found].copy()
    face, u, v = sight.face.ravel()[at], sight.u.ravel()[at], sight.v.ravel()[at]
    for lamp in range(len(lit.emitters)):
        on_edge = mixed[lamp][face]
        targets = (pixels, key, key_open) if lamp == 0 else (pixels,)
        _trace(model, lit, lamp, tracer, at[on_edge], face[on_edge], u[on_edge], v[on_edge], gain, targets)
    for picture in (pixels, key, key_open):
        # Taking baked light away and putting traced light back may leave a rounding error below black.
        np.maximum(picture, np.float32(0.0), out=picture)
    return PixelLight(pixels, key, key_open)


def _trace(
    model: Model, lit: Lit, lamp: int, tracer: Tracer, at: Ints, face: Ints, u: Singles, v: Singles, gain: Singles,
    pixels: tuple[Singles, ...],
) -> None:  # fmt: skip
    """Put the traced light of one lamp in the place of its baked light; at (n,) are flat indices of samples.

    Of the traced light only the visible share is taken, times the baked light without shadows, so that no seam shows
    against the triangles that are not traced. Where the terminator crosses the triangle the baked light bends within
    it, and what the lamp gives unshadowed is worked out anew. ``pixels``: the pictures to change; the luminance, and
    for the key its own light with shadows and without.
    """
    emitter, corners = lit.emitters[lamp], model.scene.faces
    row, column = np.divmod(at, np.int32(pixels[0].shape[1] * SUPERSAMPLE))
    points, normals = smooth_points(model.scene, face, u, v), shading_normals(model.scene, face, u, v)
    shares = lamp_shares(row, column, points, normals, emitter, tracer)
    crossed = np.flatnonzero((lit.open[lamp] <= 0)[corners].any(axis=1)[face])
    baked_open = _between(face, u, v, corners, lit.open[lamp])
    given = baked_open.copy()
    given[crossed] = emitter.radiance * open_factors(points[crossed], normals[crossed], emitter)
    change = given * shares - _between(face, u, v, corners, lit.direct[lamp])
    y, x, strength = row // np.int32(SUPERSAMPLE), column // np.int32(SUPERSAMPLE), gain[face]
    for picture, difference in zip(pixels, (change, change, given - baked_open), strict=False):
        _add(y, x, strength * difference, SUPERSAMPLE**2, picture)


@njit(cache=True, nogil=True)
def _read_baked(
    face: Any, u: Any, v: Any, corners: Any, gain: Any, baked: Any, behind: Any, mixed: Any, side: int,
    pixels: Any, key: Any, key_open: Any, at: Any,
) -> int:  # fmt: skip
    """Fill in the mean baked light of each pixel; list the samples on mixed faces, pixel by pixel, and count them.

    baked (n, 3) float32 per vertex: all light, the key's with shadows, the key's without. Light runs straight between
    the corners of a triangle, so a pixel that lies within one is read once, in the middle of its samples.
    """
    found = 0
    samples = np.float32(side * side)
    for y in range(pixels.shape[0]):
        for x in range(pixels.shape[1]):
            first = face[y * side, x * side]
            whole = first >= 0
            q, r = np.float32(0.0), np.float32(0.0)
            for j in range(y * side, y * side + side):
                for i in range(x * side, x * side + side):
                    whole = whole and face[j, i] == first
                    q += u[j, i]
                    r += v[j, i]
            if whole:
                light = within(baked, corners, first, q / samples, r / samples, gain[first])
                pixels[y, x], key[y, x], key_open[y, x] = light
            for j in range(y * side, y * side + side):
                for i in range(x * side, x * side + side):
                    f = face[j, i]
                    if f < 0:
                        pixels[y, x] += behind / samples
                        continue
                    if mixed[f]:
                        at[found] = j * face.shape[1] + i
                        found += 1
                    if whole:
                        continue
                    light = within(baked, corners, f, u[j, i], v[j, i], gain[f] / samples)
                    pixels[y, x] += light[0]
                    key[y, x] += light[1]
                    key_open[y, x] += light[2]
    return found


@njit(cache=True, nogil=True)
def within(baked: Any, corners: Any, face: int, second: Any, third: Any, gain: Any) -> Any:
    """The three kinds of light at a point of a triangle, by the weights of its second and third corner."""
    a, b, c = corners[face, 0], corners[face, 1], corners[face, 2]
    first = np.float32(1.0) - second - third
    return (
        gain * (first * baked[a, 0] + second * baked[b, 0] + third * baked[c, 0]),
        gain * (first * baked[a, 1] + second * baked[b, 1] + third * baked[c, 1]),
        gain * (first * baked[a, 2] + second * baked[b, 2] + third * baked[c, 2]),
    )


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
