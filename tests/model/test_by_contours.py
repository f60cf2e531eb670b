"""A study by contours becomes a model, and everything that its contours say is part of the model's key."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from builder.cli import check
from builder.errors import CastwalkError
from builder.jobs.models import ModelJob
from builder.model.prepare import prepare
from builder.store import Store
from builder.study.read import read_study

HEAD = "title: Block\nstand: {plinth: 0}\nviews: [{number: 61, bearing: 0}]\nsections:\n"
SQUARE = "[[-20, -10], [20, -10], [20, 10], [-20, 10]]"
ROWS = "".join(f"    - {{number: {k}, height: {15 * k}, points: {SQUARE}}}\n" for k in (1, 2, 3))
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">%s</svg>'
PATHS = "".join(f'<path id="{k}" d="M 20 30 h 40 v 20 h -40 z"/>' for k in (1, 2, 3))


def project(folder: Path, sections: str) -> Path:
    study = folder / "models" / "block"
    study.mkdir(parents=True, exist_ok=True)
    (study / "study.yml").write_text(HEAD + sections)
    return study / "study.yml"


def test_a_block_of_three_contours_has_the_size_and_volume_of_the_block(tmp_path: Path) -> None:
    """40 by 20 by 30 mm: 24,000 cubic mm; corners of the outline are kept to 0.1 mm."""
    model = prepare(read_study(project(tmp_path, "  contours:\n" + ROWS), tmp_path))
    facts = model.facts
    assert (facts.width_mm, facts.depth_mm, facts.height_mm) == pytest.approx((40, 20, 30), abs=0.1)
    assert facts.closed
    assert model.notices[0].text == "built over 3 contours, at 15, 30 and 45 mm; it ends flat at 15 and 45 mm"
    assert facts.volume_mm3 == pytest.approx(24_000, rel=0.005)


def test_the_key_follows_points_heights_profile_and_drawing(tmp_path: Path) -> None:
    texts = [
        "  contours:\n" + ROWS,
        "  contours:\n" + ROWS.replace("45", "46"),
        "  contours:\n" + ROWS.replace("[20, 10]", "[20, 11]"),
        "  profile: [[-10, 0], [-10, 50]]\n  contours:\n" + ROWS,
        "  svg: cuts.svg\n  heights: [0, 15, 30]\n",
    ]
    store = Store(tmp_path / "store")
    drawn = tmp_path / "models" / "block" / "cuts.svg"
    project(tmp_path, texts[0])
    drawn.write_text(SVG % PATHS.replace("h 40", "h 39"))
    keys = [ModelJob(read_study(project(tmp_path, text), tmp_path), store).key() for text in texts]
    for drawing in (SVG % PATHS, SVG % PATHS.replace("h 40", "h 41")):
        drawn.write_text(drawing)
        keys.append(ModelJob(read_study(tmp_path / "models" / "block" / "study.yml", tmp_path), store).key())
    assert len(set(keys)) == len(keys)


def test_check_reads_the_contours(tmp_path: Path) -> None:
    project(tmp_path, "  contours:\n" + ROWS.replace("height: 45", "height: 15"))
    (tmp_path / "docs").mkdir()
    (tmp_path / "mkdocs.yml").write_text("site_name: Block\nplugins: [castwalk]\n")
    result = CliRunner().invoke(check, ["--project", str(tmp_path)])
    assert isinstance(result.exception, CastwalkError)
    assert "contour 3 is at 15 mm" in str(result.exception)
