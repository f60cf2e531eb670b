"""What a look costs: the rasteriser against rays, and against pyrender's own lit pass with shadow maps, in one run.

Every view of the mask at 1200 x 1500 (2400 x 3000 samples for ours; pyrender's own pass has four samples a pixel, too).
Says what drew, so that figures from a graphics card are not taken for those of software.

    python -m tests.bench.camera [--views 6] [--no-rays] [--error]
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

os.environ.setdefault("PYOPENGL_PLATFORM", "egl")
os.environ.setdefault("PYGLET_HEADLESS", "True")

import numpy as np
import pyrender
from scipy import ndimage

from builder.arrays import Bools, Singles
from builder.camera.barycentric import weights
from builder.camera.cast import RayFinder
from builder.camera.eyes import place
from builder.camera.raster import RasterFinder
from builder.camera.sight import Eye
from builder.form.looked import look_at
from builder.light.lit import Lit
from builder.light.solve import solve
from builder.light.transport import gather
from builder.light.value import lightness
from builder.model.model import Model, Part
from builder.model.prepare import prepare
from builder.model.tracer import Tracer
from builder.plates.shown import show
from builder.study.read import read_study

PROJECT = Path(__file__).parents[2]
SHADOW_PX = 1024
"""Side of pyrender's shadow maps, as it sets them."""


def main() -> None:
    """Run and print the figures as JSON."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--views", type=int, default=6, help="how many of the study's views")
    parser.add_argument("--no-rays", action="store_true", help="leave the looks by rays out")
    parser.add_argument("--error", action="store_true", help="light the model, too, and compare the light")
    args = parser.parse_args()
    study = read_study(PROJECT / "models" / "mask" / "study.yml", PROJECT)
    model = prepare(study)
    chosen = study.views[:: max(1, len(study.views) // args.views)][: args.views]
    eyes = [place(view, model, study.picture)[0] for view in chosen]
    lighting = study.lighting("three-quarter-lamp")
    assert lighting is not None
    figures: dict[str, object] = {
        "picture_px": [study.picture.width_px, study.picture.height_px],
        "faces": len(model.scene.faces),
        "views": [view.number for view in chosen],
    }
    raster = RasterFinder(model)
    figures["drawn_by"] = raster.drawn_by
    faces, figures["raster_seconds_a_view"] = _timed(raster.faces, eyes)
    raster.close()
    _, figures["weights_seconds_a_view"] = _timed(
        lambda pair: weights(pair[0], model.scene, pair[1]), list(zip(eyes, faces, strict=True))
    )
    if not args.no_rays:
        cast, figures["rays_seconds_a_view"] = _timed(RayFinder(model).faces, eyes)
        figures["same_triangle_share"] = float(np.mean([np.mean(a == b) for a, b in zip(faces, cast, strict=True)]))
    lamp = study.views and lighting.key
    assert lamp
    lit = solve(model, lighting, study.finish, gather(model)) if args.error else None
    shaded, figures["pyrender_lit_pass_seconds_a_view"] = _own_pass(model, lamp.bearing_deg, lamp.elevation_deg, eyes)
    if lit is not None:
        figures["pyrender_lit_pass_against_ours"] = _compared(model, lit, eyes, shaded)
    json.dump(figures, sys.stdout, indent=2)
    sys.stdout.write("\n")


def _timed(look: Callable[..., object], items: Sequence[object]) -> tuple[list[object], float]:
    """What each gives, and the median seconds of one, the first left out as a warming-up."""
    look(items[0])
    results, seconds = [], []
    for item in items:
        start = time.perf_counter()
        results.append(look(item))
        seconds.append(time.perf_counter() - start)
    return results, round(float(np.median(seconds)), 4)


def _own_pass(
    model: Model, bearing_deg: float, elevation_deg: float, eyes: Sequence[Eye]
) -> tuple[list[Singles], float]:
    """Linear grey of pyrender's pass with a spot lamp where the key stands and shadow maps, and its seconds a view."""
    bearing, elevation = np.radians(bearing_deg), np.radians(elevation_deg)
    towards = np.array([np.sin(bearing) * np.cos(elevation), -np.cos(bearing) * np.cos(elevation), np.sin(elevation)])
    distance = 4.0 * model.size_mm
    scene = pyrender.Scene(ambient_light=[0.05] * 3, bg_color=[0.0] * 4)
    surface = model.scene
    for part, grey in ((Part.MODEL, 0.8), (Part.PLINTH, 0.8), (Part.GROUND, 0.4), (Part.BACKDROP, 0.3)):
        faces = surface.faces[surface.parts == part]
        if len(faces) == 0:
            continue
        material = pyrender.MetallicRoughnessMaterial(
            baseColorFactor=[grey] * 3 + [1.0], metallicFactor=0.0, roughnessFactor=1.0, doubleSided=False
        )
        used, index = np.unique(faces, return_inverse=True)
        scene.add(
            pyrender.Mesh(
                [
                    pyrender.Primitive(
                        positions=surface.vertices[used],
                        normals=surface.normals[used],
                        indices=index.reshape(-1, 3).astype(np.int32),
                        material=material,
                        mode=4,
                    )
                ]
            )
        )
    lamp = pyrender.SpotLight(color=np.ones(3), intensity=np.pi * distance**2, innerConeAngle=0.6, outerConeAngle=0.7)
    scene.add(lamp, pose=_looking(model.middle_mm + distance * towards, model.middle_mm))
    renderer = pyrender.OffscreenRenderer(eyes[0].width_px, eyes[0].height_px)
    flags = pyrender.RenderFlags.SHADOWS_SPOT

    def look(eye: Eye) -> Singles:
        camera = scene.add(
            pyrender.PerspectiveCamera(
                2 * np.arctan(eye.tan_y), 0.02 * eye.distance_mm, 60.0 * model.size_mm, eye.tan_x / eye.tan_y
            ),
            pose=eye.world_from_camera,
        )
        scene.main_camera_node = camera
        colour, _ = renderer.render(scene, flags)
        scene.remove_node(camera)
        return ((colour[..., 0] / 255.0) ** 2.2).astype(np.float32)

    pictures, seconds = _timed(look, eyes)
    renderer.delete()
    return [np.asarray(picture) for picture in pictures], seconds


def _looking(position: Singles, target: Singles) -> Singles:
    pose = np.eye(4)
    back = (position - target) / np.linalg.norm(position - target)
    right = np.cross([0.0, 0.0, 1.0], back)
    right /= np.linalg.norm(right)
    pose[:3, 0], pose[:3, 1], pose[:3, 2], pose[:3, 3] = right, np.cross(back, right), back, position
    return pose


def _compared(model: Model, lit: Lit, eyes: Sequence[Eye], shaded: Sequence[Singles]) -> dict[str, float]:
    """L* between pyrender's pass, brought to the same mean luminance, and ours, inside the sculpture less 2 px."""
    from builder.camera.look import open_camera

    tracer, errors = Tracer(model.scene), []
    with open_camera(model, "rays") as camera:
        for eye, own in zip(eyes, shaded, strict=True):
            shown = show(look_at(model, camera.look(eye)), lit, tracer)
            inside: Bools = ndimage.binary_erosion(shown.subject, iterations=2)
            ours = shown.luminance[inside].astype(np.float64)
            theirs = own[inside] * ours.mean() / own[inside].mean()
            errors.append(lightness(np.minimum(theirs, 1.0)) - lightness(np.minimum(ours, 1.0)))
    error = np.concatenate(errors)
    return {
        "rms_L": round(float(np.sqrt(np.mean(error**2))), 2),
        "p99_L": round(float(np.percentile(np.abs(error), 99)), 2),
    }


if __name__ == "__main__":
    main()
