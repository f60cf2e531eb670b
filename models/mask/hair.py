"""The mask's hair: its mass, its locks and strands, and the tails that run out into the slab.

Sculpting frame of field.py, millimetres. Every function works on the whole grid in place.
"""

import numpy as np
from field import Ellipsoid, Tube, spline
from scipy.ndimage import gaussian_filter1d
from slab import SLAB_FRONT_MM

PART_X_MM = -13.0
# offset from the hairline, width, start and end along it, wave, phase
LOCKS = (
    (3.5, 4.6, 0.00, 0.90, 2.6, 0.0),
    (10.5, 6.4, 0.00, 1.00, 3.0, 0.5),
    (17.5, 3.8, 0.02, 0.93, 2.6, 1.0),
    (24.5, 6.8, 0.00, 0.97, 2.6, 1.3),
    (32.5, 4.6, 0.02, 0.86, 2.0, 1.9),
    (38.0, 6.2, 0.00, 0.76, 1.8, 2.2),
)


def hairline(side):
    """Dense (x, y) curve from the parting down one side of the face; side is +1 or -1."""
    knots = [
        (PART_X_MM, 73),
        (side * 18 + PART_X_MM * 0.4, 70.5),
        (side * 40, 57),
        (side * 55, 36),
        (side * 61, 12),
        (side * 65, -14),
        (side * 69, -38),
        (side * 70, -58),
    ]
    curve = spline(knots, 24)
    seam = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(curve, axis=0), axis=1))])
    even = np.linspace(0, seam[-1], 160)
    return np.column_stack([np.interp(even, seam, c) for c in curve.T])


def outward(curve, side):
    """Unit normals of the hairline, away from the face."""
    tangent = np.gradient(gaussian_filter1d(curve, 3, axis=0, mode="nearest"), axis=0)
    normal = side * np.column_stack([-tangent[:, 1], tangent[:, 0]])
    return normal / np.linalg.norm(normal, axis=1, keepdims=True)


def evened(z):
    """Heights along a curve without the jumps of a silhouette."""
    return gaussian_filter1d(np.maximum(z, gaussian_filter1d(z, 9, mode="nearest")), 7, mode="nearest")


def sand_hair(clay, sigma_mm):
    """Sand the crown and the two falls, and leave the face alone."""
    clay.sand(sigma_mm, (0, 85, -30), (90, 32, 60))
    for side in (1, -1):
        clay.sand(sigma_mm, (side * 86, -18, -42), (11, 32, 20))


def hair_mass(clay):
    """The body of the hair: fat tubes along the hairline on each side, and the cap behind them."""
    clay.add(Ellipsoid((0, 29, -60), (88, 82, 44)), 10)
    clay.add(Ellipsoid((PART_X_MM, 78, -8), (13, 6, 8)), 6)
    for side in (1, -1):
        curve = hairline(side)
        normal, share = outward(curve, side), np.linspace(0, 1, len(curve))
        z = evened(clay.front(curve))
        taper = np.clip((1.0 - share) / 0.3, 0.0, 1) ** 0.7
        floor = -50 - 6 * (1 - taper) ** 2
        rim = curve + 6 * normal
        clay.add(Tube(np.column_stack([rim, np.maximum(z - 5, floor), 2 + 3.5 * taper])[::3]), 5)
        near = curve + 12 * normal
        clay.add(Tube(np.column_stack([near, np.maximum(z - 6 + 3 * taper, floor), 3 + 7 * taper])[::3]), 6)
        far = curve + 22 * normal
        clay.add(Tube(np.column_stack([far, np.maximum(z - 20, floor - 4), 4 + 11 * taper])[::3]), 8)
        outer = curve + 30 * normal
        clay.add(Tube(np.column_stack([outer, floor - 1, 2 + 9.5 * taper])[::3]), 8)
    sand_hair(clay, 2.5)


def lock_path(side, curve, normal, offset, start, end, wave, phase):
    """(along, xy) of one lock: along runs 0 to 1, xy waves about the hairline moved out by offset."""
    arc_mm = np.linspace(0, np.linalg.norm(np.diff(curve, axis=0), axis=1).sum(), len(curve))
    share = np.linspace(0, 1, len(curve))
    keep = (share >= start) & (share <= end)
    along = (share[keep] - start) / (end - start)
    length = 44.0 - 3.0 * side - 8.0 * along
    sway = (
        wave * (0.6 + 0.6 * along) * np.minimum(along * 8, 1) * np.sin(2 * np.pi * arc_mm[keep] / length + phase + side)
    )
    return along, curve[keep] + (offset + sway)[:, None] * normal[keep]


def hair_locks(clay):
    """Locks of unlike width, waved, swept from the parting down either side."""
    for side in (1, -1):
        curve = hairline(side)
        normal = outward(curve, side)
        for offset, width, start, end, wave, phase in LOCKS:
            along, xy = lock_path(side, curve, normal, offset, start, end, wave, phase + 0.15 * side)
            z = np.clip(evened(clay.front(xy)), SLAB_FRONT_MM - 0.5, SLAB_FRONT_MM + 5 + 4 * (38 - offset))
            sink = np.clip((along - 0.75) / 0.25, 0, 1) ** 1.5
            z = z + sink * (SLAB_FRONT_MM - 2.0 - z)
            radius = width * np.clip(np.minimum(0.4 + along * 3, 0.15 + (1 - along) / 0.35), 0.12, 1)
            clay.add(Tube(np.column_stack([xy, z - 0.3 * radius, radius])), 2.2)
    sand_hair(clay, 0.8)


def hair_strands(clay):
    """Fine grooves along the locks, and the parting."""
    for side in (1, -1):
        curve = hairline(side)
        normal = outward(curve, side)
        for offset, width, start, end, wave, phase in LOCKS:
            for shift in (-0.3, 0.3) if width > 6 else (0.1,):
                along, xy = lock_path(
                    side, curve, normal, offset + shift * width, start, end - 0.12, wave, phase + 0.15 * side
                )
                points = clay.settle(np.column_stack([xy, evened(clay.front(xy))]))
                points = clay.settle(gaussian_filter1d(points, 5, axis=0, mode="nearest"), 3)
                points = gaussian_filter1d(clay.lifted(points, 1.6), 4, axis=0, mode="nearest")
                radius = 2.2 * np.clip(np.minimum(along * 6, (1 - along) * 3), 0.15, 1)
                clay.cut(Tube(np.column_stack([points, radius])), 2.2)
    parting(clay)
    sand_hair(clay, 1.1)


def parting(clay):
    """A shallow bent furrow from the hairline over the crown, fading out at both ends."""
    along = np.linspace(0, 1, 60)
    xy = np.column_stack([PART_X_MM + 1.0 - 4.0 * np.sin(1.9 * along), 74.5 + 34 * along])
    clay.sand(2.0, (PART_X_MM, 77, -8), (7, 6, 12))
    z = gaussian_filter1d(clay.front(xy), 3, mode="nearest")
    radius = 1.8 * np.clip(np.minimum(0.4 + along * 4, (1 - along) * 3), 0.1, 1)
    clay.cut(Tube(np.column_stack([xy, z + 1.5 - 0.6 * along, radius])), 3.6)


def hair_tails(clay):
    """Soften the ends of the locks where they run out into the slab."""
    for side in (1, -1):
        clay.sand(1.0, (side * 78, -50, SLAB_FRONT_MM + 3), (13, 11, 7))
