"""What a pack of 24 views under 6 lightings costs, and how true its light is, in one run.

First the mask's pack at 1200 x 1500 (tone and values), from an empty store, split by stage. Then one view of it at
320 x 400 against Mitsuba 3 (scalar_rgb): the error of ours inside the sculpture in L*, the paths a pixel at which the
path tracer has the same error, and so what the same pictures would cost with it.

    python -m tests.bench.mask [--samples 256] [--view 45] [--lighting three-quarter-lamp] [--only-light]
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import shutil
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from rich.console import Console
from scipy import ndimage

from builder.build import Options, make_pack
from builder.camera.eyes import place
from builder.camera.look import open_camera
from builder.light.solve import solve
from builder.light.transport import gather
from builder.light.value import lightness
from builder.model.prepare import prepare
from builder.model.tracer import Tracer
from builder.plates.shown import show
from builder.store import Store
from builder.study.description import Study
from builder.study.read import read_study
from builder.work import processors
from tests.bench.reference import Reference

PROJECT = Path(__file__).parents[2]


def main() -> None:
    """Run and print the figures as JSON."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--samples", type=int, default=256, help="paths a pixel of each of two reference traces")
    parser.add_argument("--view", type=int, default=45)
    parser.add_argument("--lighting", default="three-quarter-lamp")
    parser.add_argument("--only-light", action="store_true", help="leave the pack out")
    args = parser.parse_args()
    study = read_study(PROJECT / "models" / "mask" / "study.yml", PROJECT)
    figures: dict[str, object] = {"processors": processors()}
    if not args.only_light:
        figures["pack"] = pack_costs(study)
    figures["light"] = light_error(study, args.view, args.lighting, args.samples)
    json.dump(figures, sys.stdout, indent=2)
    sys.stdout.write("\n")


def pack_costs(study: Study) -> dict[str, object]:
    """Seconds by stage for every view and lighting of the study, from an empty store."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(study.path.parent, folder / "models" / study.name)
        store = Store(folder / "store")
        options = Options(workers=processors())
        start = time.perf_counter()
        _, report = make_pack(folder, folder / "content", folder / "models", store, options, Console(stderr=True))
        seconds = time.perf_counter() - start
    return {
        "views": len(study.views),
        "lightings": len(study.lightings),
        "plates": report.rendered,
        "picture_px": [study.picture.width_px, study.picture.height_px],
        "seconds": round(seconds, 1),
        "seconds_by_stage": {stage: round(value, 1) for stage, value in report.seconds.items()},
        "megabytes": round(report.bytes / 1e6, 1),
    }


def light_error(study: Study, number: int, lighting_name: str, samples: int) -> dict[str, object]:
    """Ours against the path tracer on one view: errors in L* inside the sculpture, and times at equal error."""
    view, lighting = study.view(number), study.lighting(lighting_name)
    assert view is not None and lighting is not None
    model = prepare(study)
    transport = gather(model)
    lit = solve(model, lighting, study.finish, transport)
    eye, _ = place(view, model, dataclasses.replace(study.picture, width_px=320, height_px=400))
    tracer = Tracer(model.scene)
    with open_camera(model) as camera:
        show(model, lit, camera.look(eye), tracer)  # compiled and warm
        start = time.perf_counter()
        shown = show(model, lit, camera.look(eye), tracer)
        ours_s = time.perf_counter() - start
    reference = Reference(model, lit, 2.0**lighting.ambient_stops)
    halves = [reference.trace(eye, samples, seed) for seed in (1, 2)]
    inside = ndimage.binary_erosion(shown.subject, iterations=2)
    exposed = [lightness(np.minimum(lit.facts.exposure * half.luminance, 1.0))[inside] for half in halves]
    errors = [lightness(np.minimum(shown.luminance, 1.0))[inside] - half for half in exposed]
    # The noise of two traces with different seeds is unrelated, so it drops out of the product of the errors.
    rms = float(np.sqrt(max(0.0, np.mean(errors[0] * errors[1]))))
    noise = float((exposed[0] - exposed[1]).std() / np.sqrt(2))
    equal_paths = samples * (noise / rms) ** 2  # the noise of a path tracer falls with the root of the paths
    seconds = sum(half.seconds for half in halves) / 2
    equal_s = seconds * equal_paths / samples
    return {
        "view": number,
        "lighting": lighting_name,
        "picture_px": [eye.width_px, eye.height_px],
        "reference_paths_a_pixel": 2 * samples,
        "reference_seconds": round(2 * seconds, 1),
        "reference_noise_rms_L": round(noise / np.sqrt(2), 3),
        "rms_L": round(rms, 3),
        "rms_L_with_the_reference's_noise": round(float(np.sqrt(np.mean((errors[0] + errors[1]) ** 2 / 4))), 3),
        "bias_L": round(float(np.mean(errors)), 3),
        "p99_L_with_the_reference's_noise": round(float(np.percentile(np.abs(errors[0] + errors[1]) / 2, 99)), 3),
        "paths_a_pixel_at_equal_error": round(equal_paths, 1),
        "reference_seconds_at_equal_error": round(equal_s, 1),
        "ours_seconds_for_this_plate": round(ours_s, 3),
        "times_faster_a_plate_at_equal_error": round(equal_s / ours_s, 1),
    }


if __name__ == "__main__":
    main()
