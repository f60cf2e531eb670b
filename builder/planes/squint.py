"""The form seen with half-closed eyes: small bumps gone, so that they do not decide where planes meet."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array, diags_array
from scipy.sparse.linalg import cg

from builder.arrays import Floats
from builder.planes.skin import Skin

_FLATTEST = 0.05
"""Least and most weight of a side against its equilateral one: slivers would else outweigh all."""
_STEEPEST = 5.0


def squinted(skin: Skin, length: float, on_mirror: bool) -> Floats:
    """(n, 3) the points after diffusing for the square of ``length``, one implicit step (Desbrun et al. 1999).

    Open edges lie on the mirror x = 0 when ``on_mirror``, and stay there.
    """
    count = len(skin.vertices)
    corners = skin.vertices[skin.faces]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1) / 2
    mass = np.bincount(skin.faces.ravel(), np.repeat(area / 3, 3), count)
    rows, columns, values = [], [], []
    for k in range(3):
        one, other = skin.faces[:, (k + 1) % 3], skin.faces[:, (k + 2) % 3]
        p, q = (corners[:, (k + j) % 3] - corners[:, k] for j in (1, 2))
        cotangent = np.einsum("ij,ij->i", p, q) / np.maximum(2 * area, 1e-300)
        weight = np.clip(cotangent / 2, _FLATTEST, _STEEPEST)
        rows += [one, other]
        columns += [other, one]
        values += [weight, weight]
    links = coo_array((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), (count, count)).tocsr()
    laplace = diags_array(np.asarray(links.sum(axis=1)).ravel()) - links
    mass = np.maximum(mass, 1e-12 * mass.max())
    system = (diags_array(mass) + length**2 * laplace).tocsr()
    scale = diags_array(1 / system.diagonal())
    smooth = np.array(skin.vertices)
    for axis in range(3):
        smooth[:, axis] = cg(system, mass * skin.vertices[:, axis], smooth[:, axis], rtol=1e-9, M=scale)[0]
    if on_mirror:
        face, side = np.nonzero(skin.beside < 0)
        smooth[skin.faces[face, side], 0] = 0.0
        smooth[skin.faces[face, (side + 1) % 3], 0] = 0.0
    return smooth
