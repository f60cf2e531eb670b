"""A skin with few faces, from which planes are cut: thousands of faces say as much about big planes as hundreds of
thousands, and are cut a hundred times faster.
"""

from __future__ import annotations

import fast_simplification
import numpy as np

from builder.model.boxes import boxed
from builder.model.spread import spread
from builder.model.triangles import Triangles
from builder.planes.skin import Skin, sewn

FEWEST_FACES = 6000
FACES_PER_PLANE = 60
"""With 6000 faces, 12,000 or all, 40 planes lie equally far from a scan, to 0.02 % of its size (measured)."""
_TRIES = (1, 2, 4)
MOST_MOVED = 0.003
"""How far the surface may move, in sizes: a third of what 100 planes move it by on average at their best."""
_SAMPLES = 3000
_SHAKE = 1e-5
"""Points are moved by so many sizes, which keeps collapses on flat ground in no order that tears it."""


def lighter(skin: Skin, planes: int) -> Skin:
    """The skin with no more faces than ``planes`` planes need, or itself where it cannot be reduced without a tear.

    Edges collapse where they change the shape least (Garland and Heckbert 1997, quadric error), by fast_simplification,
    which can leave a torn surface: only a result with as many open edges, bodies and handles as before is taken, and
    only one that lies where the surface was.
    """
    wanted = max(FEWEST_FACES, FACES_PER_PLANE * planes)
    size = float(np.ptp(skin.vertices, axis=0).max())
    for attempt, times in enumerate(_TRIES):
        target = wanted * times
        if len(skin.faces) <= 1.3 * target:
            break
        shake = np.random.default_rng(attempt).uniform(-_SHAKE, _SHAKE, skin.vertices.shape) * size
        vertices, faces = fast_simplification.simplify(
            skin.vertices + shake, np.array(skin.faces, np.int32), target_count=target
        )[:2]
        few = sewn(Triangles(vertices, faces))
        if _as_whole(few, skin) and len(few.faces) <= 1.5 * target:
            return few
    return skin


def _as_whole(few: Skin, skin: Skin) -> bool:
    """Whether nothing was torn, joined or moved."""
    if few.closed != skin.closed or few.euler != skin.euler:
        return False
    if few.bodies().max() != skin.bodies().max():
        return False
    gap = boxed(few.vertices, few.faces).nearest(spread(skin.vertices, skin.faces, _SAMPLES))[2]
    return float(gap.max()) <= MOST_MOVED * float(np.ptp(skin.vertices, axis=0).max())
