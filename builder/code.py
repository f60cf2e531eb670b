"""The version of a stage: a hash of its code and of all code in this package that it imports.

Comments, spacing and docstrings do not count. A folder of data (shaders, templates) counts with the modules beside it
that name it; the words of pages do not: what is worded in the store is kept by the phrases it says.
"""

from __future__ import annotations

import ast
import functools
import hashlib
import importlib.metadata
from dataclasses import dataclass
from pathlib import Path

PACKAGE = "builder"
ROOT = Path(__file__).parent


@functools.cache
def code_digest(module: str) -> str:
    """SHA-256 over ``module`` (dotted, inside this package) and everything of this package that it reaches."""
    sha = hashlib.sha256()
    for name in sorted(reached_from(module)):
        path = _path_of(name)
        sha.update(f"{name}\0{_source(path).bare}\0".encode())
        for data in data_of(path):
            sha.update(data.relative_to(ROOT).as_posix().encode() + b"\0" + data.read_bytes() + b"\0")
    return sha.hexdigest()


@functools.cache
def library_versions(*names: str) -> str:
    """Installed versions of the distributions that change a result, as one text."""
    return " ".join(f"{name}=={importlib.metadata.version(name)}" for name in names)


def reached_from(module: str) -> frozenset[str]:
    """Names of the modules of this package that importing ``module`` runs, itself included."""
    seen: set[str] = set()
    waiting = [module]
    while waiting:
        name = waiting.pop()
        if name in seen or not _exists(name):
            continue
        seen.add(name)
        waiting.extend(imports_of(name))
        if "." in name:
            waiting.append(name.rpartition(".")[0])
    return frozenset(seen)


def imports_of(module: str) -> frozenset[str]:
    """Modules of this package that ``module`` names in its import statements, wherever they stand."""
    return frozenset(name for name in _source(_path_of(module)).named if _exists(name))


def _path_of(module: str) -> Path:
    base = ROOT.joinpath(*module.split(".")[1:])
    package = base / "__init__.py"  # a folder without it is data, and may share a module's name
    return package if package.is_file() else base.with_suffix(".py")


def _exists(module: str) -> bool:
    return module.partition(".")[0] == PACKAGE and _path_of(module).is_file()


@dataclass(frozen=True)
class _Source:
    """What counts of a module's text: its code without docstrings, what it names of this package in imports, and its
    texts, among which are the names of folders.
    """

    bare: str
    named: frozenset[str]
    texts: frozenset[str]


def _source(path: Path) -> _Source:
    return _source_of(path.read_text(encoding="utf-8"))


@functools.cache
def _source_of(text: str) -> _Source:
    """Kept by the text, not by the name: most modules are reached from every stage, and parsing is what costs."""
    tree = ast.parse(text)
    named: set[str] = set()
    texts: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            named.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            named.add(node.module)
            named.update(f"{node.module}.{alias.name}" for alias in node.names)
        elif (
            isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
            and ast.get_docstring(node, clean=False) is not None
        ):
            node.body = node.body[1:]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            texts.add(node.value)
    ours = frozenset(name for name in named if name.partition(".")[0] == PACKAGE)
    return _Source(ast.dump(tree), ours, frozenset(texts))


def data_folders(room: Path) -> list[Path]:
    """Folders of data in a sub-package's folder: those without an ``__init__.py``."""
    return [
        folder
        for folder in sorted(room.iterdir())
        if folder.is_dir() and folder.name != "__pycache__" and not (folder / "__init__.py").exists()
    ]


def data_of(path: Path) -> list[Path]:
    """Files in the data folders that the module in ``path`` names, as a text of its own in its code."""
    texts = _source(path).texts
    named = [folder for folder in data_folders(path.parent) if folder.name in texts]
    return [file for folder in named for file in sorted(folder.rglob("*")) if file.is_file()]
