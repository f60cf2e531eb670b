"""The commands."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import get_args

import click
from rich.console import Console

from builder.build import Options, Report, make_pack
from builder.camera.look import Method
from builder.errors import CastwalkError
from builder.model.facing import GUESSES
from builder.model.inspected import inspect_mesh, likely_ways
from builder.model.inspected_text import data, lines
from builder.model.sides_picture import sides_picture, write_picture
from builder.publish import Places, publish, read_places
from builder.sections.given import given
from builder.store import Store
from builder.study.description import Axis, Unit
from builder.study.read import find_studies
from builder.study.start import start_study
from builder.work import processors

project_option = click.option(
    "--project",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    default=".",
    help="The project's folder, with mkdocs.yml, content/ and models/.",
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="castwalk")
def commands() -> None:
    """Build drawing-study packs from one sculpted model."""


@commands.command()
@project_option
@click.option("--workers", type=click.IntRange(1, 256), default=None, help="Worker processes [default: processors].")
@click.option("--scheduler", help="Address of a dask scheduler whose workers do the work instead.")
@click.option(
    "--camera",
    type=click.Choice(get_args(Method)),
    default="auto",
    show_default=True,
    help="How to look: raster needs OpenGL, rays needs nothing.",
)
@click.option(
    "--site",
    type=click.Path(file_okay=False, path_type=Path),
    help="Where the site goes [default: as mkdocs.yml says].",
)
@click.option("--tidy", is_flag=True, help="Afterwards remove from the store what this pack does not use.")
def build(
    project: Path,
    workers: int | None,
    scheduler: str | None,
    camera: Method,
    site: Path | None,
    tidy: bool,
) -> None:
    """Build the pack and its site; what is already made is taken from the store."""
    console = Console(stderr=True)
    places = read_places(project, site)
    options = Options(workers or processors(), camera, scheduler, places.plugin.config.language)
    store = Store(places.store)
    pack, report = make_pack(places.project, places.content, places.models, store, options, console)
    with report.timed("site"):
        final, warnings = publish(places, pack)
    report.notices.extend(warnings)
    freed = store.keep_only(report.used) if tidy else 0
    _say(report, final, freed)


@commands.command()
@project_option
def check(project: Path) -> None:
    """Read every study and say what is wrong with it, without building anything."""
    places: Places = read_places(project)
    for study in find_studies(places.models, places.project):
        if study.contours is not None:
            given(study.contours)
        counts = f"{len(study.views)} views, {len(study.lightings)} lightings, {len(study.landmarks)} landmarks"
        click.echo(f"{study.name}: {counts}")


@commands.command()
@project_option
@click.argument("name")
@click.argument("mesh", type=click.Path(path_type=Path))
@click.option("--title", help="What the study is called [default: its name].")
@click.option("--unit", type=click.Choice(get_args(Unit)), help="Unit of the mesh file; not needed with --height.")
@click.option(
    "--up", type=click.Choice(get_args(Axis)), default="+z", show_default=True, help="Which axis of the file points up."
)
@click.option(
    "--front",
    type=click.Choice(get_args(Axis)),
    default="-y",
    show_default=True,
    help="Which axis of the file points out of the front.",
)
@click.option("--height", type=click.FloatRange(min=1, max=10_000), help="True height in mm; the mesh is scaled to it.")
@click.option("--way", type=click.IntRange(1, GUESSES), help="Up, front and turn by the number that `inspect` gives.")
def start(
    project: Path,
    name: str,
    mesh: Path,
    title: str | None,
    unit: Unit | None,
    up: Axis,
    front: Axis,
    height: float | None,
    way: int | None,
) -> None:
    """Start a study NAME from the scan MESH: copies it to models/NAME and writes a study.yml to go on from."""
    turn = 0.0
    if way is not None:
        read_in, ways = likely_ways(mesh, unit)
        up, front, turn = ways[way - 1].up, ways[way - 1].front, ways[way - 1].turn_deg
        unit = unit if unit or height else read_in
    path = start_study(project, name, mesh, title=title, unit=unit, up=up, front=front, height_mm=height, turn_deg=turn)
    click.echo(f"Wrote {path}. Look it over, then: castwalk build --project {project}")


@commands.command("inspect")
@click.argument("mesh", type=click.Path(path_type=Path))
@click.option("--unit", type=click.Choice(get_args(Unit)), help="Unit of the mesh file [default: guessed].")
@click.option("--up", type=click.Choice(get_args(Axis)), help="Which axis of the file points up [default: guessed].")
@click.option("--front", type=click.Choice(get_args(Axis)), help="Which points out of the front [default: guessed].")
@click.option("--height", type=click.FloatRange(min=1, max=10_000), help="True height in mm.")
@click.option("--picture", type=click.Path(path_type=Path), help="Where the picture goes [default: MESH-views.png].")
@click.option("--json", "as_json", is_flag=True, help="Facts for a program instead of lines for a person.")
def inspect(
    mesh: Path,
    unit: Unit | None,
    up: Axis | None,
    front: Axis | None,
    height: float | None,
    picture: Path | None,
    as_json: bool,
) -> None:
    """Measure the scan MESH: size, holes, thin parts, likely up and front, and what cleaning will do to it."""
    found = inspect_mesh(mesh, unit, up, front, height)
    path = picture or mesh.with_name(f"{mesh.stem}-views.png")
    write_picture(sides_picture(found), path, mesh)
    if as_json:
        click.echo(json.dumps(data(found), indent=1, ensure_ascii=False))
        return
    for line in lines(found):
        click.echo(line)
    click.echo(f"Wrote {path}: the numbered ways first, then the six sides.")


def _say(report: Report, site: Path, freed: int) -> None:
    for notice in sorted(set(report.notices)):
        click.echo(f"note: {notice.sentence()}")
    times = ", ".join(f"{stage} {seconds:.1f} s" for stage, seconds in report.seconds.items())
    click.echo(
        f"{report.studies} {'study' if report.studies == 1 else 'studies'}, {report.views} views, "
        f"{report.rendered + report.reused} plates "
        f"({report.rendered} made, {report.reused} from the store), {report.bytes / 1e6:.1f} MB of pictures, "
        f"{sum(report.seconds.values()):.1f} s ({times})."
    )
    if freed:
        click.echo(f"Freed {freed / 1e6:.1f} MB of the store.")
    click.echo(f"Open {site / 'index.html'}")


def main() -> None:
    """Run the command line. Exit codes: 0 done, 2 the input cannot be built, 130 stopped by the user."""
    try:
        commands.main(standalone_mode=False)
    except CastwalkError as error:
        for problem in error.problems:
            click.echo(problem.sentence(), err=True)
        sys.exit(2)
    except click.exceptions.Abort:
        click.echo("Stopped. What was finished is kept in the store.", err=True)
        sys.exit(130)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
