"""The light on what stands round the planes: plinth, ground and backdrop, with the planes' shadows on them.

The edges of these shadows are long and smooth. So where a penumbra is wide only a grid of pixels is asked how much of
the lamp it sees, and the share is read straight between; sample by sample only where it changes fast.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Floats, Ints, Singles
from builder.camera.sight import SUPERSAMPLE
from builder.light.direct import open_factors
from builder.light.lamps import lamp_patterns
from builder.light.lit import Emitter, Lit
from builder.light.origins import shading_normals, smooth_points
from builder.model.tracer import Tracer
from builder.plates.luminance import PixelLight, within
from builder.plates.nodes import lamp_shares, node_shares
from builder.plates.planes_view import PlanesView
from builder.plates.share_grid import beside, settle, slow_cells

GRID_PX = 3
"""Of so many pixels across and down one is asked first."""
NODE_POINTS = 48
"""Lamp points that it looks at where those round the lamp's rim do not agree, the same for all pixels, so that a
penumbra read between them is a ramp without grain."""
RIM = 0.95
"""How far out these stand, of the lamp's half width."""
SLOW = 0.3
"""Difference between the corners of a cell of the grid up to which the share is read straight between them."""
STEEP = 0.3
"""Difference between a pixel that was looked at closely and one beside it that was read between, from which that is
looked at closely too."""
CLOSE_POINTS = 3
"""Lamp points that each sample of a pixel looks at closely; as many again, others, where these do not all agree."""
FIRST_PHASES, SECOND_PHASES = (224, 142, 181, 134), (242, 232, 13, 182)
"""Which patterns of them (see :func:`builder.light.lamps.lamp_points`), by row and column in the pixel."""


def around_light(view: PlanesView, lit: Lit, tracer: Tracer, mixed: Bools) -> PixelLight:
    """The light on every pixel that sees more than one plane of the sculpture: the mean of its samples off that, of the
    backdrop's own light where they meet nothing. All other pixels stay black.

    ``tracer`` holds the planes model's scene; ``mixed`` (lamps, m) as for
    :func:`~builder.plates.luminance.pixel_light`.
    """
    model, sight, seen = view.looked.model, view.looked.sight, view.around
    corners, body = model.scene.faces, model.body_faces
    gain = (lit.facts.exposure * lit.reflectance.astype(np.float64))[model.scene.parts].astype(np.float32)
    total = (lit.direct.sum(axis=0, dtype=np.float64) + lit.indirect).astype(np.float32)
    pixels, key, key_open = np.zeros((3, *view.plane.shape), np.float32)
    _read(
        seen.face, seen.u, seen.v, sight.face, sight.u, sight.v, corners, gain,
        np.stack([total, lit.direct[0], lit.open[0]], axis=1), np.float32(lit.facts.exposure * lit.backdrop), body,
        SUPERSAMPLE, pixels, key, key_open,
    )  # fmt: skip
    for lamp, emitter in enumerate(lit.emitters):
        light = np.stack([lit.direct[lamp], lit.open[lamp]], axis=1)
        share = np.zeros(pixels.shape, np.float32)
        asked, sample = np.zeros((2, pixels.size), np.int32)
        given, baked = np.zeros((2, pixels.size), np.float32)
        found = _ask(
            seen.face, seen.u, seen.v, sight.face, sight.u, sight.v, corners, gain, light, mixed[lamp], body,
            SUPERSAMPLE, GRID_PX, share, asked, sample, given, baked,
        )  # fmt: skip
        asked, sample, given, baked = (each[:found].copy() for each in (asked, sample, given, baked))
        _share_out(view, emitter, tracer, asked, sample, share)
        anew = _bent(view, lit, lamp, sample, gain, given)
        arrived = anew * share.ravel()[asked] - baked
        pixels.ravel()[asked] += arrived
        if lamp == 0:
            key.ravel()[asked] += arrived
            key_open.ravel()[asked] += anew - given
    for picture in (pixels, key, key_open):
        # Taking baked light away and putting traced light back may leave a rounding error below black.
        np.maximum(picture, np.float32(0.0), out=picture)
    return PixelLight(pixels, key, key_open)


def _share_out(view: PlanesView, emitter: Emitter, tracer: Tracer, asked: Ints, sample: Ints, share: Singles) -> None:
    """Fill in the share of the lamp that the pixels ``asked`` see; ``share`` holds that of the grid's other pixels."""
    y, x = np.divmod(asked, share.shape[1])
    on_grid = (y % GRID_PX == 0) & (x % GRID_PX == 0)
    nodes, first = asked[on_grid], sample[on_grid]

    def see(which: Ints, patterns: Floats) -> Singles:
        return lamp_shares(view, emitter, tracer, first[which], patterns)

    many = lamp_patterns(emitter, NODE_POINTS, np.zeros(1, np.int32))
    share.ravel()[nodes] = node_shares(nodes, view.around.piece, GRID_PX, _rim(emitter), many, see)
    slow = slow_cells(view.around.piece, share, GRID_PX, SLOW)
    state = np.zeros(share.shape, np.uint8)
    left = settle(asked, view.around.piece, slow, GRID_PX, share, state)
    while len(left) > 0:
        _look_closely(view, emitter, tracer, left, share)
        left = beside(left, share, state, STEEP)


def _rim(emitter: Emitter) -> Floats:
    """(1, 8, 3) mm: points round a lamp near its rim; an edge between them cuts off under a thirtieth of a disc."""
    turn = np.arange(8) * (np.pi / 4)
    x, y = np.cos(turn), np.sin(turn)
    if emitter.shape == "rectangle":
        widest = np.maximum(np.abs(x), np.abs(y))
        x, y = x / widest, y / widest
    points: Floats = emitter.centre + RIM * (x[:, None] * emitter.across + y[:, None] * emitter.along)
    return points[None]


def _look_closely(view: PlanesView, emitter: Emitter, tracer: Tracer, pixels: Ints, share: Singles) -> None:
    """Fill in the ``share`` of pixels by all of their samples, as an edge on the model itself is drawn."""
    body, total = view.looked.model.body_faces, np.zeros(len(pixels))
    torn = np.arange(len(pixels))
    for round_, phases in enumerate((FIRST_PHASES, SECOND_PHASES)):
        patterns = lamp_patterns(emitter, CLOSE_POINTS, np.array(phases, np.int32))
        owner, sample = _samples(view.looked.sight.face, pixels[torn], body, SUPERSAMPLE)
        seen = lamp_shares(view, emitter, tracer, sample, patterns)
        mean = np.bincount(owner, seen, len(torn)) / np.maximum(np.bincount(owner, minlength=len(torn)), 1)
        total[torn] = (total[torn] * round_ + mean) / (round_ + 1)
        torn = torn[(mean > 0.0) & (mean < 1.0)]
    share.ravel()[pixels] = total


def _bent(view: PlanesView, lit: Lit, lamp: int, sample: Ints, gain: Singles, given: Singles) -> Singles:
    """The lamp's light without shadows on pixels (n,), with that worked out anew where the terminator crosses their
    triangle: there the baked light bends within it.
    """
    sight, scene = view.looked.sight, view.looked.model.scene
    face = sight.face.ravel()[sample]
    crossed = np.flatnonzero((lit.open[lamp] <= 0)[scene.faces[face]].any(axis=1))
    if len(crossed) == 0:
        return given
    face, u, v = face[crossed], sight.u.ravel()[sample[crossed]], sight.v.ravel()[sample[crossed]]
    points, normals = smooth_points(scene, face, u, v), shading_normals(scene, face, u, v)
    anew = given.copy()
    anew[crossed] = gain[face] * lit.emitters[lamp].radiance * open_factors(points, normals, lit.emitters[lamp])
    return anew


@njit(cache=True, nogil=True)
def _read(
    whole: Any, second: Any, third: Any, face: Any, u: Any, v: Any, corners: Any, gain: Any, light: Any, behind: Any,
    body: int, side: int, pixels: Any, key: Any, key_open: Any,
) -> None:  # fmt: skip
    """Fill in the mean baked light of each pixel's samples off the sculpture; light (n, 3) float32 on the vertices.

    Light runs straight between the corners of a triangle, so a pixel that lies within one is read once.
    """
    for y in range(pixels.shape[0]):
        for x in range(pixels.shape[1]):
            f = whole[y, x]
            if f == -2:
                continue
            if f >= 0:
                pixels[y, x], key[y, x], key_open[y, x] = within(light, corners, f, second[y, x], third[y, x], gain[f])
                continue
            count = _off(face, body, y, x, side)
            for j in range(y * side, y * side + side):
                for i in range(x * side, x * side + side):
                    f = face[j, i]
                    if f < 0:
                        pixels[y, x] += behind / count
                    elif f >= body:
                        each = within(light, corners, f, u[j, i], v[j, i], gain[f] / count)
                        pixels[y, x] += each[0]
                        key[y, x] += each[1]
                        key_open[y, x] += each[2]


@njit(cache=True, nogil=True)
def _off(face: Any, body: int, y: int, x: int, side: int) -> Any:
    """How many samples of a pixel do not see the sculpture."""
    count = np.float32(0.0)
    for j in range(y * side, y * side + side):
        for i in range(x * side, x * side + side):
            if face[j, i] < 0 or face[j, i] >= body:
                count += np.float32(1.0)
    return count


@njit(cache=True, nogil=True)
def _ask(
    whole: Any, second: Any, third: Any, face: Any, u: Any, v: Any, corners: Any, gain: Any, light: Any, mixed: Any,
    body: int, side: int, grid: int, share: Any, asked: Any, sample: Any, given: Any, baked: Any,
) -> int:  # fmt: skip
    """List the pixels with a sample off the sculpture on a mixed triangle; fill in the baked ``share`` of
    the grid's.

    light (n, 2) float32: the lamp's on the vertices, with shadows and without. Of the pixels listed: asked, sample
    (h * w,) int32, flat indices of them and of their first sample off the sculpture; given, baked (h * w,) float32,
    their light without shadows and with those of the vertices.
    """
    h, w = whole.shape
    found = 0
    for y in range(h):
        for x in range(w):
            f = whole[y, x]
            if f == -2:
                continue
            node = y % grid == 0 and x % grid == 0
            if f >= 0:
                if not (mixed[f] or node):
                    continue
                on_edge, first = mixed[f], y * side * face.shape[1] + x * side
                dark, bright = _both(light, corners, f, second[y, x], third[y, x], gain[f])
            else:
                on_edge, first = False, -1
                dark, bright = np.float32(0.0), np.float32(0.0)
                count = _off(face, body, y, x, side)
                for j in range(y * side, y * side + side):
                    for i in range(x * side, x * side + side):
                        f = face[j, i]
                        if f < body:
                            continue
                        if first < 0:
                            first = j * face.shape[1] + i
                        on_edge = on_edge or mixed[f]
                        each = _both(light, corners, f, u[j, i], v[j, i], gain[f] / count)
                        dark += each[0]
                        bright += each[1]
            share[y, x] = dark / bright if bright > 0.0 else np.float32(0.0)
            if on_edge:
                asked[found], sample[found], given[found], baked[found] = y * w + x, first, bright, dark
                found += 1
    return found


@njit(cache=True, nogil=True)
def _both(light: Any, corners: Any, face: int, second: Any, third: Any, gain: Any) -> Any:
    """Two kinds of light at a point of a triangle, likewise to :func:`~builder.plates.luminance.within`."""
    a, b, c = corners[face, 0], corners[face, 1], corners[face, 2]
    first = np.float32(1.0) - second - third
    return (
        gain * (first * light[a, 0] + second * light[b, 0] + third * light[c, 0]),
        gain * (first * light[a, 1] + second * light[b, 1] + third * light[c, 1]),
    )


@njit(cache=True, nogil=True)
def _samples(face: Any, pixels: Any, body: int, side: int) -> Any:
    """The samples of pixels that lie off the sculpture: owner (n,) int64, index into ``pixels``; sample (n,) int32."""
    width = face.shape[1] // side
    owner = np.zeros(len(pixels) * side * side, np.int64)
    sample = np.zeros(len(owner), np.int32)
    count = 0
    for k in range(len(pixels)):
        y, x = pixels[k] // width, pixels[k] % width
        for j in range(y * side, y * side + side):
            for i in range(x * side, x * side + side):
                if face[j, i] >= body:
                    owner[count] = k
                    sample[count] = j * face.shape[1] + i
                    count += 1
    return owner[:count].copy(), sample[:count].copy()
