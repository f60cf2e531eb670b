"""The same picture by a path tracer: Mitsuba 3 (Jakob et al., https://mitsuba-renderer.org), variant scalar_rgb.

The scene is ours to the triangle: positions, shading normals, reflectances, lamps, ambient, eye. Our lamps do not stand
in the way of other light, so lamps and ambient are traced apart, the ambient without the lamps, and added.
"""

from __future__ import annotations

import math
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import mitsuba as mi
import numpy as np
import trimesh

from builder.arrays import Singles
from builder.camera.sight import Eye
from builder.light.lit import Emitter, Lit
from builder.model.model import Model, Part

DEPTH = 12
"""Longest path: eleven bounces carry all but a thousandth of the light here."""


@dataclass(frozen=True, slots=True, eq=False)
class Traced:
    """A picture of luminance before exposure, (h, w) float32, and the seconds it took."""

    luminance: Singles
    seconds: float


class Reference:
    """A model under one lighting, ready to be traced from any eye."""

    def __init__(self, model: Model, lit: Lit, ambient_radiance: float) -> None:
        mi.set_variant("scalar_rgb")
        self._shapes = _shapes(model, lit)
        self._lamps = {f"lamp{i}": _lamp(emitter) for i, emitter in enumerate(lit.emitters)}
        self._ambient = {"ambient": {"type": "constant", "radiance": _grey(ambient_radiance)}}

    def trace(self, eye: Eye, samples: int, seed: int) -> Traced:
        """Trace ``samples`` paths a pixel for each of lamps and ambient."""
        start = time.perf_counter()
        total = sum(
            self._render(lights, eye, samples, seed + 7919 * index)
            for index, lights in enumerate((self._lamps, self._ambient))
        )
        return Traced(np.asarray(total, np.float32), time.perf_counter() - start)

    def _render(self, lights: dict[str, object], eye: Eye, samples: int, seed: int) -> Singles:
        scene = mi.load_dict(
            {
                "type": "scene",
                "integrator": {"type": "path", "max_depth": DEPTH, "rr_depth": DEPTH},
                "sensor": _sensor(eye),
                **self._shapes,
                **lights,
            }
        )
        picture = mi.render(scene, spp=samples, seed=seed)
        return np.asarray(picture, np.float32)[..., 0]


def _grey(value: float) -> dict[str, object]:
    return {"type": "rgb", "value": float(value)}


def _shapes(model: Model, lit: Lit) -> dict[str, object]:
    shapes: dict[str, object] = {}
    with tempfile.TemporaryDirectory() as folder:
        for part in Part:
            faces = model.scene.faces[model.scene.parts == part]
            if len(faces) == 0:
                continue
            used, index = np.unique(faces, return_inverse=True)
            mesh = trimesh.Trimesh(
                model.scene.vertices[used],
                index.reshape(-1, 3),
                vertex_normals=model.scene.normals[used],
                process=False,
            )
            path = Path(folder) / f"{part.name}.ply"
            path.write_bytes(trimesh.exchange.ply.export_ply(mesh, vertex_normal=True))
            grey = {"type": "diffuse", "reflectance": _grey(float(lit.reflectance[part]))}
            shapes[part.name.lower()] = mi.load_dict({"type": "ply", "filename": str(path), "bsdf": grey})
    return shapes


def _lamp(emitter: Emitter) -> dict[str, object]:
    columns = np.eye(4)
    columns[:3, 0] = emitter.across
    columns[:3, 1] = emitter.along
    columns[:3, 2] = np.cross(emitter.across, emitter.along)
    if columns[:3, 2] @ emitter.normal < 0:
        columns[:3, 0] *= -1
        columns[:3, 2] *= -1
    columns[:3, 2] /= np.linalg.norm(columns[:3, 2])
    columns[:3, 3] = emitter.centre
    return {
        "type": "disk" if emitter.shape == "disc" else "rectangle",
        "to_world": mi.ScalarTransform4f(columns),
        "emitter": {"type": "area", "radiance": _grey(emitter.radiance)},
    }


def _sensor(eye: Eye) -> dict[str, object]:
    forward = -eye.world_from_camera[:3, 2]
    return {
        "type": "perspective",
        "fov": 2 * math.degrees(math.atan(eye.tan_x)),
        "fov_axis": "x",
        "near_clip": 1.0,
        "far_clip": 1e5,
        "to_world": mi.ScalarTransform4f().look_at(
            origin=eye.position.tolist(), target=(eye.position + forward).tolist(), up=[0, 0, 1]
        ),
        "film": {
            "type": "hdrfilm",
            "width": eye.width_px,
            "height": eye.height_px,
            "rfilter": {"type": "box"},
            "pixel_format": "luminance",
            "component_format": "float32",
        },
        "sampler": {"type": "multijitter"},
    }
