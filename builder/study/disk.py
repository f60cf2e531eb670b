"""The study against the disk: its folder's name and its mesh file."""

from __future__ import annotations

from pathlib import Path

from builder.study.groups import Record
from builder.study.report import Report, any_of
from builder.study.schema import MESH_ENDINGS
from builder.study.values import is_name, nearest, slug


def shown(path: Path, project: Path) -> str:
    """A path as the tutor knows it: from the project folder where it lies inside."""
    try:
        return path.resolve().relative_to(project.resolve()).as_posix()
    except (ValueError, OSError, RuntimeError):
        return path.as_posix()


def check_on_disk(path: Path, project: Path, study: Record, report: Report) -> None:
    """Report a folder that cannot name a study, and a mesh that is missing, foreign or not a mesh."""
    name = path.parent.resolve().name
    if not is_name(name) or " " in name:
        report.add(
            0,
            f"the study's folder is named `{name}`",
            "it takes 1 to 40 small letters a-z, digits and hyphens, since it stands in web addresses",
            f"rename it to `{slug(name)}`" if is_name(slug(name)) else "rename it",
        )
    if study.get("mesh") is not None:
        _check_mesh(path.parent, project, study["mesh"], study.lines["mesh"], report)


def _check_mesh(folder: Path, project: Path, mesh: str, line: int, report: Report) -> None:
    if "\\" in mesh:
        report.add(line, f"`mesh` is `{mesh}` with a backslash", "folders are parted by `/`", "write `/` instead")
        return
    if Path(mesh).is_absolute() or mesh[1:2] == ":":
        found = f"`mesh` is `{mesh}`, an address on one computer"
        report.add(line, found, "it takes a file in the study's folder", "copy the mesh there and give its name")
        return
    target = folder / mesh
    try:
        inside = target.resolve().is_relative_to(project.resolve())
        is_file, exists = target.is_file(), target.exists()
        size = target.stat().st_size if is_file else 0
    except (OSError, RuntimeError, ValueError) as error:  # links in a circle, names too long, folders closed to us
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "it leads in a circle"
        report.add(line, f"`mesh` is `{mesh}`, which cannot be reached ({reason})", "it takes a file in this folder")
        return
    if not inside:
        found = f"`mesh` is `{mesh}`, which lies outside the project"
        report.add(line, found, "it takes a file in the study's folder", "copy the mesh there and give its name")
    elif target.suffix.lower() not in MESH_ENDINGS:
        found = f"`mesh` is `{mesh}`"
        report.add(line, found, f"it takes a file ending in {any_of(MESH_ENDINGS)}", "export the mesh as one of those")
    elif not exists:
        others = sorted(entry.name for entry in folder.iterdir() if entry.suffix.lower() in MESH_ENDINGS)
        likely = nearest(mesh, others) or (others[0] if len(others) == 1 else None)
        do = f"write `{likely}` if that is meant" if likely else "put the mesh there or mend its name"
        report.add(line, f"`mesh` is `{mesh}`, and there is no such file", "it takes a file in the study's folder", do)
    elif not is_file:
        report.add(line, f"`mesh` is `{mesh}`, which is not a file", "it takes a file in the study's folder")
    elif size == 0:
        report.add(line, f"`mesh` is `{mesh}`, which is empty", "it takes a file with a mesh in it", "export it again")
