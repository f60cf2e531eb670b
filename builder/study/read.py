"""Reading studies: ``models/<name>/study.yml`` to :class:`~builder.study.description.Study`.

Three passes after the YAML itself: each value alone, values against one another, and the study against the disk. All
run on whatever the one before could read, so that one run tells the tutor everything there is to mend.
"""

from __future__ import annotations

from pathlib import Path

from builder.errors import Problem, StudyError
from builder.study.assemble import assembled
from builder.study.crossings import check_across
from builder.study.description import Study
from builder.study.disk import check_on_disk, shown
from builder.study.document import read_document
from builder.study.report import Report
from builder.study.schema import STUDY

FILE_NAME = "study.yml"
_MISNAMED = ("study.yaml", "Study.yml", "study.yml.txt", "study.txt")


def read_study(path: Path, project: Path) -> Study:
    """The study described by the file at ``path``.

    Problems name the file relative to ``project``, the folder that nothing of the study may lie outside of.

    Raises:
        StudyError: with every problem of the file, by line.

    """
    report = Report(shown(path, project))
    document = read_document(path, report)
    record = STUDY.read(document, "", report) if document else None
    if record:
        check_across(record, report)
        check_on_disk(path, project, record, report)
    problems = report.problems()
    if problems:
        raise StudyError(problems)
    assert record is not None, "without a record there are problems"
    return assembled(path, shown(path, project), record)


def find_studies(models: Path, project: Path) -> tuple[Study, ...]:
    """Every study of the folder ``models``, by name.

    Raises:
        StudyError: with every problem of every study, or because there is none.

    """
    problems: list[Problem] = []
    studies: list[Study] = []
    for folder in _folders(models, project):
        path = folder / FILE_NAME
        if not path.exists():
            problems += _misnamed(folder, project)
            continue
        try:
            studies.append(read_study(path, project))
        except StudyError as error:
            problems += error.problems
    if not studies and not problems:
        found = "there is no study here"
        allowed = f"a study is a folder in it that holds {FILE_NAME} and a mesh"
        problems.append(Problem(shown(models, project), found, allowed, "start one from a mesh with `castwalk start`"))
    if problems:
        raise StudyError(problems)
    return tuple(studies)


def _folders(models: Path, project: Path) -> list[Path]:
    """Folders that may hold a study, by name; hidden ones are left alone."""
    try:
        entries = sorted(models.iterdir(), key=lambda entry: entry.name)
    except OSError as error:
        reason = "there is no such folder" if isinstance(error, FileNotFoundError) else "this folder cannot be read"
        problem = Problem(shown(models, project), reason, "a project keeps its studies in the folder models")
        raise StudyError(problem) from error
    return [entry for entry in entries if entry.is_dir() and not entry.name.startswith(".")]


def _misnamed(folder: Path, project: Path) -> list[Problem]:
    return [
        Problem(shown(folder / name, project), f"this is named {name}", f"a study is named {FILE_NAME}", "rename it")
        for name in _MISNAMED
        if (folder / name).exists()
    ]
