"""What a pack costs, where the time goes, and whether it grows in step with views, lightings and faces.

whole: the mask's 24 views x 6 lightings at 1200 x 1500 with every plate kind, from an empty store, on every processor:
seconds by stage and the memory of the greatest worker. floor: one process makes some of those plates, counts rays, and
says what part of its time is the floor: rays at 8 million a second, and writing the pictures. planes: what planes cost.
growth: small pictures at
6, 24 and 72 views, 1, 3 and 5 lightings, and 50, 200 and 400 thousand faces, after one small pack to warm up.

    python -m tests.bench.pack [whole] [floor] [planes] [growth]
"""

from __future__ import annotations

import argparse
import contextlib
import json
import resource
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import fast_simplification
import numpy as np
import trimesh
import yaml
from rich.console import Console

from builder.arrays import Bools
from builder.build import Options, make_pack
from builder.camera.eyes import place
from builder.camera.look import open_camera
from builder.form.formed import form_of
from builder.form.looked import look_at
from builder.jobs.views import LIT_KINDS
from builder.light.exchanged import body_looks, exchanged
from builder.light.lit import Lit
from builder.light.solve import solve
from builder.light.transport import gather
from builder.model.prepare import prepare
from builder.model.symmetry import symmetry_of
from builder.model.tracer import Tracer
from builder.planes.break_up import break_up
from builder.planes.planes_model import planes_model
from builder.plates.edges import mixed_faces
from builder.plates.encode import encode, thumbnail
from builder.plates.facts import view_facts
from builder.plates.planes_shown import show_planes
from builder.plates.planes_view import view_planes
from builder.plates.plate import FormKind, LightKind, PlanesKind
from builder.plates.registry import KINDS
from builder.plates.shown import show
from builder.store import Store
from builder.study.description import Study
from builder.study.read import read_study
from builder.work import processors

PROJECT = Path(__file__).parents[2]
MASK = PROJECT / "models" / "mask"
RAYS_A_SECOND = 8e6
"""What Embree was seen to trace on one core of simple, coherent rays: the floor that our time is held against."""
LIGHTINGS = ("three-quarter lamp", "north window", "side lamp", "top lamp", "low lamp", "rim lamp")
SMALL_PX = {"width": 600, "height": 750}
FACES = 180_000
PARTS = ("whole", "floor", "planes", "growth")


def main() -> None:
    """Run and print the figures as JSON."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("parts", nargs="*", choices=PARTS, help="all by default")
    parts = parser.parse_args().parts or list(PARTS)
    figures: dict[str, Any] = {"processors": processors()}
    if "whole" in parts:
        figures["whole"] = pack_costs({})
    if "floor" in parts:
        figures["floor"] = one_process(read_study(MASK / "study.yml", PROJECT))
    if "planes" in parts:
        figures["planes"] = planes_costs(read_study(MASK / "study.yml", PROJECT))
    if "growth" in parts:
        figures["growth"] = growth()
    json.dump(figures, sys.stdout, indent=2)
    sys.stdout.write("\n")


def pack_costs(changes: Mapping[str, Any], faces: int = FACES) -> dict[str, Any]:
    """Seconds by stage for the mask with some fields of its study changed, from an empty store."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        study = folder / "models" / "mask"
        study.mkdir(parents=True)
        plain = yaml.safe_load((MASK / "study.yml").read_text(encoding="utf-8")) | dict(changes)
        (study / "study.yml").write_text(yaml.safe_dump(plain, sort_keys=False), encoding="utf-8")
        _write_mesh(study / "mask.ply", faces)
        options = Options(workers=processors())
        start = time.perf_counter()
        _, report = make_pack(
            folder, folder / "content", folder / "models", Store(folder / "store"), options, Console(stderr=True)
        )
        seconds = time.perf_counter() - start
    peak_kb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    sys.stderr.write(f"{report.views} views, {report.rendered} plates, {faces} faces: {seconds:.1f} s\n")
    return {
        "views": report.views,
        "plates": report.rendered,
        "seconds": round(seconds, 1),
        "seconds_by_stage": {stage: round(value, 1) for stage, value in report.seconds.items()},
        "megabytes": round(report.bytes / 1e6, 1),
        "greatest_worker_so_far_megabytes": round(peak_kb / (1e6 if sys.platform == "darwin" else 1e3)),
    }


def one_process(study: Study, views: int = 4) -> dict[str, Any]:
    """Processor seconds of some views under every lighting, by kind of work, and the floor's share of them."""
    model = prepare(study)
    spent: dict[str, float] = {}
    with _counted(spent) as rays:
        with _clocked(spent, "transport"):
            transport = gather(model)
        lits = []
        for lighting in study.lightings:
            with _clocked(spent, "light"):
                lit = solve(model, lighting, study.finish, transport)
                lits.append((lighting, lit, mixed_faces(model, lit)))
        symmetry = symmetry_of(model)
        light_rays = rays["rays"]
        tracer = Tracer(model.scene)
        with open_camera(model) as camera:
            for view in study.views[:: len(study.views) // views][:views]:
                eye, _ = place(view, model, study.picture)
                camera.look(eye)  # warm
                with _clocked(spent, "look"):
                    sight = camera.look(eye)
                    looked = look_at(model, sight, study.landmarks, study.guides)
                with _clocked(spent, "form"):
                    formed = form_of(looked, symmetry)
                    form = [kind.make(formed) for kind in KINDS if isinstance(kind, FormKind)]
                    for plate in form:
                        encode(plate)
                for lighting, lit, mixed in lits:
                    show(looked, lit, tracer, mixed)  # compiled and warm
                    before = rays["rays"], spent.get("rays", 0.0)
                    with _clocked(spent, "show"):
                        shown = show(looked, lit, tracer, mixed)
                    rays["shown"] += rays["rays"] - before[0]
                    spent["shown rays"] = spent.get("shown rays", 0.0) + spent["rays"] - before[1]
                    with _clocked(spent, "kinds"):
                        plates = [
                            kind.make(shown) if isinstance(kind, LightKind) else kind.make(formed, shown)
                            for kind in LIT_KINDS
                        ]
                    with _clocked(spent, "pictures"):
                        for kind, plate in zip(LIT_KINDS, plates, strict=True):
                            encode(plate)
                            if isinstance(kind, LightKind) and kind.thumbed:
                                thumbnail(plate)
                    with _clocked(spent, "facts"):
                        measured = {name: value for each in (*form, *plates) for name, value in each.facts.items()}
                        view_facts(view, lighting, shown, measured)
    count = views * len(lits)
    plate_floor = rays["shown"] / RAYS_A_SECOND + spent["pictures"]
    plate_time = sum(spent[name] for name in ("look", "show", "kinds", "pictures", "facts"))
    light_floor, light_time = light_rays / RAYS_A_SECOND, spent["transport"] + spent["light"]
    return {
        "views": views,
        "lightings": len(lits),
        "light": {
            "million_rays": round(light_rays / 1e6, 1),
            "processor_seconds": round(light_time, 1),
            "floor_share": round(light_floor / light_time, 2),
        },
        "form_of_a_view_processor_seconds": round(spent["form"] / views, 3),
        "a_view_under_a_lighting": {
            "million_rays": round(rays["shown"] / count / 1e6, 2),
            "million_rays_a_second": round(rays["shown"] / spent["shown rays"] / 1e6, 1),
            "processor_seconds": round(plate_time / count, 3),
            "by_work": {
                name: round(spent[name] / count, 3)
                for name in ("look", "show", "shown rays", "kinds", "pictures", "facts")
            },
            "floor_share": round(plate_floor / plate_time, 2),
        },
    }


def planes_costs(study: Study, views: int = 4) -> dict[str, Any]:
    """Processor seconds of the planes: of a model, of a level's light, of a view of a level, and of a plate."""
    model, spent = prepare(study), dict[str, float]()
    transport = gather(model)
    before = [(lighting, solve(model, lighting, study.finish, transport)) for lighting in study.lightings]
    with _clocked(spent, "break up"):
        levels = [planes_model(model, planes) for planes in break_up(model, study.planes).levels]
    kinds = [kind for kind in KINDS if isinstance(kind, PlanesKind)]
    for kind, broken in zip(kinds, levels, strict=True):
        with _clocked(spent, "light"):
            tracer = Tracer(broken.model.scene)
            looks = body_looks(broken.model, tracer)
            lits = [exchanged(broken.model, lit, lighting.ambient_stops, looks, tracer) for lighting, lit in before]
            lights = [(lit, mixed_faces(broken.model, lit)) for lit in lits]
        with open_camera(broken.model) as camera:
            for number, view in enumerate(study.views[:: len(study.views) // views][:views]):
                eye, _ = place(view, model, study.picture)
                camera.look(eye)  # warm
                with _clocked(spent, "view"):
                    seen = view_planes(look_at(broken.model, camera.look(eye)), broken)
                if number == 0:
                    kind.make(show_planes(seen, *_with(lights[0], tracer)))  # compiled and warm
                for light in lights:
                    with _clocked(spent, "plate"):
                        encode(kind.make(show_planes(seen, *_with(light, tracer))))
    count = len(levels) * views
    return {
        "break_up_a_model": round(spent["break up"], 2),
        "light_a_level_for_a_lighting": round(spent["light"] / len(levels) / len(before), 2),
        "look_at_a_level": round(spent["view"] / count, 3),
        "a_plate_with_its_picture": round(spent["plate"] / count / len(before), 3),
    }


def _with(light: tuple[Lit, Bools], tracer: Tracer) -> tuple[Lit, Tracer, Bools]:
    return light[0], tracer, light[1]


def growth() -> dict[str, Any]:
    """Seconds of small packs that differ in one thing each."""
    few = {"lightings": list(LIGHTINGS[:2]), "picture": SMALL_PX}
    pack_costs(few | {"views": _views(4)})
    return {
        "views": {count: pack_costs(few | {"views": _views(count)}) for count in (6, 24, 72)},
        "lightings": {
            count: pack_costs({"views": _views(12), "lightings": list(LIGHTINGS[:count]), "picture": SMALL_PX})
            for count in (1, 3, 5)
        },
        "faces": {count: pack_costs(few | {"views": _views(12)}, count) for count in (50_000, 200_000, 400_000)},
    }


def _views(count: int) -> list[dict[str, float]]:
    """Views all round the front half, at heights that vary."""
    return [
        {"number": 61 + index, "bearing": -90 + 180 * index / max(1, count - 1), "eye level": 20 * np.sin(index).item()}
        for index in range(count)
    ]


def _write_mesh(path: Path, faces: int) -> None:
    """The mask with about as many faces: its own, or those of a finer one made coarser."""
    if faces == FACES:
        path.write_bytes((MASK / "mask.ply").read_bytes())
        return
    mesh = trimesh.load_mesh(MASK / "mask.ply")
    if faces > len(mesh.faces):
        mesh = mesh.subdivide()
    vertices, triangles = fast_simplification.simplify(
        np.asarray(mesh.vertices, np.float64), np.asarray(mesh.faces, np.int32), target_count=faces
    )[:2]
    trimesh.Trimesh(vertices, triangles, process=False).export(path)


@contextlib.contextmanager
def _clocked(spent: dict[str, float], name: str) -> Iterator[None]:
    start = time.process_time()
    yield
    spent[name] = spent.get(name, 0.0) + time.process_time() - start


@contextlib.contextmanager
def _counted(spent: dict[str, float]) -> Iterator[dict[str, int]]:
    """Count rays, and the seconds they take, of every tracer while this lasts."""
    rays = {"rays": 0, "shown": 0}
    whole = {name: getattr(Tracer, name) for name in ("blocked", "first")}

    def counting(name: str) -> Any:
        def trace(self: Tracer, origins: Any, *args: Any, **named: Any) -> Any:
            start = time.thread_time()
            found = whole[name](self, origins, *args, **named)
            spent["rays"] = spent.get("rays", 0.0) + time.thread_time() - start
            rays["rays"] += len(origins)
            return found

        return trace

    for name in whole:
        setattr(Tracer, name, counting(name))
    try:
        yield rays
    finally:
        for name, method in whole.items():
            setattr(Tracer, name, method)


if __name__ == "__main__":
    main()
