"""Every kind of mistake in study.yml, with the exact text that the tutor reads: tests/errors/<case>/."""

import shutil
from pathlib import Path

import pytest

from builder.errors import StudyError
from builder.study.read import read_study

ERRORS = Path(__file__).parents[1] / "errors"
CASES = sorted(path.parent.name for path in ERRORS.glob("*/study.yml"))


def message_of(case: str, project: Path) -> str:
    target = project / "models" / "mask" / "study.yml"
    shutil.copy(ERRORS / case / "study.yml", target)
    for beside in (ERRORS / case).iterdir():
        # links as they are: where they lead is what the case is about
        if beside.is_symlink():
            shutil.copy(beside, target.parent, follow_symlinks=False)
    with pytest.raises(StudyError) as caught:
        read_study(target, project)
    return str(caught.value)


@pytest.mark.parametrize("case", CASES)
def test_the_message_is_the_one_in_the_catalogue(case, project):
    # wording is part of what we promise the tutor, so it is compared whole
    assert message_of(case, project) + "\n" == (ERRORS / case / "expected.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("case", CASES)
def test_each_problem_is_one_sentence_of_the_file_without_our_own_words(case, project):
    # no traceback, no class name, no library name, no unfilled brace, one line a problem
    for line in message_of(case, project).splitlines():
        assert line.startswith("models/mask/study.yml")
        assert line.endswith(".") and not line.endswith("..")
        for ours in ("Error", "Traceback", "class '", "yaml.", "None", "{self", "{name", "_mm", "_deg"):
            assert ours not in line


def test_the_catalogue_has_many_kinds_and_no_loose_files():
    # a case without its expected text, or the other way round, would never be compared
    assert len(CASES) >= 60
    expected = sorted(path.parent.name for path in ERRORS.glob("*/expected.txt"))
    assert expected == CASES
