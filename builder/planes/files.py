"""A planes model in a folder: arrays as npz beside the model's own files."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np

from builder.model.files import load_model, save_model
from builder.planes.planes import Planes
from builder.planes.planes_model import PlanesModel


def save_planes_model(broken: PlanesModel, folder: Path) -> None:
    """Write a planes model into ``folder``; the same one gives the same bytes."""
    save_model(broken.model, folder)
    arrays = {field.name: getattr(broken.planes, field.name) for field in dataclasses.fields(Planes)}
    np.savez(folder / "planes.npz", plane_of_face=broken.plane_of_face, **arrays)


def load_planes_model(folder: Path) -> PlanesModel:
    """Read what :func:`save_planes_model` wrote."""
    with np.load(folder / "planes.npz", allow_pickle=False) as arrays:
        plain = {name: array.item() if array.ndim == 0 else array for name, array in arrays.items()}
    plane_of_face = plain.pop("plane_of_face")
    return PlanesModel(load_model(folder), Planes(**plain), plane_of_face)
