"""The store keeps whole results only, whatever happens to it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import textwrap
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from builder.errors import StoreError
from builder.store import Store, key_of


def write_hello(folder: Path) -> None:
    (folder / "a.txt").write_text("hello")
    (folder / "deep").mkdir()
    (folder / "deep" / "b.bin").write_bytes(bytes(range(256)))


def test_entry_comes_back_whole(tmp_path: Path) -> None:
    """What was put is found again with its names and sizes."""
    store = Store(tmp_path)
    assert store.find("stage", "k") is None
    put = store.put("stage", "k", write_hello)
    found = store.find("stage", "k")
    assert found == put
    assert [(name, size) for name, size, _ in put.files] == [("a.txt", 5), ("deep/b.bin", 256)]
    assert put.size == 261


@pytest.mark.parametrize("damage", ["flip", "cut", "gone", "manifest", "no manifest"])
def test_damaged_entry_is_noticed_and_made_again(tmp_path: Path, damage: str) -> None:
    """A changed, shortened or missing file, or a broken manifest, is a miss, and the entry can be put anew."""
    store = Store(tmp_path)
    entry = store.put("stage", "k", write_hello)
    victim = entry.path("deep/b.bin")
    if damage == "flip":
        victim.write_bytes(b"\xff" + victim.read_bytes()[1:])
    elif damage == "cut":
        victim.write_bytes(victim.read_bytes()[:-1])
    elif damage == "gone":
        victim.unlink()
    elif damage == "manifest":
        entry.path("manifest.json").write_text('{"files": [["a.txt"')
    else:
        entry.path("manifest.json").unlink()
    assert store.find("stage", "k") is None
    again = store.put("stage", "k", write_hello)
    assert again.files == entry.files
    assert store.find("stage", "k") == again


def test_failure_leaves_nothing(tmp_path: Path) -> None:
    """An error while writing passes through and no folder stays behind."""
    store = Store(tmp_path)

    def fail(folder: Path) -> None:
        (folder / "half").write_text("half")
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        store.put("stage", "k", fail)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
    assert store.find("stage", "k") is None


def test_two_writers_of_one_entry(tmp_path: Path) -> None:
    """Many writers of the same key at once all get one whole entry and leave no scraps."""
    store = Store(tmp_path)
    with ThreadPoolExecutor(8) as pool:
        entries = list(pool.map(lambda _: store.put("stage", "k", write_hello), range(32)))
    assert len(set(entries)) == 1
    assert list((tmp_path / "unfinished").iterdir()) == []


def test_killed_writer_leaves_a_usable_store(tmp_path: Path) -> None:
    """A process killed in mid-write leaves no entry, and the next writer makes it."""
    script = textwrap.dedent(
        """
        import sys, time
        from pathlib import Path
        from builder.store import Store
        def write(folder):
            (folder / "half").write_text("half")
            print("writing", flush=True)
            time.sleep(60)
        Store(Path(sys.argv[1])).put("stage", "k", write)
        """
    )
    process = subprocess.Popen([sys.executable, "-c", script, str(tmp_path)], stdout=subprocess.PIPE)
    assert process.stdout is not None
    assert process.stdout.readline() == b"writing\n"
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    process.stdout.close()
    store = Store(tmp_path)
    assert store.find("stage", "k") is None
    assert store.put("stage", "k", write_hello).size == 261


def test_keep_only_removes_the_rest(tmp_path: Path) -> None:
    """Entries not named go, with old leftovers; those named stay, and so does what a running build writes."""
    store = Store(tmp_path)
    kept = store.put("stage", "keep", write_hello)
    store.put("stage", "drop", write_hello)
    for name, age_s in (("old", 2 * 86_400), ("young", 0)):
        leftover = tmp_path / "unfinished" / name
        leftover.mkdir(parents=True)
        (leftover / "x").write_bytes(b"12345")
        os.utime(leftover, (time.time() - age_s,) * 2)
    manifest = len((kept.folder / "manifest.json").read_bytes())
    assert store.keep_only([("stage", "keep")]) == 261 + manifest + 5
    assert store.find("stage", "keep") == kept
    assert store.find("stage", "drop") is None
    assert [path.name for path in (tmp_path / "unfinished").iterdir()] == ["young"]


def test_unwritable_store_says_so(tmp_path: Path) -> None:
    """A file where the store's folder should be gives one sentence."""
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError) as caught:
        Store(tmp_path / "file").put("stage", "k", write_hello)
    assert str(caught.value) == (
        f"{tmp_path / 'file'}: the store cannot be written (Not a directory); free space or choose another folder."
    )


def test_key_depends_on_every_input_and_not_on_order() -> None:
    """Order of names does not matter; stage, values and their types do."""
    key = key_of("s", {"a": 1, "b": [1, 2]})
    assert key == key_of("s", {"b": [1, 2], "a": 1})
    others = [
        ("t", {"a": 1, "b": [1, 2]}),
        ("s", {"a": 1.5, "b": [1, 2]}),
        ("s", {"a": 1, "b": [2, 1]}),
        ("s", {"a": "1", "b": [1, 2]}),
    ]
    assert len({key, *(key_of(*other) for other in others)}) == 5
    with pytest.raises(TypeError):
        key_of("s", {"path": Path("x")})
    with pytest.raises(ValueError, match="JSON"):
        key_of("s", json.loads("[NaN]"))
