"""A project small enough to build in seconds: a lumpy ball, two views, two lamps, few planes and few cards.

The ball is drawn out tall and narrow: the size of a cell of light goes by the height, so that it and the slab under it
have few.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import trimesh

STUDY = """\
title: Lumpy ball
about: A ball with three lumps.
credit: Made for the tests.
mesh: ball.ply
unit: mm
up: +z
front: -y
height: 120
views:
  - {number: 61, bearing: 0, eye level: 0}
  - {number: 62, bearing: 45, eye level: 20}
lightings:
  - three-quarter lamp
  - side lamp
landmarks:
  top: [0, 0, 120]
prompts: {kinds: [first look, values]}
picture: {width: 96, height: 120}
planes: {counts: [6, 12, 24]}
cards: {count: 6}
"""

MKDOCS = """\
site_name: Mini
docs_dir: content
use_directory_urls: false
theme: {name: material, font: false}
plugins: [castwalk, search, offline]
exclude_docs: prompts/
"""


def lumpy_ball(subdivisions: int = 4) -> trimesh.Trimesh:
    """A closed ball with three lumps, about 45 wide and deep and 120 high."""
    mesh = trimesh.creation.icosphere(subdivisions=subdivisions, radius=1.0)
    points = np.array(mesh.vertices)
    lumps = np.array([[0.0, -1.0, 0.0], [0.8, 0.0, 0.6], [-0.6, -0.6, -0.5]])
    swell = sum(0.15 * np.exp(-6 * np.square(points - lump).sum(axis=1)) for lump in lumps)
    mesh.vertices = (22.0, 22.0, 60.0) * points * (1 + swell)[:, None]
    return mesh


def write_project(folder: Path, study: str = STUDY) -> Path:
    """Write the project into ``folder`` and return it."""
    models = folder / "models" / "ball"
    models.mkdir(parents=True)
    (models / "ball.ply").write_bytes(trimesh.exchange.ply.export_ply(lumpy_ball()))
    (models / "study.yml").write_text(study)
    (folder / "mkdocs.yml").write_text(MKDOCS)
    (folder / "content").mkdir()
    (folder / "content" / "index.md").write_text("# Mini\n\nSee [the front](view:ball/61).\n")
    return folder
