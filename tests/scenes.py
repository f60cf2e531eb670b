"""Small scenes of known shape, made by hand: balls, sheets, boxes, round walls, rods."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import trimesh
from scipy.spatial.transform import Rotation

from builder.arrays import Floats, Ints
from builder.model.model import Model, ModelFacts, Part, Surface


@dataclass(frozen=True)
class Piece:
    """Triangles of one part with their shading normals, counter-clockwise seen from where the light is."""

    part: Part
    vertices: Floats
    faces: Ints
    normals: Floats

    def inside_out(self) -> Piece:
        return Piece(self.part, self.vertices, self.faces[:, ::-1], -self.normals)

    def moved(self, *by: float) -> Piece:
        return Piece(self.part, self.vertices + np.array(by), self.faces, self.normals)

    def turned(self, *turns: float) -> Piece:
        turn = Rotation.from_euler("xyz", turns).as_matrix()
        return Piece(self.part, self.vertices @ turn.T, self.faces, self.normals @ turn.T)

    def scaled(self, by: float) -> Piece:
        return Piece(self.part, self.vertices * by, self.faces, self.normals)


def ball(radius: float, subdivisions: int = 3, part: Part = Part.MODEL) -> Piece:
    """A sphere about the origin with smooth normals; vertices on the sphere."""
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions)
    unit = np.array(mesh.vertices)
    return Piece(part, unit * radius, np.array(mesh.faces), unit)


def bumpy(radius: float, subdivisions: int = 5, part: Part = Part.MODEL) -> Piece:
    """A ball with hollows and swellings, smooth normals by area."""
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions)
    unit = np.array(mesh.vertices)
    x, y, z = unit.T
    swell = 1.0 + 0.18 * np.sin(5 * x) * np.sin(4 * y + 1) + 0.10 * np.sin(9 * z) * np.cos(7 * x)
    vertices = unit * (radius * swell)[:, None]
    return smooth(part, vertices, np.array(mesh.faces))


def smooth(part: Part, vertices: Floats, faces: Ints) -> Piece:
    """Any triangles, with normals averaged over the triangles round each vertex, by area."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    each = np.cross(b - a, c - a)
    sums = np.stack([np.bincount(faces.ravel(), np.repeat(each[:, k], 3), len(vertices)) for k in range(3)], axis=1)
    return Piece(part, vertices, faces, sums / np.linalg.norm(sums, axis=1)[:, None])


def sheet(width: float, depth: float, z: float = 0.0, cells: int = 1, part: Part = Part.GROUND) -> Piece:
    """A level rectangle about the z axis that faces up, ``cells`` x ``cells`` squares of two triangles."""
    x, y = np.meshgrid(np.linspace(-width / 2, width / 2, cells + 1), np.linspace(-depth / 2, depth / 2, cells + 1))
    vertices = np.stack([x.ravel(), y.ravel(), np.full(x.size, z)], axis=1)
    corner = (np.arange(cells)[:, None] * (cells + 1) + np.arange(cells)[None, :]).ravel()
    row = cells + 1
    faces = np.concatenate(
        [
            np.stack([corner, corner + 1, corner + row + 1], axis=1),
            np.stack([corner, corner + row + 1, corner + row], axis=1),
        ]
    )
    return Piece(part, vertices, faces, np.tile([0.0, 0.0, 1.0], (len(vertices), 1)))


def box(width: float, depth: float, height: float, part: Part = Part.PLINTH, cells: int = 1) -> Piece:
    """A box about the z axis from z = 0 up, six flat sides with their own vertices."""
    size = np.array([width, depth, height]) / 2
    side = sheet(2, 2, 1, cells)
    pieces = []
    for axis in range(3):
        for sign in (1.0, -1.0):
            turn = np.zeros((3, 3))
            turn[axis, 2] = sign
            turn[(axis + 1) % 3, 0] = 1.0
            turn[(axis + 2) % 3, 1] = sign
            vertices, normals = side.vertices @ turn.T, side.normals @ turn.T
            pieces.append(Piece(part, (vertices + np.array([0.0, 0.0, 1.0])) * size, side.faces, normals))
    return joined(part, pieces)


def wall(radius: float, bottom: float, top: float, sides: int = 96, rows: int = 8) -> Piece:
    """A round wall that faces inwards."""
    turn = np.arange(sides) * (2 * np.pi / sides)
    z = np.linspace(bottom, top, rows + 1)
    vertices = np.stack(
        [
            np.tile(radius * np.cos(turn), rows + 1),
            np.tile(radius * np.sin(turn), rows + 1),
            np.repeat(z, sides),
        ],
        axis=1,
    )
    here = (np.arange(rows)[:, None] * sides + np.arange(sides)).ravel()
    beside = (np.arange(rows)[:, None] * sides + (np.arange(sides) + 1) % sides).ravel()
    faces = np.concatenate(
        [
            np.stack([here, here + sides, beside + sides], axis=1),
            np.stack([here, beside + sides, beside], axis=1),
        ]
    )
    normals = np.stack([-vertices[:, 0], -vertices[:, 1], np.zeros(len(vertices))], axis=1) / radius
    return Piece(Part.BACKDROP, vertices, faces, normals)


def rod(radius: float, height: float, sides: int = 48, part: Part = Part.MODEL) -> Piece:
    """An upright closed cylinder from z = 0 up."""
    mesh = trimesh.creation.cylinder(radius=radius, height=height, sections=sides)
    mesh.unmerge_vertices()
    piece = Piece(part, np.array(mesh.vertices), np.array(mesh.faces), np.array(mesh.vertex_normals))
    return piece.moved(0, 0, height / 2)


def joined(part: Part, pieces: list[Piece]) -> Piece:
    """Several pieces as one piece of ``part``."""
    starts = np.cumsum([0] + [len(piece.vertices) for piece in pieces])
    return Piece(
        part,
        np.concatenate([piece.vertices for piece in pieces]),
        np.concatenate([piece.faces + start for piece, start in zip(pieces, starts[:-1], strict=True)]),
        np.concatenate([piece.normals for piece in pieces]),
    )


def surface(*pieces: Piece) -> Surface:
    """Pieces as one surface, in the order given."""
    whole = joined(pieces[0].part, list(pieces))
    parts = np.concatenate([np.full(len(piece.faces), piece.part) for piece in pieces])
    return Surface(whole.vertices, whole.faces, whole.normals, parts)


def scene_model(*pieces: Piece, name: str = "scene") -> Model:
    """A model of the pieces: those of the sculpture first, then plinth, ground and backdrop."""
    bodies = [piece for piece in pieces if piece.part == Part.MODEL]
    rest = sorted((piece for piece in pieces if piece.part != Part.MODEL), key=lambda piece: piece.part)
    body = joined(Part.MODEL, bodies)
    scene = surface(*bodies, *rest)
    mesh = trimesh.Trimesh(body.vertices, body.faces, process=True)
    width, depth, height = body.vertices.max(axis=0) - body.vertices.min(axis=0)
    facts = ModelFacts(
        width_mm=float(width),
        depth_mm=float(depth),
        height_mm=float(height),
        faces=len(body.faces),
        faces_in_file=len(body.faces),
        area_mm2=float(mesh.area),
        volume_mm3=float(mesh.volume) if mesh.is_watertight else None,
        closed=bool(mesh.is_watertight),
        holes_left=0,
        deviation_mm=0.0,
    )
    return Model(
        name=name,
        scene=scene,
        body_faces=len(body.faces),
        body_vertices=len(body.vertices),
        ground_mm=float(scene.vertices[:, 2].min()),
        facts=facts,
        notices=(),
    )


def room(
    radius: float, ground: float, top: float, cells: int = 60, sides: int = 96, rows: int = 12
) -> tuple[Piece, Piece]:
    """Ground and round wall; the ground reaches past the wall all round."""
    return sheet(2.2 * radius, 2.2 * radius, ground, cells), wall(radius, ground, top, sides, rows)
