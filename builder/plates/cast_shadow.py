"""Where a cast shadow lies on the planes: a clean border, pixel by pixel."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.arrays import Bools, Bytes, Floats, Ints, Singles
from builder.light.lamps import lamp_patterns
from builder.light.lit import Lit
from builder.model.tracer import Tracer
from builder.plates.causes import HALF
from builder.plates.clean import narrowest_px
from builder.plates.nodes import lamp_shares, node_shares
from builder.plates.plane_light import PlaneLight
from builder.plates.planes_view import PlanesView
from builder.plates.shapes import merge_islands

LIGHT, SHADOW, NEITHER = 0, 1, 2
GRID_PX = 3
"""Of so many pixels across and down one is asked first, where an edge is known of."""
PROBE_PX = 2 * GRID_PX
"""Of so many, where none is: it looks at the middle of the lamp alone, so that no shadow is passed over that the
vertices miss. A shadow that fits between the probes is a quarter of the least that is kept, or a thread."""
JUMP = 0.2
"""Difference between a face's corners in the share they see of the lamp, from which an edge is looked for in it."""
SURE = 0.3
"""Share of the lamp, from none or from all, within which the vertices are held to be sure of dark or light: the edge of
a shadow that hides the middle of the lamp is where half of it is seen, or near that."""
LEAST_SHARE = 0.0002
"""Shadows, and lights in them, smaller than this share of the picture are given to what lies round them: as small as
the least shape of the study in nine values."""
FEW_POINTS = 4
"""Lamp points that are asked first: where they agree, more than half of the lamp is seen, or less."""
NODE_POINTS, EDGE_POINTS = 64, 16
"""Lamp points asked where they do not, on the grid and off it: the same everywhere, so that the middle of the penumbra
is a line, not grain. Off the grid only steep penumbras are asked about, in which a few points are a step of a pixel."""
SLOW = 0.35
"""Difference between the corners of a cell of the grid up to which the share is read straight between them."""


def cast_shadow(view: PlanesView, lit: Lit, light: PlaneLight, tracer: Tracer) -> Bytes:
    """:data:`SHADOW` where less than half of the key lamp's light arrives on a plane of the sculpture that faces it,
    and on all of a plane that does not; else :data:`LIGHT`; :data:`NEITHER` off the sculpture. (h, w) uint8.

    Its borders are smoothed, and specks that no pencil draws are given to what lies round them.
    """
    state = np.full(view.plane.shape, NEITHER, np.uint8)
    share = np.ones(view.plane.shape, np.float32)
    sight, scene = view.looked.sight, view.looked.model.scene
    torn = np.zeros(view.plane.shape, np.uint8)
    probes, nodes = _read(
        view.plane, view.sample, sight.face, sight.u, sight.v, scene.faces, light.key_share, light.faces_key,
        _crossed(view, light.key_share), GRID_PX, PROBE_PX, share, torn,
    )  # fmt: skip
    middle = lit.emitters[0].centre[None, None]
    _doubt(view.plane, share, light.faces_key, probes, _shares(view, lit, tracer, probes, middle), PROBE_PX, SURE, torn)

    def see(which: Ints, patterns: Floats) -> Singles:
        return _shares(view, lit, tracer, nodes[which], patterns)

    few, many = (lamp_patterns(lit.emitters[0], count, np.zeros(1, np.int32)) for count in (FEW_POINTS, NODE_POINTS))
    share.ravel()[nodes] = node_shares(nodes, view.plane, GRID_PX, few, many, see)
    left = np.zeros(share.size, np.int32)
    left = left[: _settle(view.plane, GRID_PX, HALF, SLOW, share, torn, left)]
    share.ravel()[left] = _traced(view, lit, tracer, left)
    _judge(view.plane, share, light.faces_key, np.float32(HALF), state)
    smooth = state.copy()
    _smooth(view.plane, light.faces_key, state, narrowest_px(state.shape) // 2, smooth)
    merged = merge_islands(smooth, LEAST_SHARE * smooth.size)
    _keep_whole(view.plane, light.faces_key, smooth, merged, np.zeros((len(light.faces_key), 2), np.int64))
    return merged


def _crossed(view: PlanesView, key_share: Singles) -> Bools:
    """Faces of the sculpture that a shadow's edge crosses, by what their corners see of the lamp, and the faces of the
    same plane that touch them, (body faces,).
    """
    model = view.looked.model
    corners = model.scene.faces[: model.body_faces]
    share = key_share[corners]
    torn = np.ptp(share, axis=1) > JUMP
    touched = np.zeros(model.body_vertices, np.bool_)
    touched[corners[torn]] = True
    return np.asarray(touched[corners].any(axis=1))


def _traced(view: PlanesView, lit: Lit, tracer: Tracer, pixels: Ints) -> Singles:
    """The share of the lamp that each pixel sees, (n,) float32, fine enough to tell more than half from less."""
    few, many = (lamp_patterns(lit.emitters[0], count, np.zeros(1, np.int32)) for count in (FEW_POINTS, EDGE_POINTS))
    shares = _shares(view, lit, tracer, pixels, few)
    partly = np.flatnonzero((shares > 0.0) & (shares < 1.0))
    shares[partly] = _shares(view, lit, tracer, pixels[partly], many)
    return shares


def _shares(view: PlanesView, lit: Lit, tracer: Tracer, pixels: Ints, patterns: Floats) -> Singles:
    """The share of points of the key lamp that each pixel sees, (n,) float32; pixels (n,) are flat indices."""
    return lamp_shares(view, lit.emitters[0], tracer, view.sample.ravel()[pixels], patterns)


@njit(cache=True, nogil=True)
def _read(
    plane: Any, sample: Any, face: Any, u: Any, v: Any, corners: Any, key_share: Any, faces_key: Any, mixed: Any,
    grid: int, apart: int, share: Any, torn: Any,
) -> Any:  # fmt: skip
    """Fill in the share of the lamp as the vertices have it, and 1 in ``torn`` on mixed faces; list the pixels on the
    grid that lie on mixed faces, and before them some of those that do not.
    """
    flat_face, flat_u, flat_v = face.ravel(), u.ravel(), v.ravel()
    room = (plane.shape[0] // grid + 1) * (plane.shape[1] // grid + 1)
    probes, nodes = np.zeros(room, np.int64), np.zeros(room, np.int64)
    asked, counted = 0, 0
    for y in range(plane.shape[0]):
        for x in range(plane.shape[1]):
            k = plane[y, x]
            if k < 0 or not faces_key[k]:
                continue
            at = sample[y, x]
            f = flat_face[at]
            a, b, c = key_share[corners[f, 0]], key_share[corners[f, 1]], key_share[corners[f, 2]]
            share[y, x] = a + flat_u[at] * (b - a) + flat_v[at] * (c - a)
            torn[y, x] = mixed[f]
            if y % grid == 0 and x % grid == 0:
                if mixed[f]:
                    nodes[counted] = y * plane.shape[1] + x
                    counted += 1
                elif y % apart == 0 and x % apart == 0:
                    probes[asked] = y * plane.shape[1] + x
                    asked += 1
    return probes[:asked], nodes[:counted]


@njit(cache=True, nogil=True)
def _doubt(
    plane: Any, share: Any, faces_key: Any, probes: Any, found: Any, grid: int, sure: float, torn: Any
) -> None:  # fmt: skip
    """Mark 2 in ``torn`` round every probe that finds the vertices sure of what is wrong."""
    h, w = plane.shape
    for i in range(len(probes)):
        y, x = probes[i] // w, probes[i] % w
        if (found[i] > 0.5 and share[y, x] > sure) or (found[i] <= 0.5 and share[y, x] < 1.0 - sure):
            continue
        for j in range(max(y - grid, 0), min(y + grid + 1, h)):
            for k in range(max(x - grid, 0), min(x + grid + 1, w)):
                if plane[j, k] >= 0 and faces_key[plane[j, k]]:
                    torn[j, k] = 2


@njit(cache=True, nogil=True)
def _settle(plane: Any, grid: int, half: float, slow: float, share: Any, torn: Any, left: Any) -> int:
    """Give pixels marked 1 the share between the corners of their cell of the grid, where all four are marked, of their
    plane, and on one side of ``half`` or no further apart than ``slow``; fill in the indices of all other marked ones,
    ``left`` (h * w,) int32, and count them.
    """
    h, w = plane.shape
    count = 0
    for y in range(h):
        for x in range(w):
            down, across = y % grid, x % grid
            if torn[y, x] == 0 or (torn[y, x] == 1 and down == 0 and across == 0):
                continue
            top, first = y - down, x - across
            whole = torn[y, x] == 1 and top + grid < h and first + grid < w
            least, most, between = 1.0, 0.0, 0.0
            if whole:
                for j in range(2):
                    for i in range(2):
                        row, column = top + j * grid, first + i * grid
                        whole = whole and torn[row, column] == 1 and plane[row, column] == plane[y, x]
                        found = share[row, column]
                        least, most = min(least, found), max(most, found)
                        weight = (down if j == 1 else grid - down) * (across if i == 1 else grid - across)
                        between += found * weight / (grid * grid)
            if whole and (least >= half or most < half or most - least <= slow):
                share[y, x] = between
            else:
                left[count] = y * w + x
                count += 1
    return count


@njit(cache=True, nogil=True)
def _judge(plane: Any, share: Any, faces_key: Any, half: Any, state: Any) -> None:
    for y in range(plane.shape[0]):
        for x in range(plane.shape[1]):
            k = plane[y, x]
            if k >= 0:
                state[y, x] = 0 if faces_key[k] and share[y, x] >= half else 1


@njit(cache=True, nogil=True)
def _smooth(plane: Any, faces_key: Any, state: Any, reach: int, smooth: Any) -> None:
    """The state that most pixels round about have, of all planes that face the lamp: a shadow runs on over an edge."""
    h, w = plane.shape
    for y in range(h):
        for x in range(w):
            k = plane[y, x]
            if k < 0 or not faces_key[k]:
                continue
            # far from any border all nine neighbours agree
            top, bottom, left, right = (
                max(y - reach, 0),
                min(y + reach, h - 1),
                max(x - reach, 0),
                min(x + reach, w - 1),
            )
            own = state[y, x]
            same = state[top, left] == own and state[top, right] == own and state[bottom, left] == own
            same = same and state[bottom, right] == own and state[top, x] == own and state[bottom, x] == own
            if same and state[y, left] == own and state[y, right] == own:
                continue
            dark, count = 0, 0
            for j in range(top, bottom + 1):
                for i in range(left, right + 1):
                    if plane[j, i] >= 0 and faces_key[plane[j, i]]:
                        count += 1
                        dark += state[j, i]
            if 2 * dark != count:
                smooth[y, x] = 1 if 2 * dark > count else 0


@njit(cache=True, nogil=True)
def _keep_whole(plane: Any, faces_key: Any, smooth: Any, merged: Any, counts: Any) -> None:
    """Undo merging where it reached off the sculpture or on to it, and where a plane shows one state alone."""
    for y in range(plane.shape[0]):
        for x in range(plane.shape[1]):
            if plane[y, x] >= 0:
                counts[plane[y, x], smooth[y, x]] += 1
    for y in range(plane.shape[0]):
        for x in range(plane.shape[1]):
            k = plane[y, x]
            if merged[y, x] == smooth[y, x]:
                continue
            if k < 0 or merged[y, x] == 2 or not faces_key[k] or counts[k, merged[y, x]] == 0:
                merged[y, x] = smooth[y, x]
