"""Sculpt the study mask: a face with closed lids, in relief on a standing slab.

    python models/mask/make_mask.py

writes mask.ply and landmarks.yml beside this file. The face is invented: no person and no
cast was measured. Sculpting frame (mm): x to the viewer's right, y up with 0 at the eye
line, z towards the viewer. The written model stands on z = 0 and faces -y.
"""

import argparse
import os
from pathlib import Path

import fast_simplification
import numpy as np
import trimesh
from scipy.ndimage import gaussian_filter1d
from scipy.sparse import coo_matrix, diags
from skimage.measure import marching_cubes

from field import Ellipsoid, Field, RoundedBox, Tube, spline

HERE = Path(__file__).resolve().parent
STEP_MM = 0.8
FACE_COUNT = 180_000
SLAB_CENTRE = (0.0, -8.0, -66.3)
SLAB_HALF = (114.3, 138.3, 18.1)
EYE_CENTRE = (31.5, 0.0, -12.5)
LID_HALF_WIDTH_MM = 15.5
PART_X_MM = -13.0

# name: nominal (x, y) in the sculpting frame; z is found on the finished surface
LANDMARKS = {
    "crown": (-13.0, 100.0), "hairline": (0.0, 72.0), "glabella": (0.0, 13.0),
    "nasion": (0.0, 3.0), "nose_tip": (0.9, -39.0), "nose_base": (0.0, -51.5),
    "nose_wing_left": (18.0, -44.0), "nose_wing_right": (-18.0, -44.0),
    "eye_left_inner": (16.5, -3.0), "eye_left_outer": (47.0, -1.5),
    "eye_right_inner": (-16.5, -3.0), "eye_right_outer": (-47.0, -1.5),
    "mouth_left": (24.0, -69.5), "mouth_right": (-24.0, -69.5), "mouth_middle": (0.0, -72.2),
    "chin": (-0.9, -101.0), "chin_underside": (-0.9, -112.0),
    "cheekbone_left": (47.0, -20.0), "cheekbone_right": (-47.0, -20.0),
}


def head_masses(clay):
    """Skull, face, muzzle, jaw, cheekbones and brow, sanded into one another."""
    clay.add(Ellipsoid((0, 32, -82), (70, 72, 92)))
    clay.add(Ellipsoid((0, -18, -62), (66, 86, 65)), 20)
    clay.add(Ellipsoid((0, -66, -29), (33, 36, 39.5)), 24)
    clay.add(Tube.through([(0, -98, -14, 15), (24, -91, -33, 14), (45, -68, -64, 13)]), 20)
    clay.add(Ellipsoid((0, -99, -5), (19, 15, 16)), 18)
    clay.add(Ellipsoid((43, -19, -20), (19, 12, 14), (0, 40, -12)), 20)
    clay.add(Tube.through([(46, -18, -24, 9), (58, -13, -42, 9), (64, -9, -62, 9)]), 18)
    clay.add(Ellipsoid((32, -52, -31), (23, 30, 23), (0, 0, 12)), 20)
    clay.add(Tube.through([(0, 12, 1, 9), (8, 14, 1, 9), (24, 18, -1, 8), (42, 14, -12, 7), (52, 2, -24, 6)]), 14)
    clay.cut(Ellipsoid((82, 12, -25), (20, 34, 30)), 14)
    clay.add(Ellipsoid((48, -38, -37), (15, 19, 18)), 20)
    clay.add(Ellipsoid((32, -28, -17), (19, 15, 16.5), (0, 0, -20)), 16)
    clay.add(Ellipsoid((27, -83, -27), (17, 15, 19)), 18)
    clay.sand(3.0)


def eye_sockets(clay):
    """The hollow under the brow and the deeper corner beside the nose."""
    clay.cut(Ellipsoid((31, 0.5, 4.5), (18.5, 12, 12.5), (0, 0, -6)), 7)
    clay.cut(Ellipsoid((17, -1, 1), (6, 8, 9)), 6)


def nose(clay):
    """Bridge, side walls, tip, wings, columella; then nostrils cut crisp."""
    clay.add(Tube.through([(0, 8, -1, 7), (0, -6, 4, 6.5), (0, -22, 11.0, 6.8), (0, -34, 15.5, 7.8)]), 9)
    clay.add(Tube.through([(2.5, 3, -5, 6.5), (4.2, -12, 0, 8.2), (6, -27, 5.5, 8.6)]), 12)
    clay.add(Ellipsoid((0, -38.5, 16.6), (9.2, 8.4, 9.2)), 7)
    clay.add(Ellipsoid((3.2, -38.6, 18.0), (6.0, 5.8, 6.4)), 6)
    clay.push(-2.0, (0, 2, 9), (10, 9, 12))
    clay.add(Ellipsoid((0, -60, -6), (27, 16, 17)), 12)
    clay.sand(1.5)
    clay.sand(2.0, (0, -22, 8), (12, 22, 14))
    wing = [(8.5, -41.5, 13.5, 4.6), (12.4, -42.5, 8.5, 6.0), (13.6, -44.0, 3.0, 5.6), (12.8, -44.5, -3, 4.5)]
    clay.add(Tube.through(wing), 7)
    clay.sand(1.6, (14.5, -38.5, 4), (5, 4, 7))
    clay.add(Tube.through([(0, -44.5, 18.2, 4.4), (0, -48.6, 12.5, 4.4), (0, -51.0, 6.5, 5.2)]), 5)
    crease = [(18.0, -50.0, 0.8, 0.4), (18.9, -46.0, 1.2, 0.2), (18.4, -41.0, 1.2, 0.2), (16.0, -36.8, 0.9, 0.4),
              (13.0, -35.0, 0.5, 0.5)]
    clay.cut(clay.laid(crease), 3.0)
    clay.sand(1.0, (0, -42, 8), (16, 10, 16))
    clay.cut(Ellipsoid((6.6, -51.0, 10.6), (2.5, 4.4, 6.0), (4, -24, 0)), 2.2)
    rim = [(16, -46.8, 3, 1.9), (14, -48.2, 8, 2), (10, -48.0, 13, 1.8), (7, -46.3, 16, 1)]
    clay.add(Tube.through(rim), 2.6)
    clay.sand(0.8, (10, -48, 9), (8, 4, 8))


def mouth(clay):
    """Philtrum, two lips set in the muzzle, the line between them and the hollow below."""
    clay.push(-1.1, (0, -59, 12), (3.2, 4.6, 9))
    clay.push(0.8, (5.8, -59.5, 12), (2.4, 5, 9))
    clay.add(Ellipsoid((0, -82, -6), (24, 12, 14)), 10)
    clay.add(Ellipsoid((30, -71, -16), (13, 14, 14)), 12)
    clay.sand(1.5, (0, -72, 0), (30, 16, 20))
    upper = [(-5.2, -65.2, 8.8, 5.3), (0, -66.8, 9.2, 5.2), (5.2, -65.2, 8.8, 5.3), (14, -67, 4.6, 5),
             (23.5, -69.8, -3.4, 2.4)]
    clay.add(Tube.through(upper, 20), 4.5)
    clay.add(Ellipsoid((0, -68.8, 11.2), (4.5, 3.2, 3.4)), 4)
    lower = [(-7, -77.4, 5.8, 6.5), (0, -77.4, 6.6, 6.7), (7, -77.4, 5.8, 6.5), (16, -74.2, 2, 4.8),
             (23.5, -69.8, -4.4, 2.4)]
    clay.add(Tube.through(lower, 20), 4)
    clay.sand(1.1, (0, -71, 5), (22, 12, 16))
    line = [(-5.5, -70.9, 1.15, 0.2), (0, -72.2, 1.2, 0.2), (5.5, -70.9, 1.15, 0.2), (13, -71.1, 1.1, 0.15),
            (20, -70.3, 1.05, 0.1), (24.0, -69.3, 0.9, 0.0)]
    clay.cut(clay.laid(line, 16), 2.2)
    clay.sand(0.7, (0, -71, 5), (22, 8, 16))
    clay.cut(Ellipsoid((0, -88, 16.5), (15, 4.6, 7)), 9)


def lash_line(t):
    """(x, y) of the closed lid's edge; t runs from the inner (-1) to the outer corner (1)."""
    return EYE_CENTRE[0] + LID_HALF_WIDTH_MM * t, -2.2 + t - 4.2 * (1 - np.abs(t) ** 2.2)


def closed_lids(clay):
    """Lid over the ball, its crease above, the lash roll and the line under it."""
    clay.add(Ellipsoid(EYE_CENTRE, (19, 15, 15.2), (0, 8, 0)), 5)
    t = np.linspace(-1, 1, 41)
    x, y = lash_line(t)
    fade = np.clip(1 - np.abs(t) ** 3, 0.0, 1)
    arch = EYE_CENTRE[1] + 3.4 + 5.2 * (1 - np.abs(t - 0.05) ** 2.2) + 0.8 * t
    clay.cut(clay.laid(np.column_stack([x, arch, 0.2 + 0.9 * fade, 0.3 + 0 * t]), 3), 3)
    clay.sand(1.1, (31.5, 0, 0), (19, 12, 16))
    clay.add(clay.laid(np.column_stack([x, y + 1.1, 0.6 + 1.1 * fade, -0.9 + 0 * t]), 3), 2)
    clay.cut(clay.laid(np.column_stack([x, y - 0.7, 0.4 + 0.7 * fade, 0.2 + 0 * t]), 3), 1.6)


def cheeks(clay):
    """The fold from nose to mouth and the cheek's soft edge above it."""
    clay.push(-0.9, (24, -56, 2), (5, 11, 14))
    clay.push(0.6, (33, -48, 0), (9, 12, 16))


def hairline(side):
    """Dense (x, y) curve from the parting down one side of the face; side is +1 or -1."""
    knots = [(PART_X_MM, 73), (side * 18 + PART_X_MM * 0.4, 70.5), (side * 40, 57), (side * 55, 36),
             (side * 61, 12), (side * 65, -14), (side * 69, -38), (side * 70, -58)]
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


def hair_mass(clay):
    """The body of the hair: two fat tubes a side along the hairline, and the cap behind them."""
    clay.add(Ellipsoid((0, 30, -84), (86, 80, 70)), 10)
    for side in (1, -1):
        curve = hairline(side)
        normal, share = outward(curve, side), np.linspace(0, 1, len(curve))
        z = evened(clay.front(curve))
        taper = np.clip((1 - share) / 0.2, 0.0, 1) ** 0.5
        near = curve + 12 * normal
        clay.add(Tube(np.column_stack([near, np.maximum(z - 5, -50), 5 + 6 * taper])[::3]), 6)
        far = curve + 22 * normal
        clay.add(Tube(np.column_stack([far, np.maximum(z - 20, -54), 7 + 9 * taper])[::3]), 8)
    clay.sand(2.5, (0, 75, -30), (90, 40, 60))


def hair_locks(clay):
    """Locks of unlike width, waved, swept from the parting down either side."""
    #        offset width start end  wave phase
    locks = [(3.5, 4.6, 0.00, 0.93, 2.2, 0.0), (10.5, 6.2, 0.00, 1.00, 2.6, 0.5), (17.0, 3.6, 0.03, 0.88, 2.2, 1.0),
             (24.0, 6.6, 0.00, 0.97, 2.4, 1.3), (32.0, 5.0, 0.02, 0.80, 1.8, 1.9)]
    for side in (1, -1):
        curve = hairline(side)
        normal = outward(curve, side)
        arc_mm = np.linspace(0, 1, len(curve)) * np.linalg.norm(np.diff(curve, axis=0), axis=1).sum()
        for offset, width, start, end, wave, phase in locks:
            share = np.linspace(0, 1, len(curve))
            keep = (share >= start) & (share <= end)
            along = (share[keep] - start) / (end - start)
            sway = wave * np.minimum(along * 5, 1) * np.sin(2 * np.pi * arc_mm[keep] / (38 - side * 3) + phase + side)
            xy = curve[keep] + (offset + sway)[:, None] * normal[keep]
            z = evened(clay.front(xy))
            radius = width * np.clip(np.minimum(0.45 + along * 4, (1 - along) / 0.35 + 0.15), 0.1, 1)
            clay.add(Tube(np.column_stack([xy, z - 0.35 * radius, radius])[::2]), 1.5)
    clay.sand(0.6, (0, 75, -30), (90, 40, 60))


def sculpt(step_mm):
    """The finished distance field, face and hair on its slab."""
    half = Field((step_mm / 2, -150.0, -87.0), (118.0, 134.0, 34.0), step_mm)
    head_masses(half)
    eye_sockets(half)
    nose(half)
    mouth(half)
    closed_lids(half)
    cheeks(half)
    clay = half.mirrored()
    hair_mass(clay)
    hair_locks(clay)
    clay.add(RoundedBox(SLAB_CENTRE, SLAB_HALF, 3.0), 3)
    back = SLAB_CENTRE[2] - SLAB_HALF[2]
    clay.keep_inside(RoundedBox((0, -8, back + 80), (120, 150, 80), 1.0), 1)
    return clay


def skin(clay):
    """Vertices and faces of the zero surface."""
    near = np.abs(clay.values) < 1e-3 * clay.step_mm
    values = np.where(near, np.float32(1e-3 * clay.step_mm), clay.values)
    vertices, faces, _, _ = marching_cubes(values, 0.0, spacing=(clay.step_mm,) * 3)
    return vertices.astype(float) + clay.low, faces


def relaxed(vertices, faces, rounds=6, shrink=0.5, swell=-0.53):
    """Taubin smoothing: takes off the grid's steps and keeps the size."""
    edges = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    count = len(vertices)
    links = coo_matrix((np.ones(len(edges)), (edges[:, 0], edges[:, 1])), shape=(count, count)).tocsr()
    mean = diags(1.0 / np.maximum(np.asarray(links.sum(axis=1)).ravel(), 1)) @ links
    for _ in range(rounds):
        for factor in (shrink, swell):
            vertices = vertices + factor * (mean @ vertices - vertices)
    return vertices


def uneven(vertices):
    """Small pushes that make left and right differ, as they do in a living face."""
    pushes = [  # centre, radii, shift
        ((0, -38, 20), (12, 11, 16), (0.9, 0, 0)), ((24, -70, 0), (9, 8, 16), (0, 1.1, 0)),
        ((-34, 17, -4), (16, 9, 18), (0, 1.0, 0)), ((31, -5, 2), (11, 7, 12), (0, -0.5, 0)),
        ((0, -102, 6), (22, 16, 24), (-0.9, 0, 0)), ((-42, -24, -8), (18, 18, 18), (0, 0, 0.8))]
    moved = vertices.copy()
    for centre, radii, shift in pushes:
        weight = np.exp(-0.5 * (((vertices - centre) / radii) ** 2).sum(axis=1))
        moved += weight[:, None] * np.array(shift)
    return moved


def standing(vertices):
    """Sculpting frame to model frame: base on z = 0, its centre on the axis, face to -y."""
    low = SLAB_CENTRE[1] - SLAB_HALF[1]
    return np.column_stack([vertices[:, 0], SLAB_CENTRE[2] - vertices[:, 2], vertices[:, 1] - low])


def landmarks(mesh):
    """name -> (x, y, z) in the model frame, found by looking straight at the finished mesh."""
    names = sorted(LANDMARKS)
    start = standing(np.array([(*LANDMARKS[n], 60.0) for n in names]))
    towards = np.tile([0.0, 1.0, 0.0], (len(names), 1))
    points, rays, _ = mesh.ray.intersects_location(start, towards, multiple_hits=False)
    return {names[r]: tuple(np.round(p, 1)) for p, r in sorted(zip(points.tolist(), rays), key=lambda q: q[1])}


def replace_file(path, data):
    """Write beside, then swap in, so that a reader never sees half a file."""
    part = path.with_name(path.name + ".part")
    part.write_bytes(data)
    os.replace(part, path)


def main():
    """Build, check and write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--step", type=float, default=STEP_MM, help="grid step in mm")
    parser.add_argument("--faces", type=int, default=FACE_COUNT, help="faces after simplifying")
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to")
    args = parser.parse_args()
    vertices, faces = skin(sculpt(args.step))
    vertices = uneven(relaxed(vertices, faces))
    if len(faces) > args.faces:
        vertices, faces = fast_simplification.simplify(
            vertices.astype(np.float32), faces.astype(np.int32), target_count=args.faces)
    mesh = trimesh.Trimesh(standing(np.asarray(vertices, float)), faces, process=False)
    if mesh.volume < 0:
        mesh.invert()
    bodies = mesh.split(only_watertight=False)
    print(len(mesh.faces), "faces; watertight", mesh.is_watertight, "bodies", len(bodies), "smallest area",
          mesh.area_faces.min(), "centre of mass", mesh.center_mass.round(1), "extents", mesh.extents.round(1))
    replace_file(args.out / "mask.ply", mesh.export(file_type="ply", encoding="binary", vertex_normal=False))
    lines = [f"{name}: [{x:.1f}, {y:.1f}, {z:.1f}]" for name, (x, y, z) in landmarks(mesh).items()]
    replace_file(args.out / "landmarks.yml", ("\n".join(lines) + "\n").encode())


if __name__ == "__main__":
    main()
