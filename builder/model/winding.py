"""Faces turned so that neighbours agree and outside is outside."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from builder.arrays import Bools
from builder.model.triangles import Indices, Triangles, edges_of


def agreeing(triangles: Triangles) -> tuple[Triangles, int]:
    """The triangles wound so that neighbours agree, and on how many edges they cannot (a one-sided surface).

    Each face stands twice in a graph, as it is and turned over; neighbours are joined as they agree. A connected part
    of the graph is then one way of winding a body, and the one that turns fewer faces is taken.
    """
    count = len(triangles.faces)
    edges = edges_of(triangles)
    one, other = edges.pairs()
    agree = edges.forward[one] != edges.forward[other]
    f, g = one // 3, other // 3
    rows = np.concatenate([f, f + count])
    columns = np.concatenate([np.where(agree, g, g + count), np.where(agree, g + count, g)])
    joined = coo_array((np.ones(len(rows), np.int8), (rows, columns)), shape=(2 * count, 2 * count))
    ways, way = connected_components(joined, directed=False)
    kept, turned = way[:count], way[count:]
    stay = np.bincount(kept, minlength=ways)
    flip: Bools = stay[kept] < stay[turned]
    # where both ways turn as many, the lower label decides, the same for the whole body
    flip |= (stay[kept] == stay[turned]) & (kept > turned)
    result = Triangles(triangles.vertices, np.where(flip[:, None], triangles.faces[:, ::-1], triangles.faces))
    quarrels = int((flip[f] ^ flip[g] ^ ~agree).sum())
    return result, quarrels


def outward(triangles: Triangles, body: Indices) -> Triangles:
    """The triangles with each body turned over whose signed volume is negative; ``body`` (m,) numbers the bodies.

    Open bodies count as if each open edge were joined to the middle of the body's open edges.
    """
    bodies = int(body.max()) + 1 if len(body) else 0
    volume = np.bincount(body, triangles.volumes(), bodies)
    edges = edges_of(triangles)
    sides = np.flatnonzero(edges.count[edges.edge] == 1)
    if len(sides):
        start = triangles.vertices[triangles.faces.ravel()[sides]]
        end = triangles.vertices[np.roll(triangles.faces, -1, axis=1).ravel()[sides]]
        owner = body[sides // 3]
        weight = np.maximum(np.bincount(owner, minlength=bodies), 1)
        middle = np.stack([np.bincount(owner, start[:, k], bodies) / weight for k in range(3)], axis=1)[owner]
        centre = triangles.vertices.mean(axis=0)
        lids = np.einsum("ij,ij->i", middle - centre, np.cross(end - centre, start - centre)) / 6
        volume += np.bincount(owner, lids, bodies)
    flip = (volume < 0)[body]
    return Triangles(triangles.vertices, np.where(flip[:, None], triangles.faces[:, ::-1], triangles.faces))
