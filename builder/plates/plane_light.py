"""The light of each plane: one value where the key lamp reaches it, one in the shadow that something casts on it.

Both are means over the surface of the plane, seen or not, so that a plane keeps its values from eye to eye.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from builder.arrays import Bools, Floats, Singles, frozen
from builder.light.lit import Lit
from builder.model.model import Part
from builder.planes.planes_model import PlanesModel
from builder.plates.causes import HALF

LEAST = 0.02
"""Share of a plane's area from which its lit or shadowed corners speak for the rest of it."""


@dataclass(frozen=True, slots=True, eq=False)
class PlaneLight:
    """Luminance of the planes, relative and exposed.

    faces_key (k,) bool: whether a plane is turned to the middle of the key lamp; value (k, 2) float64: luminance in the
    light and in cast shadow, the same twice for a plane turned away; key_share (n,) float32: the share of the key's
    light that arrives at each vertex of the sculpture.
    """

    faces_key: Bools
    value: Floats
    key_share: Singles

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "faces_key", frozen(self.faces_key, np.bool_, (None,)))
        object.__setattr__(self, "value", frozen(self.value, "f8", (len(self.faces_key), 2)))
        object.__setattr__(self, "key_share", frozen(self.key_share, "f4", (None,)))


def plane_light(broken: PlanesModel, lit: Lit) -> PlaneLight:
    """The light of every plane of a model under a lighting."""
    planes, body = broken.planes, broken.model.body_vertices
    key, given = lit.direct[0, :body].astype(np.float64), lit.open[0, :body].astype(np.float64)
    share = np.divide(key, given, out=np.zeros(body), where=given > 0.0)
    elsewhere = lit.indirect[:body] + lit.direct[1:, :body].sum(axis=0, dtype=np.float64)
    faces_key = np.einsum("ij,ij->i", lit.emitters[0].centre - planes.centres, planes.normals) > 0.0
    arrives = share >= HALF
    whole = _mean(broken, key + elsewhere, np.ones(body))
    bright = _mean(broken, key + elsewhere, arrives.astype(np.float64), given + elsewhere)
    dark = _mean(broken, key + elsewhere, (~arrives).astype(np.float64), elsewhere)
    value = np.where(faces_key[:, None], np.stack([bright, dark], axis=1), whole[:, None])
    return PlaneLight(faces_key, lit.facts.exposure * float(lit.reflectance[Part.MODEL]) * value, share)


def _mean(broken: PlanesModel, light: Floats, counted: Floats, instead: Floats | None = None) -> Floats:
    """(k,) mean over each plane's area of light (n,) on vertices that are ``counted`` (n,), 0 or 1; where these make up
    too little of it, the mean over all of it of the light ``instead``.
    """
    scene, count = broken.model.scene, broken.planes.count
    corner = scene.faces[: broken.model.body_faces].ravel()
    owner = np.repeat(broken.plane_of_face, 3)
    p, q, r = (scene.vertices[scene.faces[: broken.model.body_faces, k]] for k in range(3))
    area = np.repeat(np.linalg.norm(np.cross(q - p, r - p), axis=1), 3)
    total = np.maximum(np.bincount(owner, area, count), 1e-300)
    weight = area * counted[corner]
    part = np.bincount(owner, weight, count)
    mean = np.bincount(owner, weight * light[corner], count) / np.maximum(part, 1e-300)
    if instead is None:
        return np.asarray(mean)
    return np.where(part >= LEAST * total, mean, np.bincount(owner, area * instead[corner], count) / total)
