"""Build the group of solids: five simple bodies on one thin base, as a single closed mesh.

    python models/solids/make_solids.py

writes solids.ply and landmarks.yml beside this file. Model frame, mm: x to the model's left
(the viewer's right), y towards its back, z up; it stands on z = 0 and is seen from -y.
"""

import argparse
from pathlib import Path

import manifold3d
import numpy as np
import trimesh

HERE = Path(__file__).resolve().parent
BASE_SIZE = (216.0, 180.0, 12.0)
BASE_CHAMFER_MM = 2.0
SINK_MM = 0.8  # every solid is set this deep into the base, so that the union has no tangent contact
CRUMB_MM = 0.002  # shorter details left by the union are collapsed; below the sagitta of every facet
EDGE_MM = 6.0  # no edge of the finished mesh is longer

CONE = {"at": (-49.0, 32.0), "radius": 36.0, "height": 158.0}
CUBE = {"at": (57.0, 24.0), "side": 60.0, "turn_deg": 30.0}
SPHERE = {"at": (-36.0, -41.0), "radius": 33.0}
CYLINDER = {"at": (44.0, -52.0), "radius": 21.0, "length": 74.0, "turn_deg": -22.0}
PRISM = {"at": (8.0, 64.0), "radius": 20.0, "height": 122.0, "turn_deg": 11.0}


def turn_about_z(angle_deg):
    """3x3 rotation about the vertical."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def solid(mesh):
    """A manifold from a trimesh body."""
    manifold = manifold3d.Manifold(
        manifold3d.Mesh(np.asarray(mesh.vertices, np.float32), np.asarray(mesh.faces, np.uint32))
    )
    assert manifold.status() == manifold3d.Error.NoError, manifold.status()
    return manifold


def floor_mm():
    """Height on which the solids rest."""
    return BASE_SIZE[2]


def base():
    """Plate whose upper edges are chamfered."""
    width, depth, height = np.array(BASE_SIZE)
    inset = BASE_CHAMFER_MM
    outline = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) / 2
    rings = [
        (outline * (width, depth), 0.0),
        (outline * (width, depth), height - inset),
        (outline * (width - 2 * inset, depth - 2 * inset), height),
    ]
    corners = np.vstack([np.column_stack([xy, np.full(4, z)]) for xy, z in rings])
    return solid(trimesh.convex.convex_hull(corners))


def cone():
    """Standing cone."""
    body = trimesh.creation.cone(CONE["radius"], CONE["height"] + SINK_MM, sections=180)
    return solid(body.apply_translation((*CONE["at"], floor_mm() - SINK_MM)))


def cube():
    """Standing cube, turned."""
    points = cube_corners()
    points[:4, 2] -= SINK_MM
    return solid(trimesh.convex.convex_hull(points))


def cube_corners():
    """(8, 3): the lower four, then the upper four, counter-clockwise from the one nearest -x -y before turning."""
    half = CUBE["side"] / 2
    ring = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    corners = np.vstack([np.column_stack([ring, np.full(4, z)]) for z in (0.0, CUBE["side"])])
    return corners @ turn_about_z(CUBE["turn_deg"]).T + (*CUBE["at"], floor_mm())


def sphere():
    """Ball, its lowest point set into the base."""
    body = trimesh.creation.icosphere(subdivisions=5, radius=SPHERE["radius"])
    return solid(body.apply_translation((*SPHERE["at"], floor_mm() - SINK_MM + SPHERE["radius"])))


def cylinder_axis():
    """Centres of the lying cylinder's two ends, the one on the group's own right (-x) first."""
    along = turn_about_z(CYLINDER["turn_deg"]) @ (CYLINDER["length"] / 2, 0.0, 0.0)
    centre = np.array([*CYLINDER["at"], floor_mm() - SINK_MM + CYLINDER["radius"]])
    return centre - along, centre + along


def cylinder():
    """Cylinder lying on its side."""
    body = trimesh.creation.cylinder(CYLINDER["radius"], segment=np.array(cylinder_axis()), sections=160)
    return solid(body)


def prism_ring(height_mm):
    """(6, 3) corners of the hexagonal prism at a height over the base."""
    angle = np.radians(60.0 * np.arange(6) + PRISM["turn_deg"])
    xy = PRISM["radius"] * np.column_stack([np.cos(angle), np.sin(angle)]) + PRISM["at"]
    return np.column_stack([xy, np.full(6, floor_mm() + height_mm)])


def prism():
    """Standing hexagonal prism."""
    return solid(trimesh.convex.convex_hull(np.vstack([prism_ring(-SINK_MM), prism_ring(PRISM["height"])])))


def group():
    """All solids united with the base."""
    parts = [cone(), cube(), sphere(), cylinder(), prism()]
    for i, one in enumerate(parts):
        for other in parts[i + 1 :]:
            assert (one ^ other).is_empty(), "two solids of the group run into each other"
    joined = manifold3d.Manifold.batch_boolean([base(), *parts], manifold3d.OpType.Add)
    mesh = joined.simplify(CRUMB_MM).refine_to_length(EDGE_MM).to_mesh()
    return trimesh.Trimesh(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts), process=False)


def landmarks():
    """Map each name to (x, y, z), mm, model frame; exact, from the same numbers as the bodies. Left is +x."""
    floor = floor_mm()
    corners, ring = cube_corners(), prism_ring(PRISM["height"])
    right, left = cylinder_axis()
    up = np.array([0.0, 0.0, CYLINDER["radius"]])
    order = np.argsort(corners[4:, 1])
    named = {
        "cone_apex": (*CONE["at"], floor + CONE["height"]),
        "sphere_top": (*SPHERE["at"], floor - SINK_MM + 2 * SPHERE["radius"]),
        "sphere_front": (SPHERE["at"][0], SPHERE["at"][1] - SPHERE["radius"], floor - SINK_MM + SPHERE["radius"]),
        "cylinder_left_end": left,
        "cylinder_right_end": right,
        "cylinder_left_top": left + up,
        "cylinder_right_top": right + up,
        "prism_top": ring.mean(axis=0),
        "prism_top_front": ring[np.argmin(ring[:, 1])],
        "cube_top": corners[4:].mean(axis=0),
        "cube_top_front": corners[4:][order[0]],
        "cube_top_back": corners[4:][order[3]],
        "cube_top_left": corners[4:][np.argmax(corners[4:, 0])],
        "cube_top_right": corners[4:][np.argmin(corners[4:, 0])],
        "cube_foot_front": corners[:4][np.argmin(corners[:4, 1])],
        "base_front_left": (BASE_SIZE[0] / 2, -BASE_SIZE[1] / 2, floor - BASE_CHAMFER_MM),
        "base_front_right": (-BASE_SIZE[0] / 2, -BASE_SIZE[1] / 2, floor - BASE_CHAMFER_MM),
    }
    return dict(sorted(named.items()))


def replace_file(path, data):
    """Write beside, then swap in, so that a reader never sees half a file."""
    part = path.with_name(path.name + ".part")
    part.write_bytes(data)
    part.replace(path)


def main():
    """Build, check and write."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to")
    args = parser.parse_args()
    mesh = group()
    bodies = len(mesh.split(only_watertight=False))
    print(
        f"{len(mesh.faces)} faces; watertight {mesh.is_watertight}; bodies {bodies}; volume {mesh.volume:.0f} mm3; "
        f"extents {mesh.extents.round(1)}; smallest face {mesh.area_faces.min():.2e} mm2"
    )
    assert mesh.is_watertight and mesh.is_winding_consistent and bodies == 1 and mesh.volume > 0
    replace_file(args.out / "solids.ply", mesh.export(file_type="ply", encoding="binary", vertex_normal=False))
    lines = [f"{name}: [{x:.1f}, {y:.1f}, {z:.1f}]" for name, (x, y, z) in landmarks().items()]
    replace_file(args.out / "landmarks.yml", ("\n".join(lines) + "\n").encode())


if __name__ == "__main__":
    main()
