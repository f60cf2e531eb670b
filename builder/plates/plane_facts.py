"""What is measured of the planes that a view shows."""

from __future__ import annotations

import numpy as np

from builder.arrays import Floats, Ints
from builder.camera.sight import Eye
from builder.planes.planes import Planes
from builder.plates.plate import FactValue

TOP_DEG = 30.0
"""A plane whose normal rises this far above level is a top plane, one whose normal falls as far below it an under
plane. The words are common practice; the angle is our division: a third of the way from upright to level."""
FRONT_DEG = 45.0
"""Of the rest those turned no further than this from the eye, seen from above, are front planes, all others side
planes: our division too."""
FACINGS = ("top", "side left", "side right", "under", "front")
TOP, LEFT, RIGHT, UNDER, FRONT = range(5)


def planes_facts(planes: Planes, plane: Ints, eye: Eye, level: str) -> dict[str, FactValue]:
    """The facts ``planes_<level>_...`` of :data:`~builder.plates.fact_list.FACTS`, and, of the middle level, how its
    planes face and the largest of them.

    plane (h, w) int32: the plane that each pixel sees, -1 for none.
    """
    pixels = np.bincount(plane[plane >= 0], minlength=planes.count)
    facts: dict[str, FactValue] = {
        f"planes_{level}_count": planes.count,
        f"planes_{level}_seen": int((pixels > 0).sum()),
        f"planes_{level}_rms_mm": planes.rms_mm,
        f"planes_{level}_greatest_mm": planes.greatest_mm,
    }
    if level != "middle":
        return facts
    facing = facings(planes.normals, planes.centres, eye)
    by_facing = np.bincount(facing, pixels, len(FACINGS)) / pixels.sum()
    largest = int(pixels.argmax())
    towards = eye.position - planes.centres[largest]
    normal = planes.normals[largest]
    return facts | {
        "planes_top_share": float(by_facing[TOP]),
        "planes_side_share": float(by_facing[LEFT] + by_facing[RIGHT]),
        "planes_under_share": float(by_facing[UNDER]),
        "largest_plane_share": float(pixels[largest] / pixels.sum()),
        "largest_plane_facing": FACINGS[facing[largest]],
        "largest_plane_off_level_deg": _degrees(abs(normal[2])),
        "largest_plane_from_eye_deg": _degrees(float(normal @ towards / np.linalg.norm(towards))),
    }


def facings(normals: Floats, centres: Floats, eye: Eye) -> Ints:
    """(k,) index into :data:`FACINGS` of planes with these unit normals (k, 3) and centres (k, 3)."""
    up = np.degrees(np.arcsin(np.clip(normals[:, 2], -1.0, 1.0)))
    towards = eye.position - centres
    right = np.stack([-towards[:, 1], towards[:, 0]], axis=1)
    ahead = np.einsum("ij,ij->i", normals[:, :2], towards[:, :2])
    across = np.einsum("ij,ij->i", normals[:, :2], right)
    turn = np.degrees(np.arctan2(across, ahead))
    facing = np.where(np.abs(turn) <= FRONT_DEG, FRONT, np.where(turn > 0, RIGHT, LEFT))
    facing = np.where(up >= TOP_DEG, TOP, np.where(up <= -TOP_DEG, UNDER, facing))
    return facing.astype(np.int32)


def _degrees(cosine: float) -> float:
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))
