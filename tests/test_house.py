"""The house rules that a machine can check."""

from __future__ import annotations

import inspect
from pathlib import Path

import builder.errors
from builder.code import ROOT, data_folders, data_of, imports_of
from builder.errors import CastwalkError

FLOORS = [
    "errors",
    "arrays",
    "words",
    "paper",
    "study",
    "sections",
    "model",
    "planes",
    "light",
    "camera",
    "table",
    "form",
    "plates",
    "prompts",
    "cards",
    "pack",
    "sheets",
    "site",
]
"""Each may import itself and what stands before it; light and camera stand side by side."""
BESIDE = {"store", "code", "work", "jobs", "build", "publish", "cli", "__main__"}
MAY_LEAVE = {("site.plugin", "build")}
"""The plug-in starts the build when MkDocs, not our command, is run."""


def modules() -> list[str]:
    return sorted(
        ".".join(("builder", *path.relative_to(ROOT).with_suffix("").parts)).removesuffix(".__init__")
        for path in ROOT.rglob("*.py")
    )


def test_imports_run_one_way() -> None:
    """No stage imports a later one, and no stage imports the command, the build or the store."""
    wrong = []
    for name in modules():
        room = [*name.split("."), ""][1]
        if room not in FLOORS:
            assert room in BESIDE or name == "builder", f"{name}: a room that the plan does not know"
            continue
        for target in imports_of(name):
            there = [*target.split("."), ""][1]
            if there in FLOORS:
                upward = FLOORS.index(there) > FLOORS.index(room) or (room, there) == ("camera", "light")
            else:
                upward = there in BESIDE and (name.removeprefix("builder."), there) not in MAY_LEAVE
            if upward:
                wrong.append(f"{name} imports {target}")
    assert wrong == []


def test_modules_stay_small() -> None:
    """No module outgrows 350 lines: a second noun means a second file."""
    long = {
        str(path.relative_to(ROOT)): n for path in ROOT.rglob("*.py") if (n := len(path.read_text().splitlines())) > 350
    }
    assert long == {}


def test_data_belongs_to_the_module_that_names_it() -> None:
    """Every file in a folder of data counts in the version of some module, so that a change of it is seen."""
    rooms = [room for room in ROOT.iterdir() if (room / "__init__.py").is_file()]
    there = {file for room in rooms for folder in data_folders(room) for file in folder.rglob("*") if file.is_file()}
    counted = {file for path in ROOT.rglob("*.py") for file in data_of(path)}
    assert len(there) > 10
    assert there == counted


def test_error_tree_is_drawn_as_it_is() -> None:
    """Every error class stands in the drawing at the top of errors.py."""
    tree = inspect.getdoc(builder.errors) or ""
    for error in CastwalkError.__subclasses__():
        assert f"── {error.__name__} " in tree


def test_no_foreign_addresses_in_code() -> None:
    """Code and templates load nothing from elsewhere: no http address but names of schemas and of XML name spaces."""
    allowed = (
        "http://www.w3.org/",
        "https://json-schema.org/",
        "http://purl.org/dc/",
        "http://ns.adobe.com/",
        "http://www.aiim.org/",
    )
    found = []
    for path in sorted(ROOT.rglob("*")):
        if path.suffix in {".py", ".html", ".css", ".js", ".md", ".yml", ".frag", ".vert"}:
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
                rest = line
                for address in allowed:
                    rest = rest.replace(address, "")
                if "http://" in rest or "https://" in rest:
                    found.append(f"{path.relative_to(ROOT)}:{number}")
    assert found == []


def test_every_module_has_a_home_for_its_tests() -> None:
    """Each stage has a folder of tests with at least one test file."""
    tests = Path(__file__).parent
    rooms = [folder for folder in ROOT.iterdir() if folder.name in FLOORS and folder.is_dir()]
    empty = [room.name for room in rooms if not list((tests / room.name).glob("test_*.py"))]
    assert empty == []
