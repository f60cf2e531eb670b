"""To which side the seen surface is turned."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from builder.model.model import Part
from builder.plates.plate import FactValue, Shown


def facing_shares(shown: Shown) -> dict[str, FactValue]:
    """Shares of the sculpture seen that face mostly up, down, the eye's side, and the viewer's left and right.

    Up is the model's up; the eye's side and left and right are level. Every pixel on the sculpture counts for the
    direction that its surface faces most. The shares sum to 1.
    """
    names = ("top", "under", "front", "left", "right")
    right = shown.sight.eye.world_from_camera[:3, 0]
    up = np.array((0.0, 0.0, 1.0))
    ways = np.stack([up, -up, np.cross(right, up), -right, right]).astype(np.float32)
    counts = np.zeros(len(names), np.int64)
    _count(shown.footing.part, shown.footing.normal, int(Part.MODEL), ways, counts)
    return {f"{name}_share": float(share) for name, share in zip(names, counts / counts.sum(), strict=True)}


@njit(cache=True, nogil=True)
def _count(part: Any, normal: Any, counted: int, ways: Any, counts: Any) -> None:
    for y in range(part.shape[0]):
        for x in range(part.shape[1]):
            if part[y, x] != counted:
                continue
            best, most = 0, np.float32(-2.0)
            for way in range(len(ways)):
                facing = np.float32(0.0)
                for k in range(3):
                    facing += ways[way, k] * normal[y, x, k]
                if facing > most:
                    best, most = way, facing
            counts[best] += 1
