"""A stage's version changes with the code it runs, and with nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder import code


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small package standing in for ours."""
    root = tmp_path / "builder"
    (root / "a" / "shaders").mkdir(parents=True)
    (root / "b" / "letters").mkdir(parents=True)
    files = {
        "__init__.py": "",
        "a/__init__.py": "",
        "a/top.py": (
            '"""Top."""\nfrom builder.a import shader\nfrom builder.b import low\n\n'
            'def f():\n    """Doc."""\n    return low.g()  # why\n'
        ),
        "a/shader.py": 'FOLDER = "shaders"\n',
        "a/shaders/x.frag": "void main() {}",
        "b/__init__.py": "",
        "b/low.py": 'def g():\n    """Nothing of letters."""\n    return 1\n',
        "b/letters/x.txt": "Dear",
        "b/other.py": "def h():\n    return 2\n",
    }
    for name, text in files.items():
        (root / name).write_text(text)
    monkeypatch.setattr(code, "ROOT", root)
    code.code_digest.cache_clear()
    yield root
    code.code_digest.cache_clear()


def digest_after(package: Path, name: str, old: str, new: str) -> tuple[str, str]:
    before = code.code_digest("builder.a.top")
    path = package / name
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))
    code.code_digest.cache_clear()
    return before, code.code_digest("builder.a.top")


def test_reach_follows_imports_and_packages(package: Path) -> None:
    """A module reaches what it imports and the packages above, not its neighbours."""
    names = {"builder", "builder.a", "builder.a.shader", "builder.a.top", "builder.b", "builder.b.low"}
    assert code.reached_from("builder.a.top") == names


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("a/top.py", "low.g()", "low.g() + 1"),
        ("b/low.py", "return 1", "return 3"),
        ("a/shaders/x.frag", "{}", "{ }"),
    ],
)
def test_code_and_data_that_run_count(package: Path, name: str, old: str, new: str) -> None:
    """A change of the module, of what it imports, or of data that one of them names is a new version."""
    before, after = digest_after(package, name, old, new)
    assert before != after


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("a/top.py", "# why", "# because"),
        ("a/top.py", "Doc.", "Other words."),
        ("a/top.py", "\n\ndef f", "\n\n\n\ndef f"),
        ("b/other.py", "return 2", "return 4"),
        ("b/letters/x.txt", "Dear", "My dear"),
    ],
)
def test_comments_docstrings_and_strangers_do_not_count(package: Path, name: str, old: str, new: str) -> None:
    """Words, spacing, modules not imported and data that no reached module names leave the version as it is."""
    before, after = digest_after(package, name, old, new)
    assert before == after
