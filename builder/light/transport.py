"""The way light goes round between surfaces: once per model, whatever the lamps and the finish."""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numba
import numpy as np

from builder.arrays import Bools, Floats, Ints, Singles, frozen
from builder.light.buried import open_neighbours
from builder.light.lamps import GOLDEN, PLASTIC
from builder.light.origins import LIFT, border_patches
from builder.model.model import Model, Part
from builder.model.tracer import Tracer

GATHER_RAYS = 192
"""Rays each vertex sends out to see where its indirect light comes from."""

SKY = -1
"""A ray that meets nothing and leaves over the wall."""
DARK = -2
"""A ray that meets the inside of something, such as the underside of a body resting here, or gets below the ground."""

_CHUNK_RAYS = 1 << 18


@dataclass(frozen=True, slots=True, eq=False)
class Transport:
    """What every vertex of the scene sees, by rays of equal weight (chosen in proportion to the cosine).

    seen (n, k) int32: the vertex met by each ray, or :data:`SKY` or :data:`DARK`; sky (n,) float32: share of rays that
    see the sky.
    """

    seen: Ints
    sky: Singles

    def __post_init__(self) -> None:
        """Freeze the arrays and check that they belong together."""
        object.__setattr__(self, "seen", frozen(self.seen, "i4", (None, None)))
        object.__setattr__(self, "sky", frozen(self.sky, "f4", (len(self.seen),)))

    @property
    def buried(self) -> Bools:
        """(n,) whether each vertex is shut in: most of its rays meet the inside of something."""
        shut: Bools = (self.seen == DARK).mean(axis=1) > 0.5
        return shut


def gather(model: Model, rays: int = GATHER_RAYS) -> Transport:
    """Look around from every vertex of the scene.

    Each vertex turns and shifts one even pattern of ``rays`` directions in its own way, so that neighbours make
    different errors and a little smoothing removes them. A vertex on a border or crease looks out from all over its own
    triangles. A ray that lands within a triangle is handed to one of its corners, with the chance of the corner's
    weight there: on the mean that is the interpolated light. A corner that is shut in under a body hands it on to a
    neighbour in the open.
    """
    scene = model.scene
    seen = look_round(model, rays, len(scene.vertices), Tracer(scene))
    transport = Transport(seen, (seen == SKY).mean(axis=1))
    near = open_neighbours(scene, transport.buried)
    _hand_on(near.indptr.astype(np.int32), near.indices.astype(np.int32), seen)
    return Transport(seen, transport.sky)


def look_round(model: Model, rays: int, count: int, tracer: Tracer) -> Ints:
    """What the first ``count`` vertices of the scene see, as in :class:`Transport` but with shut-in corners not handed
    on: (count, rays) int32. ``tracer`` holds the scene.
    """
    scene = model.scene
    grounded = bool((scene.parts == Part.GROUND).any())
    patches = border_patches(scene)
    seen = np.full((count, rays), DARK, np.int32)
    turns = np.arange(rays) * (GOLDEN * math.tau)
    spokes = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    step = max(1, _CHUNK_RAYS // rays)

    def work(start: int) -> None:
        stop = min(start + step, count)
        origins, directions = (
            np.zeros(((stop - start) * rays, 3), np.float32),
            np.zeros(((stop - start) * rays, 3), np.float32),
        )
        _look(
            scene.vertices, scene.normals, scene.faces, patches.starts, patches.faces, patches.reach, start, stop,
            spokes, LIFT * tracer.extent_mm, origins, directions,
        )  # fmt: skip
        hits = tracer.first(origins, directions)
        _land(scene.vertices, scene.faces, directions, start, hits.face, hits.u, hits.v, grounded, seen[start:stop])

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(work, range(0, count, step)))
    return seen


@numba.njit(cache=True, nogil=True)
def _chance(vertex: int, number: int) -> float:
    """A number in [0, 1) that depends on nothing but its arguments: the finaliser of SplitMix64 (G. Steele, D. Lea,
    C. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014).
    """
    bits = (np.uint64(vertex) << np.uint64(20)) + np.uint64(number) + np.uint64(1)
    bits = bits * np.uint64(0x9E3779B97F4A7C15)
    bits = (bits ^ (bits >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    bits = (bits ^ (bits >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    bits = bits ^ (bits >> np.uint64(31))
    return float(bits >> np.uint64(11)) / 9007199254740992.0


@numba.njit(cache=True, nogil=True)
def _look(
    vertices: Floats, normals: Floats, corners: Ints, patch: Ints, patch_faces: Ints, reach: Floats, first: int,
    end: int, spokes: Floats, lift: float, origins: Singles, directions: Singles,
) -> None:  # fmt: skip
    """Fill in rays over each hemisphere, in proportion to the cosine: an even pattern on the disc below it, raised.

    They start a little above the vertex, or, where it has a patch of triangles, all over that: most in the middle,
    where the vertex is, none at the rim.
    """
    rays = len(spokes)
    for i in range(first, end):
        x, y, z = vertices[i]
        nx, ny, nz = normals[i]
        shift, turn = _chance(i, 0), math.tau * _chance(i, 1)
        cos_t, sin_t = math.cos(turn), math.sin(turn)
        begin, stop = patch[i], patch[i + 1]
        for k in range(rays):
            if stop > begin:
                which = (shift + k * PLASTIC[0]) % 1.0
                face = begin
                while reach[face] < which and face < stop - 1:
                    face += 1
                low = reach[face - 1] if face > begin else 0.0
                # weight of the vertex itself, in proportion to itself over the triangle: the inverse of 3t^2 - 2t^3
                inner = min(max((which - low) / max(reach[face] - low, 1e-12), 0.0), 1.0)
                own = 0.5 - math.sin(math.asin(1.0 - 2.0 * inner) / 3.0)
                side = (turn / math.tau + k * PLASTIC[1]) % 1.0
                x, y, z, nx, ny, nz = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
                others = 0
                for c in range(3):
                    at = corners[patch_faces[face], c]
                    if at == i:
                        weight = own
                    else:
                        weight = (1.0 - own) * (side if others == 0 else 1.0 - side)
                        others += 1
                    x, y, z = x + weight * vertices[at, 0], y + weight * vertices[at, 1], z + weight * vertices[at, 2]
                    nx, ny, nz = (
                        nx + weight * normals[at, 0],
                        ny + weight * normals[at, 1],
                        nz + weight * normals[at, 2],
                    )
                length = max(math.sqrt(nx * nx + ny * ny + nz * nz), 1e-12)
                nx, ny, nz = nx / length, ny / length, nz / length
            # a frame round the normal: T. Duff et al., "Building an orthonormal basis, revisited", JCGT 6(1), 2017
            sign = math.copysign(1.0, nz)
            a = -1.0 / (sign + nz)
            b = nx * ny * a
            square = (k + shift) / rays
            out = math.sqrt(square)
            p = out * (spokes[k, 0] * cos_t - spokes[k, 1] * sin_t)
            q = out * (spokes[k, 0] * sin_t + spokes[k, 1] * cos_t)
            r = math.sqrt(1.0 - square)
            ray = (i - first) * rays + k
            origins[ray, 0], origins[ray, 1], origins[ray, 2] = x + nx * lift, y + ny * lift, z + nz * lift
            directions[ray, 0] = p * (1.0 + sign * nx * nx * a) + q * b + r * nx
            directions[ray, 1] = p * sign * b + q * (sign + ny * ny * a) + r * ny
            directions[ray, 2] = -p * sign * nx - q * ny + r * nz


@numba.njit(cache=True, nogil=True)
def _land(
    vertices: Floats,
    faces: Ints,
    directions: Singles,
    first: int,
    face: Ints,
    u: Singles,
    v: Singles,
    grounded: bool,
    seen: Ints,
) -> None:
    """Fill in the vertex that each ray is handed to."""
    rays = seen.shape[1]
    for i in range(len(seen)):
        for k in range(rays):
            at = i * rays + k
            met = face[at]
            if met < 0:
                seen[i, k] = DARK if grounded and directions[at, 2] < 0.0 else SKY
                continue
            p, q, r = faces[met]
            ax, ay, az = vertices[q] - vertices[p]
            bx, by, bz = vertices[r] - vertices[p]
            towards = (
                directions[at, 0] * (ay * bz - az * by)
                + directions[at, 1] * (az * bx - ax * bz)
                + directions[at, 2] * (ax * by - ay * bx)
            )
            if towards > 0.0:
                seen[i, k] = DARK
                continue
            draw = _chance(first + i, 2 + k)
            seen[i, k] = q if draw < u[at] else r if draw < u[at] + v[at] else p


@numba.njit(cache=True, nogil=True)
def _hand_on(starts: Ints, neighbours: Ints, seen: Ints) -> None:
    """Replace vertices that have a list of neighbours, ``neighbours[starts[i] : starts[i + 1]]``, by one from it."""
    rays = seen.shape[1]
    for i in range(len(seen)):
        for k in range(rays):
            met = seen[i, k]
            if met >= 0 and starts[met + 1] > starts[met]:
                some = starts[met + 1] - starts[met]
                seen[i, k] = neighbours[starts[met] + int(some * _chance(i, 2 + rays + k))]
