"""Sculpt the study mask: a face with closed lids, in relief on a standing slab.

    python models/mask/make_mask.py

writes mask.ply and landmarks.yml beside this file. The face is invented: no person and no
cast was measured. Sculpting frame (mm): x to the viewer's right, y up with 0 at the eye
line, z towards the viewer. The written model stands on z = 0 and faces -y.
"""

import argparse
from pathlib import Path

import fast_simplification
import numpy as np
import trimesh
from field import Ellipsoid, Field, RoundedBox, Tube
from hair import hair_locks, hair_mass, hair_strands, hair_tails
from scipy.sparse import coo_matrix, diags
from scipy.sparse.csgraph import connected_components
from skimage.measure import marching_cubes
from slab import SLAB_CENTRE, SLAB_HALF

HERE = Path(__file__).resolve().parent
STEP_MM = 0.8
FACE_COUNT = 180_000
SEAT_MM = 0.04  # the base is ground flat by this much
EYE_CENTRE = (31.5, 0.0, -12.5)
LID_HALF_WIDTH_MM = 15.5
# name: nominal (x, y) in the sculpting frame; z is found on the finished surface
LANDMARKS = {
    "crown": (-6.0, 107.0),
    "hairline": (0.0, 72.0),
    "glabella": (0.0, 13.0),
    "nasion": (0.0, 3.0),
    "nose_tip": (0.9, -39.0),
    "nose_base": (0.0, -51.5),
    "nose_wing_left": (18.0, -44.0),
    "nose_wing_right": (-18.0, -44.0),
    "eye_left_inner": (16.5, -3.0),
    "eye_left_outer": (47.0, -1.5),
    "eye_right_inner": (-16.5, -3.0),
    "eye_right_outer": (-47.0, -1.5),
    "mouth_left": (25.0, -70.0),
    "mouth_right": (-25.0, -70.6),
    "mouth_middle": (0.0, -72.2),
    "chin": (-0.9, -101.0),
    "cheekbone_left": (47.0, -20.0),
    "cheekbone_right": (-47.0, -20.0),
}
# name: nominal (x, z); y is found from below
LANDMARKS_FROM_BELOW = {"chin_underside": (-0.9, -14.0)}


def head_masses(clay):
    """Skull, face, muzzle, jaw, cheekbones and brow, sanded into one another."""
    clay.add(Ellipsoid((0, 32, -82), (70, 72, 92)))
    clay.add(Ellipsoid((0, -18, -62), (66, 86, 65)), 20)
    clay.add(Ellipsoid((0, -66, -29), (33, 36, 39.5)), 24)
    clay.add(Tube.through([(0, -97, -14, 14.5), (25, -90, -32, 14.2), (45, -64, -62, 14)]), 20)
    clay.add(Ellipsoid((0, -99, -6), (20, 15, 16)), 20)
    clay.add(Ellipsoid((43, -19, -20), (19, 12, 14), (0, 40, -12)), 20)
    clay.add(Tube.through([(46, -17, -24, 9.5), (58, -12, -42, 9.5), (64, -8, -62, 9)]), 18)
    clay.add(Ellipsoid((33, -51, -30), (23, 31, 23), (0, 0, 12)), 20)
    clay.add(
        Tube.through([(0, 18, -3.6, 9), (9, 20, -3.2, 9), (24, 20, -3.4, 8), (42, 13, -11.5, 7), (52, 1, -23.5, 6)]), 17
    )
    clay.cut(Ellipsoid((82, 12, -25), (20, 34, 30)), 14)
    clay.add(Ellipsoid((46, -38, -36), (16, 21, 19)), 20)
    clay.add(Ellipsoid((32, -28, -17), (19, 15, 16.5), (0, 0, -20)), 16)
    clay.add(Ellipsoid((25, -83, -26), (17, 16, 18.5)), 22)
    clay.sand(3.0)


def eye_sockets(clay):
    """The hollow under the brow and the deeper corner beside the nose."""
    clay.cut(Ellipsoid((31.5, 0.5, 5), (18.5, 12, 12.5), (0, 0, -6)), 12)
    clay.cut(Ellipsoid((17.5, -2.5, 1), (5.5, 7, 8)), 9)
    clay.sand(3.0, (25, 12, -1), (17, 6, 14))


def nose(clay):
    """Bridge, side walls, tip, wings, columella; then nostrils cut crisp."""
    clay.add(Tube.through([(0, 8, -2, 7), (0, -6, 3.5, 6.5), (0, -22, 11.0, 6.8), (0, -34, 15.5, 7.8)]), 9)
    clay.add(Tube.through([(2.3, 3, -5, 6.5), (3.8, -12, 0, 7.7), (5.6, -27, 5.5, 8.2)]), 12)
    clay.add(Ellipsoid((0, -38.3, 17.0), (8.6, 8.2, 9.2)), 7)
    clay.add(Ellipsoid((2.8, -38.4, 18.6), (5.8, 5.6, 6.4)), 6)
    clay.add(Ellipsoid((9.0, -35.0, 4.0), (5.5, 7.0, 7.0)), 9)
    clay.push(-2.0, (0, 2, 9), (10, 9, 12))
    clay.add(Ellipsoid((0, -60, -6), (27, 16, 17)), 12)
    clay.sand(1.5)
    clay.sand(2.0, (0, -22, 8), (12, 22, 14))
    wing = [(8.5, -41.5, 13.5, 4.6), (12.4, -43.4, 8.5, 5.5), (13.6, -44.6, 3.0, 5.3), (12.8, -45.0, -3, 4.5)]
    clay.add(Tube.through(wing), 7)
    clay.sand(2.2, (15, -38.5, 4), (5, 4.5, 7))
    clay.add(Tube.through([(0, -44.5, 18.2, 4.4), (0, -48.6, 12.5, 4.4), (0, -51.0, 6.5, 5.2)]), 5)
    crease = [
        (17.8, -50.0, 1.0, 0.3),
        (18.7, -46.0, 1.6, -0.2),
        (18.4, -42.0, 1.6, -0.2),
        (16.8, -38.4, 1.1, 0.3),
        (14.6, -36.6, 0.7, 0.4),
    ]
    clay.cut(clay.laid(crease), 2.6)
    clay.sand(0.9, (0, -42, 8), (16, 10, 16))
    clay.cut(Ellipsoid((6.6, -51.0, 10.6), (2.5, 4.4, 6.0), (4, -24, 0)), 2.2)
    rim = [(16, -46.8, 3, 1.9), (14, -48.2, 8, 2), (10, -48.0, 13, 1.8), (7, -46.3, 16, 1)]
    clay.add(Tube.through(rim), 2.6)
    clay.sand(0.8, (10, -48, 9), (8, 4, 8))


def mouth(clay):
    """Philtrum, two lips set in the muzzle, the line between them and the hollow below."""
    clay.push(-0.9, (0, -60, 12), (3.2, 4.2, 9))
    clay.push(0.55, (5.8, -60.5, 12), (2.6, 4.6, 9))
    clay.add(Ellipsoid((0, -82, -6), (24, 12, 14)), 10)
    clay.add(Ellipsoid((28, -71, -15.8), (12, 13, 14)), 12)
    clay.sand(1.5, (0, -72, 0), (30, 16, 20))
    upper = [
        (-5.2, -65.2, 9.1, 5.5),
        (0, -66.6, 9.4, 5.4),
        (5.2, -65.2, 9.1, 5.5),
        (14, -67, 4.9, 5.2),
        (25.2, -70.7, -2.2, 2.6),
    ]
    clay.add(Tube.through(upper, 20), 4.5)
    clay.add(Ellipsoid((0, -68.8, 11.2), (4.5, 3.2, 3.4)), 4)
    lower = [
        (-7, -77.6, 6.1, 6.9),
        (0, -77.6, 6.9, 7.1),
        (7, -77.6, 6.1, 6.9),
        (16, -74.8, 2.2, 5.2),
        (25.2, -70.7, -3.0, 2.6),
    ]
    clay.add(Tube.through(lower, 20), 4)
    clay.sand(1.3, (0, -71, 5), (24, 12, 16))
    line = [
        (-5.5, -70.9, 1.15, 0.2),
        (0, -72.2, 1.2, 0.2),
        (5.5, -70.9, 1.15, 0.2),
        (13, -71.6, 1.1, 0.15),
        (20, -71.1, 0.95, 0.15),
        (25.2, -70.7, 0.6, 0.3),
    ]
    clay.cut(clay.laid(line, 16), 2.4)
    clay.sand(0.8, (0, -71, 5), (22, 8, 16))
    clay.cut(Ellipsoid((0, -88, 16.5), (15, 4.6, 7)), 9)
    clay.sand(2.5, (27, -86, -12), (10, 8, 16))


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
    clay.cut(clay.laid(np.column_stack([x, arch, 0.2 + 1.1 * fade, 0.2 + 0 * t]), 3), 2.6)
    clay.sand(0.8, (31.5, 0, 0), (19, 12, 16))
    clay.add(clay.laid(np.column_stack([x, y + 1.1, 0.6 + 1.1 * fade, -0.9 + 0 * t]), 3), 2)
    clay.cut(clay.laid(np.column_stack([x, y - 0.7, 0.4 + 0.7 * fade, 0.2 + 0 * t]), 3), 1.6)


def eyebrow(clay):
    """A low soft ridge on the brow."""
    ridge = [
        (11, 18.8, 1.0, -0.8),
        (18, 20.3, 2.0, -1.5),
        (29, 20.2, 2.1, -1.5),
        (40, 16.9, 1.6, -1.1),
        (49, 11.0, 0.7, -0.5),
    ]
    clay.add(clay.laid(ridge), 4.0)
    clay.sand(1.6, (28, 16, -2), (20, 6, 14))
    clay.sand(2.0, (12, 9, 1), (7, 7, 10))


def cheeks(clay):
    """The fold from nose to mouth and the cheek's soft edge above it."""
    clay.push(-0.9, (24, -56, 2), (5, 11, 14))
    clay.push(0.4, (34, -46, 0), (10, 13, 16))


def sculpt(step_mm):
    """The finished distance field, face and hair on its slab."""
    half = Field((step_mm / 2, -150.0, -96.0), (118.0, 134.0, 34.0), step_mm)
    head_masses(half)
    eye_sockets(half)
    nose(half)
    mouth(half)
    closed_lids(half)
    eyebrow(half)
    cheeks(half)
    clay = half.mirrored()
    hair_mass(clay)
    hair_locks(clay)
    hair_strands(clay)
    clay.add(RoundedBox(SLAB_CENTRE, SLAB_HALF, 3.0), 3)
    hair_tails(clay)
    back = SLAB_CENTRE[2] - SLAB_HALF[2]
    clay.keep_inside(RoundedBox((0, -8, back + 80), (120, 150, 80), 1.0), 1)
    return clay


def skin(clay):
    """Vertices and faces of the zero surface."""
    near = np.abs(clay.values) < 1e-3 * clay.step_mm
    values = np.where(near, np.float32(1e-3 * clay.step_mm), clay.values)
    vertices, faces, _, _ = marching_cubes(values, 0.0, spacing=(clay.step_mm,) * 3)
    return vertices.astype(float) + clay.low, faces


def largest_body(vertices, faces):
    """Drop closed pockets and crumbs: only the body with most faces is kept."""
    edges = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]]])
    count = len(vertices)
    links = coo_matrix((np.ones(len(edges), np.int8), (edges[:, 0], edges[:, 1])), shape=(count, count))
    _, label = connected_components(links, directed=False)
    keep = label == np.bincount(label[faces[:, 0]]).argmax()
    number = np.cumsum(keep) - 1
    return vertices[keep], number[faces[keep[faces[:, 0]]]]


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
        ((0, -38, 20), (12, 11, 16), (0.9, 0, 0)),
        ((24, -70, 0), (9, 8, 16), (0, 0.7, 0)),
        ((-34, 17, -4), (16, 9, 18), (0, 1.0, 0)),
        ((31, -5, 2), (11, 7, 12), (0, -0.5, 0)),
        ((0, -102, 6), (22, 16, 24), (-0.9, 0, 0)),
        ((-42, -24, -8), (18, 18, 18), (0, 0, 0.8)),
    ]
    moved = vertices.copy()
    for centre, radii, shift in pushes:
        weight = np.exp(-0.5 * (((vertices - centre) / radii) ** 2).sum(axis=1))
        moved += weight[:, None] * np.array(shift)
    return moved


def standing(vertices):
    """Sculpting frame to model frame: base flat on z = 0, its centre on the axis, face to -y."""
    low = SLAB_CENTRE[1] - SLAB_HALF[1]
    height = vertices[:, 1] - low
    height = np.where(height < SEAT_MM, 0.0, height)
    return np.column_stack([vertices[:, 0], SLAB_CENTRE[2] - vertices[:, 2], height])


def landmarks(mesh):
    """Map each name to (x, y, z) mm in the model frame: the finished mesh, looked at from the front or from below."""
    from_front = {n: ((x, y, 60.0), (0, 1, 0)) for n, (x, y) in LANDMARKS.items()}
    from_below = {n: ((x, -200.0, z), (0, 0, 1)) for n, (x, z) in LANDMARKS_FROM_BELOW.items()}
    looks = sorted((from_front | from_below).items())
    start = standing(np.array([where for _, (where, _) in looks]))
    towards = np.array([way for _, (_, way) in looks], float)
    points, rays, _ = mesh.ray.intersects_location(start, towards, multiple_hits=False)
    return {looks[r][0]: points[i] for i, r in sorted(enumerate(rays), key=lambda pair: pair[1])}


def replace_file(path, data):
    """Write beside, then swap in, so that a reader never sees half a file."""
    part = path.with_name(path.name + ".part")
    part.write_bytes(data)
    part.replace(path)


def check(mesh):
    """Stop unless the mesh is one closed, clean body that stands; say what it is."""
    bodies = len(mesh.split(only_watertight=False))
    assert mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0 and bodies == 1
    assert mesh.area_faces.min() > 1e-4, "degenerate face"
    lean = SLAB_HALF[2] - abs(mesh.center_mass[1])
    assert lean > 5.0, "the centre of mass is too near the edge of the base"
    print(
        f"{len(mesh.faces)} faces; extents {mesh.extents.round(1)} mm; volume {mesh.volume / 1000:.0f} cm3; "
        f"smallest face {mesh.area_faces.min():.1e} mm2; centre of mass {lean:.1f} mm inside the base"
    )


def main():
    """Build, check and write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--step", type=float, default=STEP_MM, help="grid step in mm")
    parser.add_argument("--faces", type=int, default=FACE_COUNT, help="faces after simplifying")
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to")
    args = parser.parse_args()
    vertices, faces = largest_body(*skin(sculpt(args.step)))
    vertices = uneven(relaxed(vertices, faces))
    if len(faces) > args.faces:
        vertices, faces = fast_simplification.simplify(
            vertices.astype(np.float32), faces.astype(np.int32), target_count=args.faces, agg=3
        )
    mesh = trimesh.Trimesh(standing(np.asarray(vertices, float)), faces, process=False)
    if mesh.volume < 0:
        mesh.invert()
    check(mesh)
    replace_file(args.out / "mask.ply", mesh.export(file_type="ply", encoding="binary", vertex_normal=False))
    lines = [f"{name}: [{x:.1f}, {y:.1f}, {z:.1f}]" for name, (x, y, z) in landmarks(mesh).items()]
    replace_file(args.out / "landmarks.yml", ("\n".join(lines) + "\n").encode())


if __name__ == "__main__":
    main()
