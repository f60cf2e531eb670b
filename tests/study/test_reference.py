import re
import subprocess
import sys
from pathlib import Path

import yaml

from builder.study import schema
from builder.study.groups import Group
from builder.study.lightings import LIGHTINGS
from builder.study.presets import PRESETS
from builder.study.reference import COMMAND, reference

PAGE = Path(__file__).parents[2] / "content" / "reference" / "study-file.md"


def test_the_page_in_the_manual_is_up_to_date():
    # a changed field must reach the tutor's page
    assert PAGE.read_text(encoding="utf-8") == reference(), f"the page is out of date; run: {COMMAND}"


def test_the_command_in_the_message_is_the_one_that_writes_the_page():
    # the message above is of use only if its command works
    target = re.fullmatch(r"python -m builder\.study\.reference > (\S+)", COMMAND)
    assert target and (PAGE.parents[2] / target[1]) == PAGE


def test_every_field_set_of_views_and_lighting_has_its_row_or_heading():
    page = reference()
    for group in (value for value in vars(schema).values() if isinstance(value, Group)):
        for field in group.fields:
            assert f"| `{field.key}` | {field.kind.takes[:1].upper()}{field.kind.takes[1:]} |" in page
    for one in PRESETS:
        assert f"\n### {one.name}\n" in page
    for one in LIGHTINGS:
        assert f"\n### {one.title.lower()}\n\n{one.about}\n" in page


def test_every_row_of_a_table_has_as_many_cells_as_its_head():
    # a stray bar in a text would shift the columns
    width = None
    for line in reference().splitlines():
        if not line.startswith("|"):
            width = None
            continue
        width = width or line.count("|")
        assert line.count("|") == width and "|  |" not in line


def test_the_example_on_the_page_is_a_valid_study(read):
    example = re.search(r"```yaml\n(.*?)```", reference(), re.DOTALL)[1]
    study = read(example)
    assert study.title == yaml.safe_load(example)["title"]
    assert [lighting.name for lighting in study.lightings] == ["three-quarter-lamp", "side-lamp", "desk-lamp"]


def test_no_python_shows_through():
    assert not re.search(r"None|True\b(?! height)|False|dataclass|Length\(|_mm|_deg|e\+0", reference())


def test_the_module_prints_the_page():
    done = subprocess.run([sys.executable, "-m", "builder.study.reference"], capture_output=True, check=True)
    assert done.stdout.decode("utf-8") == reference()
