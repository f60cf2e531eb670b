"""The sculpture's surface made ready for cutting: points joined, every edge with one face on either side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from builder.arrays import Floats, frozen
from builder.model.model import Model
from builder.model.triangles import Corners, Edges, Indices, Triangles, edges_of


@dataclass(frozen=True, slots=True, eq=False)
class Skin:
    """An oriented surface without edges or points where sheets merely touch.

    vertices (n, 3) float64; faces (m, 3) int32, counter-clockwise from outside; beside (m, 3) int32, the face across
    the side from corner k to the next, -1 at an open edge.
    """

    vertices: Floats
    faces: Corners
    beside: Corners

    def __post_init__(self) -> None:
        """Freeze the arrays and check that they belong together."""
        object.__setattr__(self, "vertices", frozen(self.vertices, "f8", (None, 3)))
        object.__setattr__(self, "faces", frozen(self.faces, "i4", (None, 3)))
        object.__setattr__(self, "beside", frozen(self.beside, "i4", (len(self.faces), 3)))

    @property
    def closed(self) -> bool:
        """Whether no edge is open."""
        return len(self.faces) > 0 and bool((self.beside >= 0).all())

    @property
    def euler(self) -> int:
        """Points - edges + faces."""
        open_sides = int((self.beside < 0).sum())
        edges = (self.beside.size - open_sides) // 2 + open_sides
        return len(self.vertices) - edges + len(self.faces)

    def bodies(self) -> Indices:
        """(m,) the number of the body that each face belongs to."""
        count = len(self.faces)
        one, side = np.nonzero(self.beside >= 0)
        joined = coo_array((np.ones(len(one), np.int8), (one, self.beside[one, side])), shape=(count, count))
        return np.asarray(connected_components(joined, directed=False)[1], np.int64)


def skin_of(model: Model) -> Skin:
    """The sculpture's skin: vertices that creases split are one point again."""
    vertices = model.scene.vertices[: model.body_vertices]
    points, place = np.unique(vertices, axis=0, return_inverse=True)
    return sewn(Triangles(points, place.ravel()[model.scene.faces[: model.body_faces]]))


def sewn(triangles: Triangles) -> Skin:
    """The triangles as a skin.

    Faces meet across an edge that two of them share, running along it in opposite ways. Where more do, as many each
    way, bodies touch: they are parted. Any other edge is cut open. A point gets as many copies as there are fans of
    faces round it.
    """
    a, b, c = triangles.faces.T
    faces = triangles.faces[(a != b) & (b != c) & (c != a)]
    edges = edges_of(Triangles(triangles.vertices, faces))
    one, other = edges.pairs()
    against = edges.forward[one] != edges.forward[other]
    crowded_one, crowded_other = _crowded(triangles.vertices, faces, edges)
    one = np.concatenate([one[against], crowded_one])
    other = np.concatenate([other[against], crowded_other])
    beside = np.full(3 * len(faces), -1, np.int64)
    beside[one], beside[other] = other // 3, one // 3
    place, first = _fans(faces, one, other)
    return Skin(triangles.vertices[faces.ravel()[first]], place.reshape(-1, 3), beside.reshape(-1, 3))


def _crowded(vertices: Floats, faces: Corners, edges: Edges) -> tuple[Indices, Indices]:
    """The sides that meet at edges where more than two do: each with the next round the edge, through the body."""
    one: list[int] = []
    other: list[int] = []
    for edge in np.flatnonzero((edges.count > 2) & edges.balanced):
        sides = edges.order[edges.first[edge] : edges.first[edge] + edges.count[edge]]
        start, end = vertices[edges.ends[edge]]
        apex = vertices[faces[sides // 3, (sides % 3 + 2) % 3]] - start
        along = (end - start) / max(float(np.linalg.norm(end - start)), 1e-300)
        across = apex - (apex @ along)[:, None] * along
        turn = np.arctan2(np.cross(across[0], across) @ along, across @ across[0])
        round_edge = sides[np.argsort(turn, kind="stable")]
        ahead = edges.forward[round_edge]
        # the body lies behind a face: from one that runs along the edge, the way against the turn; where faces fold
        # over one another a way along is matched with any that is left
        waiting: list[int] = []
        for side, forward in zip([*round_edge, *round_edge], [*ahead, *ahead], strict=True):
            if side in one or side in other:
                continue
            if not forward:
                waiting.append(int(side))
            elif waiting:
                one.append(int(side))
                other.append(waiting.pop())
    return np.array(one, np.int64), np.array(other, np.int64)


def _fans(faces: Corners, one: Indices, other: Indices) -> tuple[Indices, Indices]:
    """(3 m,) the fan that each corner belongs to and, of each fan, its first corner."""
    corners = faces.size
    rows = np.concatenate([one, _next(one)])
    columns = np.concatenate([_next(other), other])
    joined = coo_array((np.ones(len(rows), np.int8), (rows, columns)), shape=(corners, corners))
    fan = connected_components(joined, directed=False)[1]
    _, first, place = np.unique(fan, return_index=True, return_inverse=True)
    # numbered as they come in the faces, so that copies of one point stand where their faces do
    order = np.argsort(first, kind="stable")
    rank = np.zeros(len(first), np.int64)
    rank[order] = np.arange(len(first))
    return rank[place.ravel()], first[order]


def _next(sides: Indices) -> Indices:
    """The corner that each side runs to."""
    return sides // 3 * 3 + (sides % 3 + 1) % 3
