"""What a large scan costs: the mask as an STL file of two million faces, with a scanner's grain and a hole in a cheek.

Each row is one process of its own: trimesh reads the file and joins its points, which all others are held against; then
`castwalk inspect` with its picture; then a model made of it as it is; and one cut off below, its hole closed, and
smoothed. Seconds by the clock, of the processor, and as a share of trimesh's; the greatest memory of the whole process;
faces of the model and how far its surface moved, measured. Asked for are at most 60 s to inspect, 90 s to prepare, and
3 GB, on two cores with nothing else to do.

    python -m tests.bench.scan
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import fast_simplification
import numpy as np
import trimesh

PROJECT = Path(__file__).parents[2]
FEW = 125_000
"""Halved along each edge twice, 16 times as many: two million."""
GRAIN_MM = 0.03
HOLE_MM = 8.0
"""Radius of the hole in the cheek."""
_MEASURED = """
import json, resource, sys, time
from pathlib import Path
path = Path(sys.argv[1])
{setting}
clock, work = time.perf_counter(), time.process_time()
{body}
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)
print(json.dumps({{"seconds": time.perf_counter() - clock, "processor": time.process_time() - work, "megabytes": peak,
    **told}}))
"""
_REFERENCE = (
    "import trimesh",
    "mesh = trimesh.load_mesh(path)\ntold = {'faces': len(mesh.faces)}",
)
_INSPECT = (
    "from builder.model.inspected import inspect_mesh\nfrom builder.model.sides_picture import sides_picture",
    "one = inspect_mesh(path)\nsides_picture(one)\n"
    "told = {'faces': one.faces_after, 'moved_mm': one.moved_mm, 'closed': one.closed}",
)
_PREPARE = (
    "import dataclasses\nfrom builder.model.prepare import prepare\nfrom builder.study.read import read_study\n"
    "study = read_study(Path('models/mask/study.yml'), Path('.'))\n"
    "mesh = dataclasses.replace(study.mesh, path=path, {cleaning})\nstudy = dataclasses.replace(study, mesh=mesh)",
    "facts = prepare(study).facts\n"
    "told = {'faces': facts.faces, 'moved_mm': facts.deviation_mm, 'closed': facts.closed}",
)
_AS_IT_IS = "smooth='none'"
_ALL = "smooth='light', cut_below_mm=12.0, close_holes_mm=100.0"
ROWS = {
    "trimesh reads": _REFERENCE,
    "inspect": _INSPECT,
    "prepare": (_PREPARE[0].format(cleaning=_AS_IT_IS), _PREPARE[1]),
    "prepare, cut, closed, smoothed": (_PREPARE[0].format(cleaning=_ALL), _PREPARE[1]),
}


def main() -> None:
    """Run and print a row at a time."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "scan.stl"
        mesh = scan()
        mesh.export(path)
        sys.stdout.write(f"{len(mesh.faces):,} faces\n")
        sys.stdout.write(f"{'':32}{'s':>8}{'cpu s':>8}{'x':>7}{'MB':>7}{'faces':>11}{'moved mm':>10}  closed\n")
        reference: dict[str, float] = {}
        for what, (setting, body) in ROWS.items():
            one = _costs(_MEASURED.format(setting=setting, body=body), path)
            reference = reference or one
            share = one["processor"] / reference["processor"]
            row = f"{what:32}{one['seconds']:8.1f}{one['processor']:8.1f}{share:7.1f}{one['megabytes']:7.0f}"
            row += f"{one['faces']:11,}"
            if "closed" in one:
                row += f"{one['moved_mm']:10.3f}  {'yes' if one['closed'] else 'no'}"
            sys.stdout.write(f"{row}\n")
            sys.stdout.flush()


def scan() -> trimesh.Trimesh:
    """The mask in two million faces, each point off by some hundredths of a millimetre, without those round a place on
    its left cheek.
    """
    mask = trimesh.load_mesh(PROJECT / "models" / "mask" / "mask.ply")
    points, faces = fast_simplification.simplify(
        np.asarray(mask.vertices, np.float64), np.asarray(mask.faces, np.int32), target_count=FEW
    )[:2]
    fine = trimesh.Trimesh(points, faces, process=False).subdivide().subdivide()
    grain = np.random.default_rng(0).normal(0.0, GRAIN_MM, (len(fine.vertices), 1))
    rough = trimesh.Trimesh(fine.vertices + fine.vertex_normals * grain, fine.faces, process=False)
    middles = rough.triangles_center
    low, high = rough.bounds
    # a quarter of the width to its left, at mid-height, in front
    ahead = np.flatnonzero(middles[:, 1] < (low[1] + high[1]) / 2)
    aside = middles[ahead][:, [0, 2]] - (low[[0, 2]] + (high - low)[[0, 2]] * (0.7, 0.5))
    place = middles[ahead[np.linalg.norm(aside, axis=1).argmin()]]
    rough.update_faces(np.linalg.norm(middles - place, axis=1) > HOLE_MM)
    return rough


def _costs(code: str, path: Path) -> dict[str, float]:
    command = [sys.executable, "-c", code, str(path)]
    done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(done.stderr)
    costs: dict[str, float] = json.loads(done.stdout)
    return costs


if __name__ == "__main__":
    main()
