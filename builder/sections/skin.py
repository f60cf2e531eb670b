"""From inside and outside to a closed surface that passes through the contours."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from skimage.measure import marching_cubes

from builder.arrays import Singles
from builder.sections.lattice import Lattice
from builder.sections.seams import Seam, drawn_in
from builder.sections.sections import Contour
from builder.sections.sliced import Body

LEAST = 1e-3
"""No point of the grid is nearer to the surface than this share of a step: no triangle shrinks to nothing."""


def skin(field: Singles, lattice: Lattice, contours: tuple[Contour, ...]) -> Body:
    """The surface where ``field`` (c, b, a) passes from negative to positive, flat at its first and last layer, and at
    its last row where the lattice is a relief's.

    Marching cubes (Lewiner and others, 2003, as scikit-image has it) in steps of the grid; then every point in a
    contour's plane is moved along its grid line onto the contour, and the contour's own corners are put in between.
    """
    least = LEAST * lattice.step_mm
    field = np.where(np.abs(field) < least, np.where(field < 0, -least, least), field).astype(np.float32)
    closed = np.pad(field, ((1, 1), (0, int(lattice.is_relief)), (0, 0)), constant_values=np.float32(lattice.step_mm))
    cubes: Any = marching_cubes
    steps, faces, _, _ = cubes(closed, 0.0, gradient_direction="ascent")
    steps = steps.astype(np.float64) - (1.0, 0.0, 0.0)
    count = len(lattice.layers_mm)
    height = np.interp(steps[:, 0].clip(0, count - 1), np.arange(count), lattice.layers_mm)
    origin = np.array([lattice.x_mm[0], lattice.y_mm[0]])
    last = len(lattice.y_mm) - 1
    at = np.minimum(steps[:, :0:-1], (np.inf, last))
    vertices = np.column_stack([origin + lattice.step_mm * at, height])
    seams = [
        Seam(int(row), contour.rings, contour.height_mm) for row, contour in zip(lattice.at, contours, strict=True)
    ]
    wound: NDArray[np.int64] = faces.astype(np.int64)
    on_back = steps[:, 1] > last + 1e-4
    return Body(*drawn_in(vertices, wound, steps[:, ::-1], ~on_back, seams, origin, lattice.step_mm))
