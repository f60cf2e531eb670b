"""The light on each pixel: baked light read through the eye's samples, shadow edges traced sample by sample."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import ndimage

from builder.arrays import Bools, Ints, Singles
from builder.camera.sight import SUPERSAMPLE, Eye, Sight
from builder.errors import PlateError, Problem
from builder.light.direct import lamp_irradiance
from builder.light.lit import Lit
from builder.light.origins import smooth_points
from builder.model.model import Model, Part
from builder.model.tracer import Tracer
from builder.plates.edges import mixed_faces
from builder.plates.plate import Shown

FIRST_POINTS, MORE_POINTS = 4, 12
"""Lamp points a sample near a shadow edge looks at, and how many more where a pixel's first points do not agree. Its
four samples look at different ones: 16 a pixel, 64 in a penumbra. Measured on a head against 192 points for every
pixel: 0.10 to 0.17 L* rms, where the baked light alone is 0.2 to 0.8 off."""

_PHASES = np.array([[0, 2], [3, 1]], np.int32)
"""Which pattern of lamp points a sample looks at, by its row and column in the pixel."""


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
    on_subject = np.append(model.scene.parts == Part.MODEL, False)[sight.face]
    h, w = sight.eye.height_px, sight.eye.width_px
    counts = on_subject.reshape(h, SUPERSAMPLE, w, SUPERSAMPLE).sum(axis=(1, 3), dtype=np.uint8)
    return np.asarray(counts * 2 > SUPERSAMPLE**2)


def luminance(model: Model, lit: Lit, sight: Sight, tracer: Tracer, mixed: Bools | None = None) -> Singles:
    """Relative luminance of every pixel, exposed, (h, w) float32: the mean of its samples in linear light.

    ``tracer`` holds the model's scene; ``mixed`` is :func:`~builder.plates.edges.mixed_faces` of ``lit``, worked out
    here when the caller has none. Samples of those triangles get each lamp's direct light traced, all others read the
    light baked on the vertices; a sample that meets nothing shows the backdrop.
    """
    scene = model.scene
    corners = scene.faces
    gain = (lit.facts.exposure * lit.reflectance.astype(np.float64))[scene.parts].astype(np.float32)
    baked = (lit.direct.sum(axis=0, dtype=np.float64) + lit.indirect).astype(np.float32)
    samples = np.full(sight.face.shape, np.float32(lit.facts.exposure * lit.backdrop), np.float32)
    _read_baked(sight.face, sight.u, sight.v, corners, gain, baked, samples)
    if mixed is None:
        mixed = mixed_faces(model, lit)
    for lamp in range(len(lit.emitters)):
        edge = _edge_samples(model, lit, sight, tracer, lamp, mixed[lamp])
        _correct(edge.at, edge.face, edge.u, edge.v, corners, gain, lit.direct[lamp], lit.open[lamp],
                 edge.direct, edge.unshadowed, samples)  # fmt: skip
    pixels = np.zeros((sight.eye.height_px, sight.eye.width_px), np.float32)
    _average(samples, SUPERSAMPLE, pixels)
    return pixels


@dataclass(frozen=True, slots=True, eq=False)
class _EdgeSamples:
    """Samples on one lamp's shadow edges: at (k,) int64, flat index; face, u, v of the sample; direct, unshadowed (k,)
    float32, irradiance over pi traced there.
    """

    at: NDArray[np.int64]
    face: Ints
    u: Singles
    v: Singles
    direct: Singles
    unshadowed: Singles


def _edge_samples(model: Model, lit: Lit, sight: Sight, tracer: Tracer, lamp: int, mixed: Bools) -> _EdgeSamples:
    """The samples that lie on ``mixed`` (m,) triangles, with the lamp's light traced anew."""
    at = np.flatnonzero(np.append(mixed, False)[sight.face])
    face, u, v = sight.face.ravel()[at], sight.u.ravel()[at], sight.v.ravel()[at]
    normals = _shading_normals(model.scene.normals, model.scene.faces, face, u, v)
    points = smooth_points(model.scene, face, u, v)
    row, column = np.divmod(at, sight.face.shape[1])
    phase = _PHASES[row % SUPERSAMPLE, column % SUPERSAMPLE]
    emitter = lit.emitters[lamp]
    direct, unshadowed = lamp_irradiance(points, normals, emitter, FIRST_POINTS, phase, tracer)
    again = np.flatnonzero(_undecided(row // SUPERSAMPLE, column // SUPERSAMPLE, direct, unshadowed, sight.eye))
    more = lamp_irradiance(points[again], normals[again], emitter, MORE_POINTS, phase[again] + _PHASES.size, tracer)
    for first, second in zip((direct, unshadowed), more, strict=True):
        first[again] = (FIRST_POINTS * first[again] + MORE_POINTS * second) / (FIRST_POINTS + MORE_POINTS)
    return _EdgeSamples(at, face, u, v, direct, unshadowed)


def _undecided(
    row: NDArray[np.int64], column: NDArray[np.int64], direct: Singles, unshadowed: Singles, eye: Eye
) -> Bools:
    """Samples, by pixel row and column, in or beside a pixel that sees some of its lamp points and not others."""
    lit = direct > unshadowed * 1e-4
    dark = direct < unshadowed * (1.0 - 1e-4)
    some, none = np.zeros((2, eye.height_px, eye.width_px), np.bool_)
    some[row[lit], column[lit]] = True
    none[row[dark], column[dark]] = True
    torn = ndimage.binary_dilation(some & none, np.ones((3, 3), np.bool_))
    return np.asarray(torn[row, column])


@njit(cache=True, nogil=True)
def _read_baked(face: Any, u: Any, v: Any, corners: Any, gain: Any, baked: Any, samples: Any) -> None:
    for y in range(face.shape[0]):
        for x in range(face.shape[1]):
            f = face[y, x]
            if f >= 0:
                a, b, c = baked[corners[f, 0]], baked[corners[f, 1]], baked[corners[f, 2]]
                samples[y, x] = gain[f] * (a + u[y, x] * (b - a) + v[y, x] * (c - a))


@njit(cache=True, nogil=True)
def _shading_normals(normals: Any, corners: Any, face: Any, u: Any, v: Any) -> Any:
    found = np.zeros((len(face), 3))
    for i in range(len(face)):
        a, b, c = corners[face[i]]
        length = 0.0
        for k in range(3):
            found[i, k] = (1.0 - u[i] - v[i]) * normals[a, k] + u[i] * normals[b, k] + v[i] * normals[c, k]
            length += found[i, k] ** 2
        for k in range(3):
            found[i, k] /= max(np.sqrt(length), 1e-12)
    return found


@njit(cache=True, nogil=True)
def _correct(
    at: Any, face: Any, u: Any, v: Any, corners: Any, gain: Any, baked_direct: Any, baked_open: Any,
    direct: Any, unshadowed: Any, samples: Any,
) -> None:  # fmt: skip
    """Put the traced light of one lamp in the place of its baked light.

    Of the traced light only the visible share is taken, times the baked light without shadows, so that no seam shows
    against the triangles that are not traced. Where the triangle crosses the terminator the baked light bends within
    it, and the traced light is taken as it is.
    """
    flat = samples.reshape(-1)
    for i in range(len(at)):
        a, b, c = corners[face[i]]
        w = np.float32(1.0) - u[i] - v[i]
        read = w * baked_direct[a] + u[i] * baked_direct[b] + v[i] * baked_direct[c]
        true = direct[i]
        if min(baked_open[a], baked_open[b], baked_open[c]) > 0 and unshadowed[i] > 0:
            true *= (w * baked_open[a] + u[i] * baked_open[b] + v[i] * baked_open[c]) / unshadowed[i]
        flat[at[i]] += gain[face[i]] * (true - read)


@njit(cache=True, nogil=True)
def _average(samples: Any, side: int, pixels: Any) -> None:
    for y in range(pixels.shape[0]):
        for x in range(pixels.shape[1]):
            total = np.float32(0.0)
            for j in range(side):
                for i in range(side):
                    total += samples[y * side + j, x * side + i]
            # Taking baked light away and putting traced light back may leave a rounding error below black.
            pixels[y, x] = max(total / np.float32(side * side), np.float32(0.0))
