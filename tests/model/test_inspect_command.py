"""`castwalk inspect` and `castwalk start --way`, as a tutor runs them."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import trimesh

from builder.cli import main
from builder.study.read import read_study
from tests.model.test_inspected import bust

KEYS = [
    "name",
    "faces",
    "points",
    "unit",
    "unit_reason",
    "size_mm",
    "edge_mm",
    "up",
    "front",
    "turn_deg",
    "guesses",
    "body_count",
    "bodies",
    "holes",
    "thin",
    "symmetry",
    "faces_after",
    "moved_rms_mm",
    "moved_mm",
    "closed",
    "cleaning",
]


def run(monkeypatch: pytest.MonkeyPatch, *words: str) -> int:
    """The exit code of the command."""
    monkeypatch.setattr("sys.argv", ["castwalk", *words])
    try:
        main()
    except SystemExit as left:
        return int(left.code or 0)
    return 0


@pytest.fixture(scope="module")
def scan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bust, turned by 30 degrees, in metres, with a crumb beside it and a hole of 8 mm radius at the back."""
    mesh = bust()
    middles = mesh.triangles_center
    mesh.update_faces(~((middles[:, 1] > 0) & (np.hypot(middles[:, 0], middles[:, 2] - 10) < 8)))
    crumb = trimesh.creation.icosphere(subdivisions=1, radius=2)
    crumb.apply_translation((200, 0, 0))
    mesh = trimesh.util.concatenate([mesh, crumb])
    mesh.apply_transform(trimesh.transformations.rotation_matrix(np.radians(30), (0, 0, 1)))
    mesh.apply_scale(0.001)
    path = tmp_path_factory.mktemp("scan") / "head.ply"
    mesh.export(path)
    return path


def test_the_report(scan: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(monkeypatch, "inspect", str(scan)) == 0
    text = capsys.readouterr().out
    for said in (
        "Unit: m (the file names no unit",
        "  1. up +z, front -y, turn 30 (",
        "it looks 30° to its left of that axis",
        "Symmetry: two like halves; the plane between left and right faces bearing 0",
        "Bodies: 2\n",
        "on its left",
        "80 faces",
        "Holes: 1\n  at the back, half-way up, ",
        "Thin parts: nothing thinner than ",
        "one loose piece with",
        "head-views.png: the numbered ways first",
    ):
        assert said in text, (said, text)
    assert "0.0 %" not in text and "e-1" not in text
    assert scan.with_name("head-views.png").read_bytes().startswith(b"\x89PNG")


def test_facts_for_a_program(
    scan: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(monkeypatch, "inspect", str(scan), "--json", "--picture", str(tmp_path / "v.png")) == 0
    facts = json.loads(capsys.readouterr().out)
    assert list(facts) == KEYS
    assert list(facts["thin"]) == ["limit_mm", "share", "least_mm", "places"]
    assert list(facts["symmetry"]) == ["normal", "point", "rms_mm", "most_mm", "holds"]
    assert list(facts["holes"][0]) == ["place", "round_mm", "across_mm", "closes"]
    assert list(facts["bodies"][0]) == ["faces", "size_mm", "place"]
    assert facts["body_count"] == 2 and facts["holes"][0]["across_mm"] == pytest.approx(16, rel=0.15)


def test_a_study_started_by_number(scan: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first way's axes, turn and unit stand in the study, and the study is valid."""
    assert run(monkeypatch, "start", "head", str(scan), "--project", str(tmp_path), "--way", "1") == 0
    source = read_study(tmp_path / "models" / "head" / "study.yml", tmp_path).mesh
    assert (source.up, source.front, source.turn_deg, source.unit) == ("+z", "-y", 30.0, "m")
    assert run(monkeypatch, "check", "--project", str(tmp_path)) == 0


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("gone.ply", None, "gone.ply: there is no such file; check the path to the mesh."),
        ("empty.ply", b"", "empty.ply: is empty; export the mesh again."),
        ("photo.ply", b"\x89PNG\r\n\x1a\n" + bytes(100), "photo.ply: holds a PNG picture, not a PLY mesh"),
        ("cut.ply", b"ply\nformat ascii 1.0\nelement vertex 9\n", "cut.ply: "),
        ("model.xyz", b"1 2 3\n", "model.xyz: has the suffix .xyz, which is not read"),
    ],
)
def test_what_is_no_mesh_gets_one_sentence(
    name: str,
    data: bytes | None,
    said: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = tmp_path / name
    if data is not None:
        path.write_bytes(data)
    assert run(monkeypatch, "inspect", str(path)) == 2
    told = capsys.readouterr()
    assert told.out == "" and said in told.err and told.err.count("\n") == 1 and "study.yml" not in told.err
    assert not path.with_name(f"{path.stem}-views.png").exists()
