"""How true the light is: three scenes under three lightings against Mitsuba 3, in one run.

The scenes are the two demo studies and a scanned mesh: one named with ``--scan``, else the scan that the package
pymeshfix carries among its examples. Every picture is traced twice with different seeds, so that the reference's own
noise can be told from our error. All figures are L* inside the sculpture, 2 px in from its outline, told twice over:

- ``published``: ours drawn at the size it is published at and averaged down to the reference's pixels. Nothing inside
  the outline is left out.
- ``small``: ours drawn at the reference's size, pixel against pixel. With four samples a pixel an edge of the form is
  then drawn in four steps, which says nothing of the light; so 2 px on either side of every edge inside the outline are
  left out: where one form stands before another, and where it bends by more than a crease does. What the figures are
  with those pixels is told as ``small_with_edges``.

    python -m tests.bench.accuracy [--samples 512] [--scan FILE --up +z --front -y] [--json FILE]
"""

from __future__ import annotations

import argparse
import dataclasses
import importlib.util
import json
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from rich.console import Console
from rich.table import Table
from scipy import ndimage

from builder.arrays import Bools, Floats, Singles
from builder.camera.eyes import place
from builder.camera.look import open_camera
from builder.camera.sight import SUPERSAMPLE, Sight
from builder.form.subject import subject_pixels
from builder.light.solve import solve
from builder.light.transport import gather
from builder.light.value import lightness
from builder.model.model import Model
from builder.model.prepare import prepare
from builder.model.tracer import Tracer
from builder.plates.luminance import pixel_light
from builder.study.description import Lighting, MeshSource, Stand, Study
from builder.study.lightings import LIGHTINGS
from builder.study.read import read_study
from builder.work import processors
from tests.bench.reference import DEPTH, Reference

PROJECT = Path(__file__).parents[2]
LIGHTING_NAMES = ("three-quarter-lamp", "side-lamp", "north-window")
VIEWS = {"mask": 45, "solids": 61, "scan": 45}
MOST_RMS, MOST_P99, MOST_BIAS = 0.8, 2.0, 0.1
EROSION_PX = 2
JUMP = 4.0
"""Change of slope in depth, in widths of a sample, from which two samples lie on different sides of an edge."""
CREASE_COS = np.cos(np.radians(40.0))
"""Cosine between the normals of samples beside each other from which the form has a crease there."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A model prepared for any lighting, and the view that it is judged from."""

    name: str
    study: Study
    view: int


def main() -> None:
    """Run, print a table, and write the figures as JSON to the standard output or a file."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--samples", type=int, default=512, help="paths a pixel of each of two reference traces")
    parser.add_argument("--width", type=int, default=240, help="shorter side of the reference's pictures, px")
    parser.add_argument("--scene", choices=tuple(VIEWS), help="only this one")
    parser.add_argument("--scan", type=Path, help="a scanned mesh")
    parser.add_argument("--up", default="+z", help="axis of the scan's file that points up")
    parser.add_argument("--front", default="-y", help="axis of the scan's file that points to the front")
    parser.add_argument("--json", type=Path, help="where the figures go")
    args = parser.parse_args()
    rows = []
    for scene in scenes(args.scan, args.up, args.front):
        if args.scene is not None and scene.name != args.scene:
            continue
        for figures in judged(scene, args.width, args.samples):
            rows.append(figures)
            # a whole run takes the better part of an hour: what is known is said at once
            sys.stderr.write(json.dumps(figures) + "\n")
    Console(stderr=True, width=200).print(table(rows))
    what = {
        "processors": processors(),
        "reference": f"Mitsuba 3 scalar_rgb, path, depth {DEPTH}, at least {2 * args.samples} paths a pixel",
        "target": {"rms_L": MOST_RMS, "p99_L": MOST_P99, "bias_L": MOST_BIAS},
        "pictures": rows,
    }
    text = json.dumps(what, indent=2) + "\n"
    if args.json is None:
        sys.stdout.write(text)
    else:
        args.json.write_text(text)


def scenes(scan: Path | None, up: str, front: str) -> list[Scene]:
    """The two demo studies and the scan, which is given the mask's finish, views and room."""
    studies = {name: read_study(PROJECT / "models" / name / "study.yml", PROJECT) for name in ("mask", "solids")}
    if scan is None:
        found = importlib.util.find_spec("pymeshfix")
        assert found is not None and found.origin is not None, "the scan's package is not installed; or name a --scan"
        scan, up, front = Path(found.origin).parent / "examples" / "StanfordBunny.ply", "+z", "-x"
    source = MeshSource(path=scan, unit="mm", up=up, front=front, height_mm=300.0)
    mask = studies["mask"]
    studies["scan"] = dataclasses.replace(mask, name=scan.stem, mesh=source, stand=Stand(), landmarks=())
    return [Scene(name, study, VIEWS[name]) for name, study in studies.items()]


def judged(scene: Scene, width_px: int, samples: int) -> Iterator[dict[str, Any]]:
    """Figures of a scene under every lighting, one after the other."""
    study = scene.study
    model = prepare(study)
    transport = gather(model)
    view = study.view(scene.view)
    assert view is not None
    times = min(study.picture.width_px, study.picture.height_px) // width_px
    small, large = (
        place(view, model, dataclasses.replace(study.picture, width_px=width, height_px=height))[0]
        for width, height in (
            (study.picture.width_px // times, study.picture.height_px // times),
            (study.picture.width_px // times * times, study.picture.height_px // times * times),
        )
    )
    tracer = Tracer(model.scene)
    with open_camera(model) as camera:
        near, far = camera.look(small), camera.look(large)
        inside = ndimage.binary_erosion(subject_pixels(model, near), iterations=EROSION_PX)
        within = inside & ~ndimage.binary_dilation(edges_inside(model, near), iterations=EROSION_PX)
        for name in LIGHTING_NAMES:
            lighting = _lighting(name)
            start = time.process_time()
            lit = solve(model, lighting, study.finish, transport)
            solved_s = time.process_time() - start
            same = lightness(pixel_light(model, lit, near, tracer).luminance)
            start = time.process_time()
            fine = pixel_light(model, lit, far, tracer).luminance
            plate_s = time.process_time() - start
            reference = Reference(model, lit, 2.0**lighting.ambient_stops)
            halves = [reference.trace(small, samples, seed) for seed in (1, 2)]
            traced = [lit.facts.exposure * half.luminance for half in halves]
            published = errors(lightness(averaged(fine, times)), traced, inside)
            yield {
                "scene": study.name,
                "view": view.number,
                "lighting": name,
                "reference_px": [small.width_px, small.height_px],
                "published_px": [large.width_px, large.height_px],
                "pixels": {"inside": int(inside.sum()), "within_edges": int(within.sum())},
                "target_met": met(published),
                "published": published,
                "small": errors(same, traced, within),
                "small_with_edges": errors(same, traced, inside),
                "reference_seconds": round(sum(half.seconds for half in halves), 1),
                "ours_light_cpu_seconds": round(solved_s, 2),
                "ours_plate_cpu_seconds": round(plate_s, 2),
            }


def averaged(luminance: Singles, times: int) -> Floats:
    """Means of squares of ``times`` x ``times`` pixels, each pixel clipped to white as it is in the published file."""
    height, width = luminance.shape
    squares = np.minimum(luminance, 1.0).reshape(height // times, times, width // times, times)
    means: Floats = squares.mean(axis=(1, 3), dtype=np.float64)
    return means


def errors(ours: Floats, traced: list[Singles], where: Bools) -> dict[str, float]:
    """Errors in L* against the mean of two traces of equal length, over the pixels chosen.

    The noise of the two is unrelated, so it drops out of the product of the errors against either. The 99th percentile
    is that of the errors as they are, noise and all: the true one is lower. That of the noise alone, which the half
    difference of the traces shows, is told beside it.
    """
    apart = [ours[where] - lightness(half)[where] for half in traced]
    error = ours[where] - lightness((traced[0] + traced[1]) / 2)[where]
    noise = (apart[0] - apart[1]) / 2
    return {
        "rms_L": _figure(np.sqrt(max(0.0, float(np.mean(apart[0] * apart[1]))))),
        "rms_L_with_noise": _figure(np.sqrt(np.mean(error**2))),
        "p99_L_with_noise": _figure(np.percentile(np.abs(error), 99)),
        "p99_L_of_noise_alone": _figure(np.percentile(np.abs(noise), 99)),
        "bias_L": _figure(error.mean()),
    }


def met(figures: dict[str, float]) -> bool:
    """Whether the targets are met, the 99th percentile with all of the reference's noise."""
    return (
        figures["rms_L"] <= MOST_RMS and figures["p99_L_with_noise"] <= MOST_P99 and abs(figures["bias_L"]) <= MOST_BIAS
    )


def edges_inside(model: Model, sight: Sight) -> Bools:
    """(h, w) pixels in which one form stands before another or bends by more than a crease does."""
    scene, eye = model.scene, sight.eye
    face = np.maximum(sight.face, 0)
    weights = np.stack([1.0 - sight.u - sight.v, sight.u, sight.v], axis=-1)
    points = np.einsum("ijk,ijkx->ijx", weights, scene.vertices[scene.faces[face]])
    normals = np.einsum("ijk,ijkx->ijx", weights, scene.normals[scene.faces[face]])
    normals /= np.maximum(np.linalg.norm(normals, axis=-1, keepdims=True), 1e-12)
    depth = np.where(sight.face >= 0, (points - eye.position) @ -eye.world_from_camera[:3, 2], 1e9)
    width = 2 * eye.tan_x * depth / (eye.width_px * SUPERSAMPLE)
    found = np.zeros(depth.shape, np.bool_)
    for axis in (0, 1):
        first, last = depth.take([0], axis), depth.take([-1], axis)
        found |= np.abs(np.diff(depth, 2, axis=axis, prepend=first, append=last)) > JUMP * width
        beside = np.einsum("ijx,ijx->ij", normals, np.roll(normals, 1, axis=axis))
        found |= beside < CREASE_COS
    h, w = eye.height_px, eye.width_px
    pixels: Bools = found.reshape(h, SUPERSAMPLE, w, SUPERSAMPLE).any(axis=(1, 3))
    return pixels


def table(rows: list[dict[str, Any]]) -> Table:
    """The figures to read."""
    shown = Table(title="Errors in L* inside the sculpture: as published / small, within edges / small, edges too")
    for heading in ("scene", "lighting", "rms", "rms, noisy", "p99, noisy", "p99 of noise", "bias", "target"):
        shown.add_column(heading)
    shown.add_column("reference s")
    shown.add_column("ours: light + plate, cpu s")
    for row in rows:
        kinds = [row[name] for name in ("published", "small", "small_with_edges")]
        shown.add_row(
            row["scene"],
            row["lighting"],
            *(" / ".join(f"{kind[name]:.2f}" for kind in kinds) for name in kinds[0]),
            "met" if row["target_met"] else "missed",
            str(row["reference_seconds"]),
            f"{row['ours_light_cpu_seconds']} + {row['ours_plate_cpu_seconds']}",
        )
    return shown


def _lighting(name: str) -> Lighting:
    return next(lighting for lighting in LIGHTINGS if lighting.name == name)


def _figure(value: float | Floats) -> float:
    return round(float(value), 3)


if __name__ == "__main__":
    main()
