"""What a worker keeps open between jobs of one model, which follow one another.

Keys are hashes of everything inside, so nothing held goes stale.
"""

from __future__ import annotations

import functools

import numpy as np

from builder.arrays import Bools
from builder.camera.look import Camera, Method, open_camera
from builder.light.files import load_lit, load_transport
from builder.light.lit import Lit
from builder.light.transport import Transport
from builder.model.files import load_model
from builder.model.model import Model
from builder.model.symmetry import Symmetry, symmetry_of
from builder.model.tracer import Tracer
from builder.planes.files import load_planes_model
from builder.planes.planes_model import PlanesModel
from builder.store import Store

_LEVELS = 3
"""Planes models of one model, which a view needs one after another."""


@functools.lru_cache(maxsize=1)
def model(store: Store, key: str) -> Model:
    """The model of that key in the store."""
    return load_model(store.root / "model" / key)


@functools.lru_cache(maxsize=1)
def symmetry(store: Store, key: str) -> Symmetry:
    """The plane that the model of that key is most nearly mirrored by."""
    return symmetry_of(model(store, key))


@functools.lru_cache(maxsize=1)
def tracer(store: Store, key: str) -> Tracer:
    """Rays against the model of that key."""
    return Tracer(model(store, key).scene)


@functools.lru_cache(maxsize=1)
def camera(store: Store, key: str, method: Method) -> Camera:
    """A camera on the model of that key."""
    return open_camera(model(store, key), method)


@functools.lru_cache(maxsize=_LEVELS)
def broken(store: Store, key: str) -> PlanesModel:
    """The planes model of that key in the store."""
    return load_planes_model(store.root / "planes-model" / key)


@functools.lru_cache(maxsize=_LEVELS)
def broken_tracer(store: Store, key: str) -> Tracer:
    """Rays against the planes model of that key."""
    return Tracer(broken(store, key).model.scene)


@functools.lru_cache(maxsize=1)  # pictures of a camera take over 100 MB, to open one a quarter of a second
def broken_camera(store: Store, key: str, method: Method) -> Camera:
    """A camera on the planes model of that key."""
    return open_camera(broken(store, key).model, method)


@functools.lru_cache(maxsize=1)
def transport(store: Store, key: str) -> Transport:
    """What the surface of a model sees, by the transport's key."""
    return load_transport(store.root / "transport" / key / "transport.npz")


@functools.lru_cache(maxsize=32)
def lit(store: Store, key: str) -> tuple[Lit, Bools]:
    """A solved lighting and the triangles on which it must be traced, (lamps, m) bool."""
    folder = store.root / "lit" / key
    packed = np.load(folder / "mixed.npy")
    return load_lit(folder / "lit.npz"), np.unpackbits(packed, axis=1).astype(np.bool_)
