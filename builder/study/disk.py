"""The study against the disk: its folder's name and the files that it names."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from builder.study.groups import Record
from builder.study.report import Report, any_of
from builder.study.schema import MESH_ENDINGS
from builder.study.values import is_name, nearest, slug


@dataclass(frozen=True, slots=True)
class FileKind:
    """Files that a field of a study names: the field, what such a file is called, and how its name may end."""

    field: str
    noun: str
    endings: tuple[str, ...]


MESH = FileKind("mesh", "mesh", MESH_ENDINGS)
DRAWING = FileKind("svg", "drawing", (".svg",))


def shown(path: Path, project: Path) -> str:
    """A path as the tutor knows it: from the project folder where it lies inside."""
    try:
        return path.resolve().relative_to(project.resolve()).as_posix()
    except (ValueError, OSError, RuntimeError):
        return path.as_posix()


def check_on_disk(path: Path, project: Path, study: Record, report: Report) -> None:
    """Report a folder that cannot name a study, and a file that is missing, foreign or of another kind."""
    name = path.parent.resolve().name
    if not is_name(name) or " " in name:
        report.add(
            0,
            f"the study's folder is named `{name}`",
            "it takes 1 to 40 small letters a-z, digits and hyphens, since it stands in web addresses",
            f"rename it to `{slug(name)}`" if is_name(slug(name)) else "rename it",
        )
    sections = study.get("sections")
    for kind, group in ((MESH, study), (DRAWING, sections)):
        if group is not None and group.get(kind.field) is not None:
            _check_file(path.parent, project, kind, group[kind.field], group.lines[kind.field], report)


def _check_file(folder: Path, project: Path, kind: FileKind, name: str, line: int, report: Report) -> None:
    """One rule for every file that a study names: in the project, links followed, of a kind that is read, not empty."""
    found, own = f"`{kind.field}` is `{name}`", "it takes a file in the study's folder"
    if "\\" in name:
        report.add(line, f"{found} with a backslash", "folders are parted by `/`", "write `/` instead")
        return
    bring = f"copy the {kind.noun} there and give its name"
    if Path(name).is_absolute() or name[1:2] == ":":
        report.add(line, f"{found}, an address on one computer", own, bring)
        return
    target = folder / name
    try:
        inside = target.resolve().is_relative_to(project.resolve())
        is_file, size = _seen(target)
    except (OSError, RuntimeError, ValueError) as error:  # links in a circle, names too long, folders closed to us
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "it leads in a circle"
        report.add(line, f"{found}, which cannot be reached ({reason})", "it takes a file in this folder")
        return
    if not inside:
        report.add(line, f"{found}, which lies outside the project", own, bring)
    elif target.suffix.lower() not in kind.endings:
        again = f"export the {kind.noun} as {'one of those' if len(kind.endings) > 1 else f'`{kind.endings[0]}`'}"
        report.add(line, found, f"it takes a file ending in {any_of(kind.endings)}", again)
    elif size is None:
        others = sorted(entry.name for entry in folder.iterdir() if entry.suffix.lower() in kind.endings)
        likely = nearest(name, others) or (others[0] if len(others) == 1 else None)
        do = f"write `{likely}` if that is meant" if likely else f"put the {kind.noun} there or mend its name"
        report.add(line, f"{found}, and there is no such file", own, do)
    elif not is_file:
        report.add(line, f"{found}, which is not a file", own)
    elif size == 0:
        report.add(line, f"{found}, which is empty", f"it takes a file with a {kind.noun} in it", "export it again")


def _seen(path: Path) -> tuple[bool, int | None]:
    """Whether a path is a file, and its size; ``None`` where there is nothing. Links in a circle raise OSError."""
    try:
        stat = path.stat()
    except FileNotFoundError:
        return False, None
    return path.is_file(), stat.st_size
