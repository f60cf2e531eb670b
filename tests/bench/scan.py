"""What a large scan costs: the mask as two million faces with a scanner's grain, from file to model, in a process each.

Seconds, the greatest memory of the whole process, faces, and how far the surface moved, for a PLY and an STL file, and
for the PLY file smoothed besides. What is asked for is at most 90 s and 3 GB.

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
_RUN = """
import dataclasses, json, resource, sys, time
from pathlib import Path
from builder.model.prepare import prepare
from builder.study.read import read_study
study = read_study(Path("models/mask/study.yml"), Path("."))
study = dataclasses.replace(study, mesh=dataclasses.replace(study.mesh, path=Path(sys.argv[1]), smooth=sys.argv[2]))
start = time.perf_counter()
facts = prepare(study).facts
seconds = time.perf_counter() - start
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)
print(json.dumps({"seconds": round(seconds, 1), "megabytes": round(peak), "faces": facts.faces,
    "moved_mm": round(facts.deviation_mm, 3)}))
"""


def main() -> None:
    """Run and print the figures as JSON."""
    with tempfile.TemporaryDirectory() as name:
        mesh = scan()
        for kind in ("ply", "stl"):
            mesh.export(Path(name) / f"scan.{kind}")
        figures = {
            what: _costs(Path(name) / f"scan.{kind}", smooth)
            for what, kind, smooth in (
                ("ply", "ply", "none"),
                ("stl", "stl", "none"),
                ("ply, smoothed", "ply", "light"),
            )
        }
    json.dump({"faces": len(mesh.faces), **figures}, sys.stdout, indent=2)
    sys.stdout.write("\n")


def scan() -> trimesh.Trimesh:
    """The mask in two million faces, each point off by some hundredths of a millimetre."""
    mask = trimesh.load_mesh(PROJECT / "models" / "mask" / "mask.ply")
    points, faces = fast_simplification.simplify(
        np.asarray(mask.vertices, np.float64), np.asarray(mask.faces, np.int32), target_count=FEW
    )[:2]
    fine = trimesh.Trimesh(points, faces, process=False).subdivide().subdivide()
    grain = np.random.default_rng(0).normal(0.0, GRAIN_MM, (len(fine.vertices), 1))
    return trimesh.Trimesh(fine.vertices + fine.vertex_normals * grain, fine.faces, process=False)


def _costs(path: Path, smooth: str) -> dict[str, float]:
    command = [sys.executable, "-c", _RUN, str(path), smooth]
    done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=True)
    costs: dict[str, float] = json.loads(done.stdout)
    return costs


if __name__ == "__main__":
    main()
