"""The store: results kept by what went into them.

An entry is a folder ``<root>/<stage>/<key>/`` with its files and a manifest. The key is a hash of every input that
matters, so an entry is never out of date: it is there or it is not. Writing goes to a folder beside and ends in one
rename, so a build killed at any moment leaves whole entries only; two builds at once may both write an entry, and the
second finds the first one's. A hit needs the manifest and every file with its right bytes; anything else is removed and
made again.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import time
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from builder.errors import Problem, StoreError

MANIFEST = "manifest.json"
UNFINISHED = "unfinished"


def key_of(stage: str, inputs: Any) -> str:
    """The key of a result: SHA-256 of the stage's name and its inputs as canonical JSON (sorted names, no spaces).

    ``inputs`` holds plain values only: a value that JSON cannot hold is a broken promise of the caller (TypeError).
    """
    text = json.dumps([stage, inputs], sort_keys=True, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def file_digest(path: Path) -> str:
    """SHA-256 of a file's bytes, as hex."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


@dataclass(frozen=True, slots=True)
class Entry:
    """A whole result in the store: its folder and its files' names with size and SHA-256."""

    stage: str
    key: str
    folder: Path
    files: tuple[tuple[str, int, str], ...]

    def path(self, name: str) -> Path:
        """Path of one of the entry's files."""
        return self.folder / name

    @property
    def size(self) -> int:
        """Bytes of all files."""
        return sum(size for _, size, _ in self.files)


@dataclass(frozen=True, slots=True)
class Store:
    """A folder of entries. Holds only its path, so it may travel to another process."""

    root: Path

    def find(self, stage: str, key: str) -> Entry | None:
        """The entry, if it is there and whole; a damaged one is removed."""
        folder = self._folder(stage, key)
        entry = _read(stage, key, folder)
        if entry is None and folder.exists():
            self._discard(folder)
        return entry

    def put(self, stage: str, key: str, write: Callable[[Path], None]) -> Entry:
        """Make the entry: ``write`` fills an empty folder, which becomes the entry in one rename.

        Whatever ``write`` raises passes through and leaves nothing behind. StoreError if the store cannot be written.
        """
        scratch = self.root / UNFINISHED / uuid.uuid4().hex
        try:
            scratch.mkdir(parents=True)
        except OSError as error:
            raise self._unwritable(error) from error
        try:
            write(scratch)
            _write_manifest(scratch)
            return self._publish(stage, key, scratch)
        finally:
            shutil.rmtree(scratch, ignore_errors=True)

    def keep_only(self, used: Iterable[tuple[str, str]]) -> int:
        """Remove every entry that is not among ``used`` (stage, key), and what builds killed over a day ago left.

        Returns the bytes freed.
        """
        wanted = set(used)
        freed = 0
        for folder in sorted(self.root.glob("*/*")):
            young = folder.parent.name == UNFINISHED and time.time() - folder.stat().st_mtime < 86_400
            if folder.is_dir() and not young and (folder.parent.name, folder.name) not in wanted:
                freed += sum(path.stat().st_size for path in folder.rglob("*") if path.is_file())
                self._discard(folder)
        return freed

    def _folder(self, stage: str, key: str) -> Path:
        return self.root / stage / key

    def _publish(self, stage: str, key: str, scratch: Path) -> Entry:
        folder = self._folder(stage, key)
        folder.parent.mkdir(parents=True, exist_ok=True)
        for _ in range(8):
            try:
                scratch.rename(folder)
            except OSError as error:
                if not folder.exists():
                    raise self._unwritable(error) from error
            entry = self.find(stage, key)  # ours, or another worker's who was first; a broken one is now gone
            if entry is not None:
                return entry
            if not scratch.exists():
                break
        raise StoreError(
            Problem(str(folder), "the entry is damaged each time it is written", do="check the disk and build again")
        )

    def _discard(self, folder: Path) -> None:
        """Take a folder out of sight in one rename before removing it, so that no reader meets half of it."""
        doomed = self.root / UNFINISHED / uuid.uuid4().hex
        doomed.parent.mkdir(parents=True, exist_ok=True)
        with contextlib.suppress(FileNotFoundError):  # another build was first
            folder.rename(doomed)
        shutil.rmtree(doomed, ignore_errors=True)

    def _unwritable(self, error: OSError) -> StoreError:
        reason = error.strerror or type(error).__name__
        return StoreError(
            Problem(str(self.root), f"the store cannot be written ({reason})", do="free space or choose another folder")
        )


def _write_manifest(folder: Path) -> None:
    rows = []
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            rows.append([path.relative_to(folder).as_posix(), path.stat().st_size, file_digest(path)])
    with (folder / MANIFEST).open("w", encoding="utf-8") as stream:
        json.dump({"files": rows}, stream)
        stream.flush()
        os.fsync(stream.fileno())  # the rename must not become durable before the manifest


def _read(stage: str, key: str, folder: Path) -> Entry | None:
    try:
        rows = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["files"]
        files = tuple((str(name), int(size), str(sha)) for name, size, sha in rows)
        whole = all(
            (folder / name).stat().st_size == size and file_digest(folder / name) == sha for name, size, sha in files
        )
    except (OSError, ValueError, KeyError, TypeError):  # missing or damaged: the same to us
        return None
    return Entry(stage, key, folder, files) if whole else None
